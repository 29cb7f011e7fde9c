"""Sizes that miss by a kerf: 96 in gives one 48 in piece, not two, for the blade takes its share.

A rule of the trade that surprises (common practice, no source): n pieces need n sides and n - 1 kerfs.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class NearMiss:
    """``wanted`` pieces of ``side`` would fill a stock but for the kerfs; ``fits`` is the side that would fit."""

    side: Fraction
    wanted: int
    fits: Fraction


def near_miss(side: Fraction, whole: Fraction, usable: Fraction, kerf: Fraction, step: Fraction) -> NearMiss | None:
    """Return the near miss of pieces as long as ``side`` in a stock ``whole`` long, ``usable`` between its trims.

    None where no kerf or trim stands in the way, or where more than 1/50 of the side would have to go.

    >>> near_miss(Fraction(48), Fraction(96), Fraction(96), Fraction(1, 8), Fraction(1, 32))
    NearMiss(side=Fraction(48, 1), wanted=2, fits=Fraction(767, 16))
    >>> near_miss(Fraction(47), Fraction(96), Fraction(96), Fraction(1, 8), Fraction(1, 32)) is None
    True
    """
    wanted = int(whole // side)
    if wanted < 1 or wanted * side + (wanted - 1) * kerf <= usable:
        return None
    fits = (usable - (wanted - 1) * kerf) / wanted // step * step
    return NearMiss(side, wanted, fits) if side - fits <= side / 50 else None
