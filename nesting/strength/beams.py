"""Beams: how far a shelf sags now and in years, and what bends it.

Pounds, inches, psi. W is the whole load on the beam.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

Case = Literal[
    "uniform", "midspan", "clamped uniform", "clamped midspan", "quarter points", "cantilever uniform", "cantilever end"
]

FACTORS: Final[dict[Case, tuple[float, float]]] = {
    "uniform": (5 / 384, 1 / 8),
    "midspan": (1 / 48, 1 / 4),
    "clamped uniform": (1 / 384, 1 / 8),
    "clamped midspan": (1 / 192, 1 / 4),
    "quarter points": (11 / 768, 1 / 8),
    "cantilever uniform": (1 / 8, 1 / 2),
    "cantilever end": (1 / 3, 1.0),
}
"""k_b and k_s, Wood Handbook Table 9-1 to Eq. 9-2 (read)."""

CREEP_LUMBER: Final = 1.5
"""K_cr, NDS 3.5.2: lumber, dry (read)."""
CREEP_PANEL: Final = 2.0
"""K_cr, NDS 3.5.2: wood structural panels (from memory)."""

SAG_UNSEEN: Final = 1 / 32 / 12
"""The eye does not notice 1/32 in a foot, L/384 (furniture anthology, 2007, read)."""
SAG_DESIGNED: Final = 0.02 / 12
"""First sag to design for, 0.02 in a foot, L/600, for creep adds half or more (furniture anthology, 2007, read)."""
SAG_TOTAL: Final = 1 / 240
"""Total load, International Building Code Table 1604.3, floors (read)."""
SAG_LIVE: Final = 1 / 360
"""Live load, the same table (read)."""

SHEAR_MODULUS_SHARE: Final = 1 / 16
"""G over E of wood (from memory)."""


@dataclass(frozen=True, slots=True)
class Section:
    """A rectangle bent about the axis along its ``width``; ``depth`` is its size in the direction of the load."""

    width: float
    depth: float

    @property
    def area(self) -> float:
        """Area in in2."""
        return self.width * self.depth

    @property
    def inertia(self) -> float:
        """Moment of inertia in in4.

        >>> round(Section(10, 0.719).inertia, 5)
        0.30975
        """
        return self.width * self.depth**3 / 12

    @property
    def modulus(self) -> float:
        """Section modulus in in3."""
        return self.width * self.depth**2 / 6


def deflection(
    case: Case, load: float, span: float, stiffness: float, section: Section, shear_modulus: float | None = None
) -> float:
    """Return delta = k_b W L^3 / (E I) + k_s W L / (G A') in inches, Wood Handbook Eq. 9-2 (read).

    A' is 5/6 of a rectangle's area (from memory). Without a shear modulus (psi) the second term is left out.

    >>> round(deflection("uniform", 25 / 12 * 32, 32, 1.2e6, Section(10, 0.719)), 4)
    0.0765
    """
    bend, shear = FACTORS[case]
    bent = bend * load * span**3 / (stiffness * section.inertia)
    if shear_modulus is None:
        return bent
    return bent + shear * load * span / (shear_modulus * 5 / 6 * section.area)


def moment(case: Case, load: float, span: float) -> float:
    """Return the greatest moment in lb in: W L / 8, P L / 4, cantilevers W L / 2 and P L (from memory).

    >>> moment("uniform", 40, 24), moment("midspan", 40, 24), moment("cantilever end", 40, 8)
    (120.0, 240.0, 320.0)
    """
    return _MOMENTS[case] * load * span


_MOMENTS: Final[dict[Case, float]] = {
    "uniform": 1 / 8,
    "midspan": 1 / 4,
    "clamped uniform": 1 / 12,
    "clamped midspan": 1 / 8,
    "quarter points": 1 / 8,
    "cantilever uniform": 1 / 2,
    "cantilever end": 1.0,
}


def greatest_shear(case: Case, load: float) -> float:
    """Return the greatest shear force in lb: half the load, or all of it at a cantilever's root (statics)."""
    return load if case.startswith("cantilever") else load / 2


def shear_stress(force: float, section: Section) -> float:
    """Return 3 V / (2 A) in psi, a rectangle's greatest shear stress, NDS Eq. 3.4-2 (from memory).

    >>> shear_stress(20, Section(10, 0.75))
    4.0
    """
    return 1.5 * force / section.area


@dataclass(frozen=True, slots=True)
class Trapezoid:
    """A cleat's section: ``tall`` and ``short`` faces parallel, ``thick`` between them (in)."""

    tall: float
    short: float
    thick: float

    @property
    def outward_modulus(self) -> float:
        """Section modulus in in3 against bending away from the wall, at the fibre farther from the centroid.

        I = t^3 (a^2 + 4 a b + b^2) / (36 (a + b)), the centroid t (a + 2 b) / (3 (a + b)) from face a (geometry).

        >>> round(Trapezoid(3, 3, 0.75).outward_modulus, 6) == round(3 * 0.75**2 / 6, 6)
        True
        """
        a, b, t = self.tall, self.short, self.thick
        inertia = t**3 * (a * a + 4 * a * b + b * b) / (36 * (a + b))
        return inertia / (t * (2 * a + b) / (3 * (a + b)))

    @property
    def upright_modulus(self) -> float:
        """Section modulus in in3 against bending downward, of a rectangle as high as the short face."""
        return self.thick * self.short**2 / 6
