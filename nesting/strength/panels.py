"""Plywood as a material: thickness as sold, weight, stiffness and bending strength.

Inches, pounds, psi; panel capacities a foot of width, as the panel manual prints them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

Rating = Literal["24/16", "32/16", "40/20", "48/24", "24oc"]
Grain = Literal["along", "across"]
"""How the face grain lies to the span."""


@dataclass(frozen=True, slots=True)
class Thickness:
    """Least, greatest and labelled thickness of a Performance Category, in inches."""

    least: float
    most: float
    label: float


PS1: Final = {
    "1/4": Thickness(0.219, 0.281, 0.225),
    "3/8": Thickness(0.344, 0.406, 0.354),
    "7/16": Thickness(0.406, 0.469, 0.418),
    "15/32": Thickness(0.438, 0.500, 0.451),
    "1/2": Thickness(0.469, 0.531, 0.483),
    "19/32": Thickness(0.563, 0.625, 0.578),
    "5/8": Thickness(0.594, 0.656, 0.609),
    "23/32": Thickness(0.688, 0.750, 0.703),
    "3/4": Thickness(0.719, 0.781, 0.734),
    "7/8": Thickness(0.831, 0.919, 0.849),
    "1": Thickness(0.950, 1.050, 0.970),
}
"""PS 1-19, thickness by Performance Category, unsanded, touch-sanded, overlaid (read). Measure: never assume 0.750."""


def ps1_tolerance(thickness: float, sanded: bool) -> float:
    """Return the tolerance in inches, both ways, at 9 % moisture, PS 1-19 (read).

    1/32 in up to 13/16, 5 % above; sanded 1/64 up to 3/4, 3 % above.

    >>> ps1_tolerance(0.719, sanded=False), ps1_tolerance(0.75, sanded=True)
    (0.03125, 0.015625)
    """
    if sanded:
        return 1 / 64 if thickness <= 3 / 4 else 0.03 * thickness
    return 1 / 32 if thickness <= 13 / 16 else 0.05 * thickness


def en315_tolerance(thickness: float) -> tuple[float, float]:
    """Return the tolerances (more, less) in mm of sanded plywood, EN 315 (from memory).

    +(0.2 + 0.03 t), -(0.4 + 0.03 t). Cut off to 0.1 mm it agrees with a mill's table for most thicknesses, but not
    for 6.5 and 9 mm (read).

    >>> [round(value, 2) for value in en315_tolerance(18)]
    [0.74, 0.94]
    """
    return 0.2 + 0.03 * thickness, 0.4 + 0.03 * thickness


WEIGHT_SOFTWOOD: Final = 3.0
"""Pounds a square foot for each inch of thickness, softwood plywood, panel manual (read)."""
WEIGHT: Final = 3.5
"""The same for birch, about 680 kg/m3 (from memory): the heavier of the two stands for all plywood."""


def weight(length: float, width: float, thickness: float, density: float = WEIGHT) -> float:
    """Return the weight of a piece in lb; sizes in inches, ``density`` in lb a square foot for each inch.

    >>> round(weight(96, 48, 23 / 32, WEIGHT_SOFTWOOD))
    69
    """
    return length * width / 144 * thickness * density


STIFFNESS: Final = 1.01e6
"""Modulus of elasticity of plywood along the face grain in psi: the lower end of 1.01 to 1.24 million, Wood Handbook
Table 12-1 (read). Averages of short tests, not design values."""
STIFFNESS_UPPER: Final = 1.24e6
STIFFNESS_MDF: Final = 0.52e6
"""Medium-density fibreboard, the same table (read)."""

EI_ALONG: Final[dict[Rating, tuple[float, float]]] = {
    "24/16": (86_000, 78_000),
    "32/16": (125_000, 115_000),
    "40/20": (250_000, 225_000),
    "48/24": (440_000, 400_000),
    "24oc": (330_000, 300_000),
}
"""EI in lb in2 a foot along the face grain, plywood and oriented strand board, panel manual Table M9.2-1 (read)."""
EI_ACROSS: Final[dict[Rating, tuple[float, float, float]]] = {
    "48/24": (29_500, 65_000, 91_500),
    "24oc": (26_000, 57_000, 80_500),
}
"""The same across it, for 3, 4 and 5 plies (read)."""
FBS_ALONG: Final[dict[Rating, tuple[float, float, float]]] = {
    "48/24": (845, 930, 1_000),
    "24oc": (640, 705, 770),
    "40/20": (625, 690, 750),
    "32/16": (370, 405, 445),
}
"""F_b S in lb in a foot along the face grain, 3, 4 and 5 plies (read)."""
FBS_ACROSS: Final[dict[Rating, tuple[float, float, float]]] = {"48/24": (225, 270, 405), "24oc": (215, 260, 385)}
"""The same across it (read)."""

GROSS_23_32_A: Final = 8.625
GROSS_23_32_I: Final = 0.371
GROSS_23_32_S: Final = 1.033
GROSS_23_32_Q: Final = 0.775
"""Area, moment of inertia, section modulus and first moment of 23/32 a foot wide, in powers of inches (read)."""
FACE_BEARING: Final = 360.0
"""Compression across the face, psi, before adjustment: panel manual (from memory)."""


def bending_strength(grain: Grain = "along") -> float:
    """Return F_b in psi on the gross section, laid flat: F_b S of a 48/24 panel of three plies over S of 23/32.

    Panel manual Table M9.2-1 (read); 48/24 is the usual rating of 23/32 (from memory). The weakest make-up of that
    rating stands for all plywood.

    >>> round(bending_strength()), round(bending_strength("across"))
    (818, 218)
    """
    table = FBS_ALONG if grain == "along" else FBS_ACROSS
    return table["48/24"][0] / GROSS_23_32_S


def edge_bending_strength(grain: Grain = "along") -> float:
    """Return F_b in psi on the gross section, bent on edge: half the flat value.

    On edge the plies across the span carry nothing, and at best half of the thickness runs along (derived).
    """
    return bending_strength(grain) / 2


def stiffness(grain: Grain = "along") -> float:
    """Return E in psi for a gross section laid flat; across the grain 29,500 / 440,000 of it.

    Panel manual Table M9.2-1, three plies (read).

    >>> round(stiffness("across") / stiffness(), 3)
    0.067
    """
    return STIFFNESS if grain == "along" else STIFFNESS * EI_ACROSS["48/24"][0] / EI_ALONG["48/24"][0]


def planar_shear_strength() -> float:
    """Return F_s in psi between the plies, laid flat: F_s (Ib/Q) = 250 lb a foot of a 48/24 panel (from memory).

    >>> round(planar_shear_strength(), 1)
    43.5
    """
    return 250 / (GROSS_23_32_I * 12 / GROSS_23_32_Q)


def by_bending(fbs: float, duration: float, span: float) -> float:
    """Return the uniform load in psf that bending allows on three spans: 120 F_b S C_D / L^2, panel manual (read)."""
    return 120 * fbs * duration / span**2


def by_shear(fs: float, duration: float, span: float) -> float:
    """Return the uniform load in psf that shear allows on three spans: 20 F_s C_D / (L - 1.5), panel manual (read)."""
    return 20 * fs * duration / (span - 1.5)


def by_stiffness(ei: float, limit: float, span: float) -> float:
    """Return the uniform load in psf at a deflection ``limit`` (in) on three spans, panel manual (read).

    1743 EI limit / (L - 1.25)^4: the clear span and 1/4 in, supports 1 1/2 in wide.

    >>> round(by_stiffness(126_500, 32 / 240, 32), 3)
    32.881
    """
    return 1743 * ei * limit / (span - 1.25) ** 4
