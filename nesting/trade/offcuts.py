"""Which leftovers are worth keeping: a rule of the shop, not of geometry."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Final, Literal

USUAL_SMALLEST: Final[Mapping[str, tuple[Fraction, Fraction]]] = {
    "in": (Fraction(12), Fraction(3)),
    "mm": (Fraction(305), Fraction(76)),
}
"""Longer and shorter side of the smallest leftover that is kept, by unit (common practice, no source)."""


def worth_keeping(
    length: Fraction, width: Fraction, unit: Literal["in", "mm"], smallest: tuple[Fraction, Fraction] | None = None
) -> bool:
    """Say whether a leftover goes to the rack: 12 in or longer and 3 in or wider (common practice, no source).

    ``smallest`` is the longer and the shorter side that a shop of its own mind asks for.

    >>> worth_keeping(Fraction(14), Fraction(3), "in"), worth_keeping(Fraction(14), Fraction(2), "in")
    (True, False)
    """
    longest, narrowest = smallest or USUAL_SMALLEST[unit]
    return max(length, width) >= longest and min(length, width) >= narrowest
