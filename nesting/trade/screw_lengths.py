"""Wood screws as they are sold: lengths, and the holes drilled for them.

Lengths: common practice, no source. Diameters: ANSI/AWC NDS 2018, Table L3, from ASME B18.6.1. Lead holes for screws
loaded along the grain's side in wood of a specific gravity up to 0.60: 7/8 of the shank for the clearance hole, 7/8 of
the root for the thread (NDS 12.1.5, from memory).
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Final

from nesting.lengths import MM_PER_INCH, Unit

_INCHES: Final = ("1/2", "5/8", "3/4", "1", "5/4", "3/2", "13/8", "2", "5/2", "3", "7/2", "4")
SOLD: Final[Mapping[Unit, tuple[Fraction, ...]]] = {
    "in": tuple(Fraction(length) for length in _INCHES),
    "mm": tuple(Fraction(n) for n in (12, 16, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100)),
}
"""Lengths sold, in the document's unit."""

SIZES: Final[Mapping[int, tuple[Fraction, Fraction]]] = {
    gauge: (Fraction(shank), Fraction(root))
    for gauge, shank, root in (
        (6, "0.138", "0.113"),
        (7, "0.151", "0.122"),
        (8, "0.164", "0.131"),
        (9, "0.177", "0.142"),
        (10, "0.190", "0.152"),
        (12, "0.216", "0.171"),
        (14, "0.242", "0.196"),
        (16, "0.268", "0.209"),
        (18, "0.294", "0.232"),
        (20, "0.320", "0.255"),
        (24, "0.372", "0.298"),
    )
}
"""Diameters of shank and root in inches by screw number."""

_BIT: Final[Mapping[Unit, Fraction]] = {"in": Fraction(1, 64), "mm": Fraction(1, 2)}


def at_least(length: Fraction, unit: Unit) -> Fraction | None:
    """Return the shortest screw sold that is no shorter; None where none is so long.

    >>> at_least(Fraction(83, 32), "in"), at_least(Fraction(5), "in")
    (Fraction(3, 1), None)
    """
    return next((sold for sold in SOLD[unit] if sold >= length), None)


def at_most(length: Fraction, unit: Unit) -> Fraction | None:
    """Return the longest screw sold that is no longer; None where none is so short.

    >>> at_most(Fraction(19, 16), "in"), at_most(Fraction(1, 4), "in")
    (Fraction(1, 1), None)
    """
    return next((sold for sold in reversed(SOLD[unit]) if sold <= length), None)


def clearance_hole(gauge: int, unit: Unit) -> Fraction:
    """Return the bit for the part a screw passes through: as wide as its shank, to the next bit up.

    A screw that turns freely in the first part draws the two together: common practice, no source.

    >>> clearance_hole(8, "in"), clearance_hole(8, "mm")
    (Fraction(11, 64), Fraction(9, 2))
    """
    bit = _BIT[unit]
    return -(-SIZES[gauge][0] * _scale(unit) // bit) * bit


def lead_hole(gauge: int, unit: Unit) -> Fraction:
    """Return the bit for the part that holds the thread: 7/8 of its root, to the next bit down.

    >>> lead_hole(8, "in"), lead_hole(6, "in"), lead_hole(8, "mm")
    (Fraction(7, 64), Fraction(3, 32), Fraction(5, 2))
    """
    bit = _BIT[unit]
    return Fraction(7, 8) * SIZES[gauge][1] * _scale(unit) // bit * bit


def _scale(unit: Unit) -> Fraction:
    return MM_PER_INCH if unit == "mm" else Fraction(1)
