"""The guillotine knapsack with a limit on stages or on the direction of the first cut.

A stage is a set of parallel cuts, stages alternate between rip and crosscut, and every cut counts, trimming
a part out of its strip included (Gilmore & Gomory 1965; the "exact" case). So the sides of a rectangle
matter exactly: with no stage left only a part of just that size can be taken. A bevel rip counts as a rip and
crosscutting its bars as the crosscut stage after it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from nesting.solve.knapsack import (
    Ints,
    Pieces,
    Table,
    bar_values_at,
    bars_of,
    best_splits,
    fill,
    pattern_of,
)
from nesting.solve.pattern import OTHER, Cut, Pattern, Put, Split, Strip
from nesting.solve.points import floor_index

if TYPE_CHECKING:
    from nesting.solve.compiled import Kernels

SKIP = -1
"""Choice: the same as one point lower, the last of the side is waste."""
WHOLE = -2
"""Choice: no cut of this stage, the rectangle goes to the next one as it is."""
BLANK = -3
"""Choice at the root: the bin itself is the blank of this number below."""


def best_stage(points: Ints, base: Ints, value: Ints, choice: Ints) -> None:
    """Fill the knapsacks of one stage; the plain twin of :func:`nesting.solve.kernels_knapsack.best_stage`."""
    steps: list[int] = []
    rows, most = np.arange(base.shape[0]), np.zeros(base.shape[0], dtype=np.int64)
    for j in range(points.size):
        value[:, j], choice[:, j] = base[:, j], WHOLE
        if j:
            better = value[:, j - 1] > value[:, j]
            value[better, j], choice[better, j] = value[better, j - 1], SKIP
        if steps:
            totals = base[:, steps] + value[:, floor_index(points, points[j] - points[steps])]
            at = totals.argmax(axis=1)
            total = totals[rows, at]
            better = total > value[:, j]
            value[better, j], choice[better, j] = total[better], np.array(steps)[at[better]]
        if j and (base[:, j] > most).any():
            steps.append(j)
        np.maximum(most, base[:, j], out=most)


@dataclass(slots=True)
class _Level:
    """Best values with a number of stages left, the first in direction ``cut``; arrays [x, y]."""

    cut: Cut
    base: Ints
    blank_at: dict[tuple[int, int], int]
    value: Ints
    choice: Ints


class StagedTable:
    """Solves one bin under a stage limit; see :func:`nesting.solve.knapsack.fill` for the free case."""

    def __init__(
        self,
        pieces: Pieces,
        xs: Ints,
        ys: Ints,
        sides: tuple[int, int],
        values: tuple[list[int], list[int]],
        rules: tuple[Literal["rip", "crosscut", "any"], int | None],
        kernels: Kernels | None = None,
    ) -> None:
        first, limit = rules
        self.pieces, self.sides = pieces, sides
        self.xs, self.ys = np.union1d(xs, [sides[0]]), np.union1d(ys, [sides[1]])
        self.item_values, self.bar_values = values
        self.sides_of = {(item, turned): (length, width) for length, width, item, turned in pieces.rectangles}
        self.lengths = {index: length for _, length, index in pieces.bars}
        self.free: Table | None = None
        self.exact, self.exact_choice = self._exact()
        self.bar_worth, self.bar_choice = bar_values_at(pieces, self.xs, values[1])
        self.stage = kernels.best_stage if kernels else best_stage
        self.levels: list[dict[Cut, _Level]] = []
        self.stages = len(self.xs) + len(self.ys) if limit is None else limit
        if limit is None:
            self.free = fill(pieces, self.xs, self.ys, *values, kernels.best_splits if kernels else best_splits)
        else:
            for stages in range(1, limit + 1):
                self.levels.append({"rip": self._level("rip", stages), "crosscut": self._level("crosscut", stages)})
        cuts: tuple[Cut, ...] = ("rip", "crosscut") if first == "any" else (first,)
        self.best, self.root = max((self._root(cut) for cut in cuts), key=lambda found: found[0])

    def _exact(self) -> tuple[Ints, Ints]:
        value = np.zeros((self.xs.size, self.ys.size), dtype=np.int64)
        choice = np.full(value.shape, -1, dtype=np.int64)
        for r, (length, width, item, _) in enumerate(self.pieces.rectangles):
            i, j = np.searchsorted(self.xs, length), np.searchsorted(self.ys, width)
            if self.item_values[item] > value[i, j]:
                value[i, j], choice[i, j] = self.item_values[item], r
        return value, choice

    def _level(self, cut: Cut, stages: int) -> _Level:
        below = self.levels[stages - 2][OTHER[cut]].value if stages > 1 else self.exact
        base = np.maximum(self.exact, below)
        blank_at: dict[tuple[int, int], int] = {}
        if cut == "rip":
            for b, (width, low, high, _) in enumerate(self.pieces.blanks):
                j = int(np.searchsorted(self.ys, width))
                worth = self._bar_row(low, stages) + (self._bar_row(high, stages) if high >= 0 else 0)
                for i in np.flatnonzero(worth > base[:, j]):
                    base[i, j] = worth[i]
                    blank_at[int(i), j] = b
        value, choice = np.empty_like(base), np.empty_like(base)
        if cut == "rip":
            self.stage(self.ys, base, value, choice)
        else:
            across, picked = np.empty_like(base.T, order="C"), np.empty_like(base.T, order="C")
            self.stage(self.xs, np.ascontiguousarray(base.T), across, picked)
            value, choice = np.ascontiguousarray(across.T), np.ascontiguousarray(picked.T)
        return _Level(cut, base, blank_at, value, choice)

    def _bar_row(self, kind: int, stages: int) -> Ints:
        """Worth of a bar at every length: crosscut freely with a stage to spare, else one cleat as it is."""
        if stages > 1:
            return np.asarray(self.bar_worth[kind])
        row = np.zeros(self.xs.size, dtype=np.int64)
        for bar_kind, length, index in self.pieces.bars:
            if bar_kind == kind:
                i = np.searchsorted(self.xs, length)
                row[i] = max(int(row[i]), self.bar_values[index])
        return row

    # -- the root: its first cut has the direction asked for

    def _root(self, cut: Cut) -> tuple[int, tuple[Cut, int]]:
        i, j = int(np.searchsorted(self.xs, self.sides[0])), int(np.searchsorted(self.ys, self.sides[1]))
        best, which = int(self.exact[i, j]), WHOLE
        level = self.levels[-1][cut] if self.levels else None
        points, last = (self.ys, j) if cut == "rip" else (self.xs, i)
        for b, (width, low, high, _) in enumerate(self.pieces.blanks if cut == "rip" else ()):
            if width == self.sides[1] and self.stages > 0:
                worth = self._bar_row(low, self.stages)[i] + (self._bar_row(high, self.stages)[i] if high >= 0 else 0)
                if int(worth) > best:
                    best, which = int(worth), BLANK - b
        for at in range(1, last):
            rest = int(floor_index(points, int(points[last] - points[at])))
            one, other = (at, rest)
            if level is not None:
                near = level.base[i, one] if cut == "rip" else level.base[one, j]
                far = level.value[i, other] if cut == "rip" else level.value[other, j]
            elif self.free is not None:
                near = self.free.value[i, one] if cut == "rip" else self.free.value[one, j]
                far = self.free.value[i, other] if cut == "rip" else self.free.value[other, j]
            if int(near + far) > best:
                best, which = int(near + far), at
        return best, (cut, which)

    def pattern(self) -> Pattern:
        """Return the best pattern of the bin."""
        cut, at = self.root
        i, j = int(np.searchsorted(self.xs, self.sides[0])), int(np.searchsorted(self.ys, self.sides[1]))
        if not self.best:
            return None
        if at == WHOLE:
            return self._put(i, j)
        if at <= BLANK:
            _, low, high, index = self.pieces.blanks[BLANK - at]
            lows = self._bar(low, self.stages - 1, i)
            return Strip(index, lows, self._bar(high, self.stages - 1, i) if high >= 0 else None)
        points, side = (self.ys, self.sides[1]) if cut == "rip" else (self.xs, self.sides[0])
        mark = int(points[at])
        rest = int(floor_index(points, side - mark))
        if self.free is not None:
            length, width = self.sides
            if cut == "rip":
                return Split(
                    "rip", mark, pattern_of(self.free, length, mark), pattern_of(self.free, length, width - mark)
                )
            return Split(
                "crosscut", mark, pattern_of(self.free, mark, width), pattern_of(self.free, length - mark, width)
            )
        level = len(self.levels) - 1
        near = self._base(level, cut, i, at) if cut == "rip" else self._base(level, cut, at, j)
        far = self._piece(level, cut, i, rest) if cut == "rip" else self._piece(level, cut, rest, j)
        return Split(cut, mark, near, far)

    def _put(self, i: int, j: int) -> Pattern:
        r = int(self.exact_choice[i, j])
        return None if r < 0 else Put(self.pieces.rectangles[r][2], self.pieces.rectangles[r][3])

    def _base(self, level: int, cut: Cut, i: int, j: int) -> Pattern:
        """One strip of a stage: a blank, a part, or a rectangle for the next stage."""
        here = self.levels[level][cut]
        if not here.base[i, j]:
            return None
        if (i, j) in here.blank_at:
            _, low, high, index = self.pieces.blanks[here.blank_at[i, j]]
            lows = self._bar(low, level, i)
            return Strip(index, lows, self._bar(high, level, i) if high >= 0 else None)
        if self.exact[i, j] == here.base[i, j]:
            return self._put(i, j)
        return self._piece(level - 1, OTHER[cut], i, j)

    def _bar(self, kind: int, level: int, i: int) -> tuple[int, ...]:
        if level > 0:
            return bars_of(self.pieces, self.xs, self.bar_choice, kind, int(self.xs[i]))
        fitting = [bar for bar in self.pieces.bars if bar[0] == kind and bar[1] == self.xs[i]]
        return (max(fitting, key=lambda bar: self.bar_values[bar[2]])[2],) if fitting else ()

    def _piece(self, level: int, cut: Cut, i: int, j: int) -> Pattern:
        here = self.levels[level][cut]
        if not here.value[i, j]:
            return None
        along_y = cut == "rip"
        points, last = (self.ys, j) if along_y else (self.xs, i)
        top, at = last, int(here.choice[i, j])
        while at == SKIP:
            last -= 1
            at = int(here.choice[i, last] if along_y else here.choice[last, j])
        if at == WHOLE:
            strip = self._base(level, cut, i, last) if along_y else self._base(level, cut, last, j)
            return strip if last == top else Split(cut, int(points[last]), strip, None)
        mark = int(points[at])
        rest = int(floor_index(points, int(points[last]) - mark))
        near = self._base(level, cut, i, at) if along_y else self._base(level, cut, at, j)
        far = self._piece(level, cut, i, rest) if along_y else self._piece(level, cut, rest, j)
        return Split(cut, mark, near, far)

    # -- filling what a bounded demand left empty

    def refilled(self, pattern: Pattern) -> Pattern:
        """Return a pattern of this bin with every rest and every bar filled as these values have it best."""
        if pattern is None:
            return self.pattern()
        if not isinstance(pattern, Split):
            return pattern
        return self._refill(pattern, self.sides, len(self.levels) - 1, pattern.cut)

    def _refill(self, node: Pattern, sides: tuple[int, int], level: int, cut: Cut) -> Pattern:
        """Fill below ``node``, in whose space cuts in direction ``cut`` belong to the stage ``level``."""
        length, width = sides
        if node is None:
            if self.free is not None:
                return pattern_of(self.free, length, width)
            return self._rest(sides, level, cut)
        if isinstance(node, Strip):
            spare = level - (cut == "crosscut")
            return self._longer(node, length) if self.free is not None or spare > 0 else node
        if isinstance(node, Put):
            return node
        if node.cut != cut:
            return self._refill(node, sides, level - 1, node.cut)
        low, high = (node.low, node.high) if node.low is not None else (node.high, None)
        if low is None:
            return self._refill(None, sides, level, cut)
        along = 1 if cut == "rip" else 0
        at, side = self._extent(low)[along], sides[along]
        ends = self._extent(high)[along]
        if high is not None and at + ends < side and not (isinstance(high, Split) and high.cut == cut):
            high = Split(cut, ends, high, None)  # a strip is as wide as its pieces, the rest is filled by itself
        near, far = ((length, at), (length, width - at)) if along else ((at, width), (length - at, width))
        if at == side:
            return self._refill(low, sides, level, cut)
        return Split(cut, at, self._refill(low, near, level, cut), self._refill(high, far, level, cut))

    def _rest(self, sides: tuple[int, int], level: int, cut: Cut) -> Pattern:
        """Fill a rest; where its side across the cuts is no point, its pieces come to size in the stage after."""
        i, j = int(floor_index(self.xs, sides[0])), int(floor_index(self.ys, sides[1]))
        points = int(self.xs[i]), int(self.ys[j])
        along = 1 if cut == "rip" else 0
        if points[1 - along] == sides[1 - along]:
            return self._piece(level, cut, i, j)
        inner = self._piece(level - 1, OTHER[cut], i, j) if level > 0 else None
        return inner if inner is None or points[along] == sides[along] else Split(cut, points[along], inner, None)

    def _extent(self, node: Pattern) -> tuple[int, int]:
        """Return what the pieces of a pattern take along x and y."""
        if node is None:
            return 0, 0
        if isinstance(node, Put):
            return self.sides_of[node.item, node.turned]
        if isinstance(node, Strip):
            width = next(blank[0] for blank in self.pieces.blanks if blank[3] == node.blank)
            return max(sum(self.lengths[index] for index in bar) for bar in (node.low, node.high or ())), width
        low, high = self._extent(node.low), self._extent(node.high)
        if node.cut == "rip":
            return max(low[0], high[0]), low[1] + high[1]
        return low[0] + high[0], max(low[1], high[1])

    def _longer(self, strip: Strip, length: int) -> Strip:
        """Append cleats to the bars of a strip while there is room."""
        _, low, high, _ = next(blank for blank in self.pieces.blanks if blank[3] == strip.blank)

        def more(bar: tuple[int, ...], kind: int) -> tuple[int, ...]:
            room = length - sum(self.lengths[index] for index in bar)
            return bar + bars_of(self.pieces, self.xs, self.bar_choice, kind, room)

        return Strip(strip.blank, more(strip.low, low), None if strip.high is None else more(strip.high, high))
