"""The guillotine knapsack: the most valuable way to cut one bin, every part as often as one likes.

Dynamic programming over rectangles at normal points (Gilmore & Gomory 1966, "The theory and computation of
knapsack functions"; Herz 1972; Beasley 1985, "Algorithms for unconstrained two-dimensional guillotine
cutting"). Departure: a rectangle may also be a blank that a bevel rip turns into two bars, each bar a
one-dimensional knapsack over its length by itself. Values are integers, so the optimum is exact and serves
as a bound; with demands left out it never undervalues a bin.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from nesting.solve.kernels_knapsack import CROSSCUT, RIP
from nesting.solve.pattern import Cut, Pattern, Put, Split, Strip
from nesting.solve.points import floor_index, normal_points
from nesting.solve.problem import Problem

Ints = NDArray[np.int64]

NOTHING, PUT, BLANK = range(3)
Splitting = Callable[[Ints, Ints, Ints, Ints], None]


@dataclass(frozen=True, slots=True)
class Pieces:
    """What a bin may be cut into: oriented rectangles (length, width, item, turned) and its blanks."""

    rectangles: tuple[tuple[int, int, int, bool], ...]
    blanks: tuple[tuple[int, int, int, int], ...]  # width, kind of the low bar, of the high bar or -1, index
    bars: tuple[tuple[int, int, int], ...]  # kind, length, index


@dataclass(frozen=True, slots=True)
class Table:
    """Solved sub-rectangles of a bin: values and choices at ``xs`` × ``ys``, bar values and choices at ``xs``."""

    pieces: Pieces
    xs: Ints
    ys: Ints
    value: Ints
    choice: Ints
    bar_choice: Ints

    @property
    def best(self) -> int:
        """Value of the whole bin."""
        return int(self.value[-1, -1])


def pieces_of(problem: Problem, bin_index: int) -> Pieces:
    """List what bin ``bin_index`` may be cut into, leaving out what does not fit."""
    stock = problem.bins[bin_index]
    rectangles = []
    for index, item in enumerate(problem.items):
        as_is, turned = item.ways[bin_index]
        sides = [(item.length, item.width, index, False)] if as_is else []
        if turned and (item.length != item.width or not as_is):
            sides.append((item.width, item.length, index, True))
        rectangles += [side for side in sides if side[0] <= stock.length and side[1] <= stock.width]
    blanks = []
    if problem.bars:
        blanks = [
            (blank.width, blank.low, -1 if blank.high is None else blank.high, index)
            for index, blank in enumerate(problem.blanks[bin_index])
            if blank.width <= stock.width
        ]
    bars = [(bar.kind, bar.length, index) for index, bar in enumerate(problem.bars) if bar.length <= stock.length]
    return Pieces(tuple(rectangles), tuple(blanks), tuple(bars))


def points_of(pieces: Pieces, length: int, width: int) -> tuple[Ints, Ints]:
    """Return the normal points of a bin along x and y."""
    bars = [bar[1] for bar in pieces.bars] if pieces.blanks else []
    xs = normal_points([r[0] for r in pieces.rectangles] + bars, length)
    ys = normal_points([r[1] for r in pieces.rectangles] + [b[0] for b in pieces.blanks], width)
    return xs, ys


def _bar_worths(xs: Ints, bars: Sequence[tuple[int, int, int]], worth: Ints, choice: Ints) -> None:
    for i in range(1, xs.size):
        worth[:, i], choice[:, i] = worth[:, i - 1], choice[:, i - 1]
        for b, (kind, length, value) in enumerate(bars):
            if length <= xs[i]:
                total = value + worth[kind, floor_index(xs, int(xs[i]) - length)]
                if total > worth[kind, i]:
                    worth[kind, i], choice[kind, i] = total, b


def best_splits(xs: Ints, ys: Ints, value: Ints, choice: Ints) -> None:
    """Raise ``value[i, j]`` to the best sum of two rectangles that a cut of xs[i] × ys[j] makes.

    The plain twin of :func:`nesting.solve.kernels_knapsack.best_splits`; choices among equals may differ.
    """
    halves = [np.arange(1, int(floor_index(ys, int(y) // 2)) + 1) for y in ys]
    rests = [floor_index(ys, int(y) - ys[half]) for y, half in zip(ys, halves, strict=True)]
    for i in range(xs.size):
        row, picked = value[i], choice[i]
        if i:
            _raise(row, picked, value[i - 1], choice[i - 1])
        for i1 in range(1, int(floor_index(xs, int(xs[i]) // 2)) + 1):
            rest = floor_index(xs, int(xs[i] - xs[i1]))
            _raise(row, picked, value[i1] + value[rest], i1 * 8 + CROSSCUT)
        for j in range(1, ys.size):
            if row[j - 1] > row[j]:
                row[j], picked[j] = row[j - 1], picked[j - 1]
            if halves[j].size:
                totals = row[halves[j]] + row[rests[j]]
                at = int(totals.argmax())
                if totals[at] > row[j]:
                    row[j], picked[j] = totals[at], int(halves[j][at]) * 8 + RIP


def _raise(row: Ints, picked: Ints, other: Ints, choice: Ints | int) -> None:
    better = other > row
    picked[better] = choice[better] if isinstance(choice, np.ndarray) else choice
    row[better] = other[better]


def fill(
    pieces: Pieces,
    xs: Ints,
    ys: Ints,
    item_values: Sequence[int],
    bar_values: Sequence[int],
    splits: Splitting = best_splits,
) -> Table:
    """Solve all sub-rectangles at the given points; values are non-negative integers per item and bar.

    Complexity O(nx ny (nx + ny)) for nx, ny points.
    """
    value = np.zeros((xs.size, ys.size), dtype=np.int64)
    choice = np.zeros((xs.size, ys.size), dtype=np.int64)
    rows = np.searchsorted(xs, [rectangle[0] for rectangle in pieces.rectangles]).tolist()
    columns = np.searchsorted(ys, [rectangle[1] for rectangle in pieces.rectangles]).tolist()
    for r, (i, j) in enumerate(zip(rows, columns, strict=True)):  # ``splits`` carries each on to larger rectangles
        worth = item_values[pieces.rectangles[r][2]]
        if value[i, j] < worth:
            value[i, j], choice[i, j] = worth, r * 8 + PUT
    bar_value, bar_choice = bar_values_at(pieces, xs, bar_values)
    for b, (width, low, high, _) in enumerate(pieces.blanks):
        worth_at = bar_value[low] + (bar_value[high] if high >= 0 else 0)
        j = int(np.searchsorted(ys, width))
        better = value[:, j] < worth_at
        value[better, j] = worth_at[better]
        choice[better, j] = b * 8 + BLANK
    splits(xs, ys, value, choice)
    return Table(pieces, xs, ys, value, choice, bar_choice)


def bar_values_at(pieces: Pieces, xs: Ints, values: Sequence[int]) -> tuple[Ints, Ints]:
    """Return, by kind and point, the most a bar of that length is worth, and the choice that gives it.

    One-dimensional unbounded knapsack: a bar is crosscut into cleats.
    """
    kinds = 1 + max([max(low, high) for _, low, high, _ in pieces.blanks] + [bar[0] for bar in pieces.bars], default=0)
    worth = np.zeros((kinds, xs.size), dtype=np.int64)
    choice = np.full((kinds, xs.size), -1, dtype=np.int64)
    if pieces.blanks and pieces.bars:
        _bar_worths(xs, [(kind, length, values[index]) for kind, length, index in pieces.bars], worth, choice)
    return worth, choice


def bars_of(pieces: Pieces, xs: Ints, choice: Ints, kind: int, length: int) -> tuple[int, ...]:
    """Return the cleats of the most valuable bar of a kind that is ``length`` long."""
    content: list[int] = []
    while True:
        i = int(floor_index(xs, length))
        b = int(choice[kind, i])
        if b < 0:
            return tuple(content)
        content.append(pieces.bars[b][2])
        length = int(xs[i]) - pieces.bars[b][1]


def pattern_of(table: Table, length: int, width: int) -> Pattern:
    """Return the best pattern for a rectangle of at most the table's sides."""
    i, j = int(floor_index(table.xs, length)), int(floor_index(table.ys, width))
    choice = int(table.choice[i, j])
    what, which = choice % 8, choice // 8
    if what == NOTHING or not table.value[i, j]:
        return None
    if what == PUT:
        put_length, put_width, item, turned = table.pieces.rectangles[which]
        return trimmed(Put(item, turned), put_length, put_width, length, width)
    if what == BLANK:
        blank_width, low, high, index = table.pieces.blanks[which]
        lows = bars_of(table.pieces, table.xs, table.bar_choice, low, length)
        highs = bars_of(table.pieces, table.xs, table.bar_choice, high, length) if high >= 0 else None
        strip = Strip(index, lows, highs)
        return trimmed(strip, length, blank_width, length, width)
    if what == CROSSCUT:
        at = int(table.xs[which])
        return Split("crosscut", at, pattern_of(table, at, width), pattern_of(table, length - at, width))
    at = int(table.ys[which])
    return Split("rip", at, pattern_of(table, length, at), pattern_of(table, length, width - at))


def trimmed(leaf: Pattern, leaf_length: int, leaf_width: int, length: int, width: int) -> Pattern:
    """Cut a leaf, or a pattern of these sides, out of a larger space: first what leaves the larger rest in one piece.

    >>> trimmed(Put(0), 4, 3, 4, 5)
    Split(cut='rip', at=3, low=Put(item=0, turned=False), high=None)
    """
    pattern: Pattern = leaf
    spare_x, spare_y = length - leaf_length, width - leaf_width
    cuts: list[tuple[Cut, int, int]] = [("crosscut", leaf_length, spare_x), ("rip", leaf_width, spare_y)]
    if spare_x * width > spare_y * length:
        cuts.reverse()
    for cut, at, spare in cuts:  # innermost first
        if spare > 0:
            pattern = Split(cut, at, pattern, None)
    return pattern
