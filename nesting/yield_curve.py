"""How many cleats a sheet gives at which height: a step function, exact, and its sweet spots.

Counted are cleats as long as the sheet: strips ripped across its width, two to a blank by one bevel rip where
that is narrower than two lone ones, a lone one where a blank no longer fits, a square cut of one kerf between
strips, the edge trim taken off on both sides. Widths and settings are those of :mod:`nesting.trade.bevel`, rounded
up to ``fence_step``; heights are multiples of ``fence_step``, for that is what a fence can be set to.

Two lone cleats take one step of rounding and a kerf more than their pair wherever t tan b exceeds k / cos b - k, so
there is never more than one lone cleat then, and never a pair otherwise: the count is exact without a search.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from nesting.lengths import MM_PER_INCH, Unit
from nesting.trade.bevel import Bevel, round_up

THIN_KERF: Final = Fraction(3, 32)
"""Kerf of a thin-kerf blade in inches (common practice, no source)."""
MOST_POINTS: Final = 2_000


@dataclass(frozen=True, slots=True)
class Division:
    """How a sheet is best divided into cleats of one height: blanks ripped into two, and lone cleats."""

    pairs: int
    lone: int

    @property
    def count(self) -> int:
        """Cleats in all."""
        return 2 * self.pairs + self.lone


@dataclass(frozen=True, slots=True)
class SweetSpot:
    """The tallest cleat that still comes out ``count`` times, and how tall it could be with less lost.

    ``thin_kerf``: with a thin-kerf blade (None: the kerf is no wider); ``no_trim``: with factory edges used as they
    are (None: nothing is trimmed).
    """

    count: int
    tallest: Fraction
    pairs: int
    lone: int
    thin_kerf: Fraction | None
    no_trim: Fraction | None


@dataclass(frozen=True, slots=True)
class Yield:
    """The yield of one sheet: its whole width, the edge trim on either side, and the bevel rule.

    The published trial values of 48 in, 23/32 ply, kerf 1/8, 45 degrees: eight pairs and a lone cleat at 3 in.

    >>> sheet = Yield(Fraction(48), Fraction(0), Bevel(Fraction(23, 32), Fraction(1, 8), Fraction(45), Fraction(1, 32)))
    >>> sheet.division(Fraction(3)), sheet.count(Fraction(4))
    (Division(pairs=8, lone=1), 12)
    >>> sheet.tallest(16), sheet.count(Fraction(13, 4))
    (Fraction(51, 16), 15)
    """

    width: Fraction
    trim: Fraction
    rule: Bevel

    @property
    def usable(self) -> Fraction:
        """Width between the edge trims."""
        return self.width - 2 * self.trim

    @property
    def lowest(self) -> Fraction:
        """The lowest height on the fence's grid that is higher than the bevel is deep."""
        step = self.rule.step
        return (self.rule.rise // step + 1) * step

    def division(self, height: Fraction) -> Division:
        """Return the division that gives the most cleats of a height; of equals the one with more pairs.

        Raises ``ValueError`` for a height that the bevel would consume.
        """
        if height <= self.rule.rise:
            raise ValueError("a cleat must be higher than its bevel is deep")
        kerf = self.rule.kerf
        room = self.usable + kerf
        pair, lone = self.rule.pair(height, height).width + kerf, self.rule.lone(height).width + kerf
        if pair > 2 * lone:
            return Division(0, max(0, int(room // lone)))
        pairs = max(0, int(room // pair))
        return Division(pairs, int(room - pairs * pair >= lone))

    def count(self, height: Fraction) -> int:
        """Return how many cleats of a height, as long as the sheet, come out of it at most."""
        return self.division(height).count

    def tallest(self, count: int) -> Fraction | None:
        """Return the tallest height, a multiple of ``fence_step``, that still gives ``count``; None: none does."""
        step = self.rule.step
        low, high = int(self.lowest / step), int(self.usable // step) + 1
        if low >= high or self.count(low * step) < count:
            return None
        while high - low > 1:  # count(low) is enough, count(high) is not
            middle = (low + high) // 2
            if self.count(middle * step) >= count:
                low = middle
            else:
                high = middle
        return low * step

    def treads(self, low: Fraction, high: Fraction) -> Iterator[tuple[Fraction, int]]:
        """Yield each count between two heights with the tallest height that gives it, at most ``high``."""
        height = max(round_up(low, self.rule.step), self.lowest)
        while height <= high:
            count = self.count(height)
            last = self.tallest(count) if count else None
            if last is None or last >= high:
                yield high // self.rule.step * self.rule.step, count
                return
            yield last, count
            height = last + self.rule.step

    def curve(self, low: Fraction, high: Fraction) -> tuple[tuple[Fraction, int], ...]:
        """Return (height, count) for every height the fence can be set to from ``low`` to ``high``.

        Where these are more than ``MOST_POINTS``, the two ends of every tread alone.
        """
        step = self.rule.step
        first = max(round_up(low, step), self.lowest)
        dense = (high - first) / step < MOST_POINTS
        points: list[tuple[Fraction, int]] = []
        for last, count in self.treads(low, high):
            many = int((last - first) / step)
            points += [(first + n * step, count) for n in (range(many + 1) if dense else sorted({0, many}))]
            first = last + step
        return tuple(points)

    def sweet_spots(self, low: Fraction, high: Fraction, unit: Unit) -> tuple[SweetSpot, ...]:
        """Return the sweet spot of every count that heights from ``low`` to ``high`` give, most cleats first."""
        thin, bare = self.with_thin_kerf(unit), self.without_trim()
        spots = []
        for count in dict.fromkeys(count for _, count in self.treads(low, high) if count):
            tallest = self.tallest(count)
            assert tallest is not None  # noqa: S101  (a height of this tread gives the count)
            division = self.division(tallest)
            spots.append(
                SweetSpot(
                    count,
                    tallest,
                    division.pairs,
                    division.lone,
                    None if thin is None else thin.tallest(count),
                    None if bare is None else bare.tallest(count),
                )
            )
        return tuple(spots)

    def with_thin_kerf(self, unit: Unit) -> Yield | None:
        """Return the yield with a thin-kerf blade, 3/32 in or 2.4 mm; None where the blade is no thicker."""
        thin = THIN_KERF if unit == "in" else round(THIN_KERF * MM_PER_INCH, 1)
        return replace(self, rule=replace(self.rule, kerf=thin)) if self.rule.kerf > thin else None

    def without_trim(self) -> Yield | None:
        """Return the yield with factory edges used as they are; None where nothing is trimmed."""
        return replace(self, trim=Fraction(0)) if self.trim else None


def rule_of_thumb(width: Fraction, height: Fraction) -> int:
    """Return the width over the height, without kerf, bevel or trim (common practice, no source).

    >>> rule_of_thumb(Fraction(48), Fraction(3))
    16
    """
    return int(width // height)


def usual_range(heights: tuple[Fraction, ...], unit: Unit) -> tuple[Fraction, Fraction]:
    """Return the range of heights worth showing: 2 to 6 in, or 50 to 150 mm, wider where a height asked for is beyond.

    >>> usual_range((Fraction(3), Fraction(7)), "in")
    (Fraction(2, 1), Fraction(7, 1))
    """
    low, high = (Fraction(2), Fraction(6)) if unit == "in" else (Fraction(50), Fraction(150))
    return min((low, *heights)), max((high, *heights))
