"""Lateral yield: the six ways in which a screw in single shear gives way, NDS 12.3.

Pounds, inches, psi. Wood screws take their *root* diameter in the yield equations and in K_D, their nominal one
everywhere else: bands of F_yb and F_e, 6 D and 10 D, withdrawal (NDS 12.3.7.1(c), transcribed, p. 85).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, Literal

from nesting.strength.wood_screws import WoodScrew

Mode = Literal["Im", "Is", "II", "IIIm", "IIIs", "IV"]

MODES: Final[dict[Mode, str]] = {
    "Im": "the wood that holds the point is crushed",
    "Is": "the wood under the head is crushed",
    "II": "the screw turns stiff in both",
    "IIIm": "the screw bends at the joint, stiff under its head",
    "IIIs": "the screw bends in the wood that holds its point",
    "IV": "the screw bends twice",
}
"""What gives way, in plain words; m is the main member, which holds the point, s the side member under the head."""


@dataclass(frozen=True, slots=True)
class Shear:
    """A fastener in single shear.

    ``diameter`` D (a wood screw's root) and ``bending_yield`` F_yb; bearing strengths F_es, F_em (psi) and bearing
    lengths l_s, l_m (in) of side and main member; ``gap`` between them (in); ``angle`` of load to grain, largest of
    both members, in degrees, which counts from 1/4 in on.
    """

    diameter: float
    bending_yield: float
    side_bearing: float
    side_length: float
    main_bearing: float
    main_length: float
    gap: float = 0.0
    angle: float = 0.0


def bearing(gravity: float) -> float:
    """Return F_e = 16,600 G^1.84 in psi below 1/4 in at any angle to the grain, NDS Table 12.3.3 (transcribed, p. 86).

    Rounded to 50 psi, as the table is.

    >>> bearing(0.50), bearing(0.42)
    (4650, 3350)
    """
    return round(exact_bearing(gravity) / 50) * 50


def exact_bearing(gravity: float) -> float:
    """Return F_e = 16,600 G^1.84 unrounded."""
    return 16_600 * math.pow(gravity, 1.84)


def bearing_of_large(gravity: float, diameter: float, degrees: float = 0.0) -> float:
    """Return F_e in psi from 1/4 in on, rounded to 50: 11,200 G along the grain, 6,100 G^1.45 / sqrt(D) across it.

    NDS Table 12.3.3 (transcribed, p. 86); between them Hankinson's formula, NDS Eq. 12.3-11 (transcribed).

    >>> bearing_of_large(0.50, 0.25, 90), bearing_of_large(0.50, 0.50, 90), bearing_of_large(0.50, 0.50)
    (4450, 3150, 5600)
    """
    along = round(11_200 * gravity / 50) * 50
    across = round(6_100 * math.pow(gravity, 1.45) / math.sqrt(diameter) / 50) * 50
    if degrees in (0, 90):
        return across if degrees else along
    return hankinson(along, across, degrees)


def hankinson(along: float, across: float, degrees: float) -> float:
    """Return F_p F_q / (F_p sin^2 + F_q cos^2), NDS Eq. 12.3-11 (transcribed)."""
    angle = math.radians(degrees)
    return along * across / (along * math.sin(angle) ** 2 + across * math.cos(angle) ** 2)


def reduction(diameter: float, mode: Mode, degrees: float = 0.0) -> float:
    """Return R_d, NDS Table 12.3.1B (transcribed, p. 84).

    Below 1/4 in K_D: 2.2 up to 0.17 in, 10 D + 0.5 above. From 1/4 in on 4 K (Im, Is), 3.6 K (II), 3.2 K (III, IV)
    with K = 1 + 0.25 (angle / 90).

    >>> reduction(0.152, "IV"), round(reduction(0.196, "IV"), 2), reduction(0.5, "II", 90)
    (2.2, 2.46, 4.5)
    """
    if diameter < 0.25:
        return 2.2 if diameter <= 0.17 else 10 * diameter + 0.5
    share = 1 + 0.25 * degrees / 90
    return {"Im": 4.0, "Is": 4.0, "II": 3.6}.get(mode, 3.2) * share


def constants(shear: Shear) -> tuple[float, float, float]:
    """Return k1, k2, k3 of NDS Table 12.3.1A (transcribed, p. 83). k2 contains (1 + 2 R_e), k3 (2 + R_e)."""
    bend = 2 * shear.bending_yield * shear.diameter**2 / (3 * shear.main_bearing)
    re = shear.main_bearing / shear.side_bearing
    rt = shear.main_length / shear.side_length
    k1 = (math.sqrt(re + 2 * re**2 * (1 + rt + rt**2) + rt**2 * re**3) - re * (1 + rt)) / (1 + re)
    k2 = -1 + math.sqrt(2 * (1 + re) + bend * (1 + 2 * re) / shear.main_length**2)
    k3 = -1 + math.sqrt(2 * (1 + re) / re + bend * (2 + re) / shear.side_length**2)
    return k1, k2, k3


def yield_values(shear: Shear) -> dict[Mode, float]:
    """Return Z in lb for each of the six modes, faces in contact, NDS Table 12.3.1A (transcribed, p. 83-84).

    Raises ``ValueError`` where there is a gap: NDS 12.3.1(a) requires contact; see :mod:`nesting.strength.gap`.
    """
    if shear.gap:
        raise ValueError("NDS 12.3.1(a) requires member faces in contact; use the gap form")
    k1, k2, k3 = constants(shear)
    d, ls, lm = shear.diameter, shear.side_length, shear.main_length
    fes, fem = shear.side_bearing, shear.main_bearing
    re = fem / fes
    loads: dict[Mode, float] = {
        "Im": d * lm * fem,
        "Is": d * ls * fes,
        "II": k1 * d * ls * fes,
        "IIIm": k2 * d * lm * fem / (1 + 2 * re),
        "IIIs": k3 * d * ls * fem / (2 + re),
        "IV": d**2 * math.sqrt(2 * fem * shear.bending_yield / (3 * (1 + re))),
    }
    return {mode: load / reduction(d, mode, shear.angle) for mode, load in loads.items()}


def governing(values: dict[Mode, float]) -> tuple[Mode, float]:
    """Return the mode of the least value, and the value."""
    mode = min(values, key=lambda name: values[name])
    return mode, values[mode]


def screw_shear(
    size: WoodScrew, side_gravity: float, side: float, main_gravity: float, point: float, gap: float = 0.0
) -> Shear:
    """Return a wood screw in single shear: root diameter, bearing strengths, l_s = side, l_m = p - E / 2 = p - D.

    ``point`` is the penetration p, tip included; NDS 12.3.5.3 (transcribed) takes half the tip off. From 1/4 in on
    (No. 16) bearing and R_d are those across the grain, the lower ones, whatever the direction.

    >>> from nesting.strength.wood_screws import screw
    >>> shear = screw_shear(screw(10), 0.50, 0.5, 0.50, 1.9)
    >>> mode, load = governing(yield_values(shear))
    >>> mode, round(load, 2)
    ('IIIs', 89.93)
    """
    large = size.diameter >= 0.25
    side_bearing, main_bearing = (
        bearing_of_large(gravity, size.diameter, 90) if large else bearing(gravity)
        for gravity in (side_gravity, main_gravity)
    )
    main = max(point - size.tip / 2, 0.0)
    angle = 90.0 if large else 0.0
    return Shear(size.root, size.bending_yield, side_bearing, side, main_bearing, main, gap, angle)


def handbook_screw(constant: float, diameter: float) -> float:
    """Return p = K D^2 in lb, Wood Handbook Eq. 8-13 (form and table number read, K of Table 8-9 from memory).

    The older design form p = C D^2 with C 4800, 3960, 3240, 2520 for groups I to IV (Eq. 6.38, read) is the same.
    Neither is a design code; NDS is.

    >>> round(handbook_screw(3960, 0.190), 2)
    142.96
    """
    return constant * diameter**2
