"""Which leftovers are worth keeping: a rule of the shop, not of geometry."""

from __future__ import annotations

from fractions import Fraction
from typing import Literal

_KEEP = {"in": (Fraction(12), Fraction(3)), "mm": (Fraction(305), Fraction(76))}


def worth_keeping(length: Fraction, width: Fraction, unit: Literal["in", "mm"]) -> bool:
    """Say whether a leftover goes to the rack: 12 in or longer and 3 in or wider (common practice, no source).

    >>> worth_keeping(Fraction(14), Fraction(3), "in"), worth_keeping(Fraction(14), Fraction(2), "in")
    (True, False)
    """
    longest, narrowest = _KEEP[unit]
    return max(length, width) >= longest and min(length, width) >= narrowest
