"""What is wished of a place on the wall: zones between hip and eye, heavy things low.

Heights above the floor: common practice, no source. A holder counts by the middle of its back.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Final

from nesting.lengths import Unit
from nesting.project.holder_keys import Zone

HIP: Final[Mapping[Unit, int]] = {"in": 36, "mm": 900}
"""Below it a holder is low."""
EYE: Final[Mapping[Unit, int]] = {"in": 60, "mm": 1500}
"""Above it a holder is high; from hip to eye it is within reach."""


def off(zone: Zone, middle: Fraction, unit: Unit) -> Fraction:
    """Return how far a height above the floor lies outside a zone; 0 inside it.

    >>> [str(off("reach", Fraction(height), "in")) for height in (30, 48, 61)], str(off("low", Fraction(48), "in"))
    (['6', '0', '1'], '12')
    """
    hip, eye = Fraction(HIP[unit]), Fraction(EYE[unit])
    low, high = {"low": (None, hip), "reach": (hip, eye), "high": (eye, None)}[zone]
    if low is not None and middle < low:
        return low - middle
    if high is not None and middle > high:
        return middle - high
    return Fraction(0)
