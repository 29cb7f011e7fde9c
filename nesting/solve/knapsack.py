"""The guillotine knapsack: the most valuable way to cut one bin, every part as often as one likes.

Dynamic programming over rectangles at normal points (Gilmore & Gomory 1966, "The theory and computation of
knapsack functions"; Herz 1972; Beasley 1985, "Algorithms for unconstrained two-dimensional guillotine
cutting"). Departure: a rectangle may also be a blank that a bevel rip turns into two bars, each bar a
one-dimensional knapsack over its length by itself. Values are integers, so the optimum is exact and serves
as a bound; with demands left out it never undervalues a bin.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from nesting.solve.compiled import jit
from nesting.solve.pattern import Pattern, Put, Split, Strip
from nesting.solve.points import floor_index, normal_points
from nesting.solve.problem import Problem

Ints = NDArray[np.int64]

NOTHING, PUT, BLANK, CROSSCUT, RIP = range(5)


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


@jit
def _bars(xs: Ints, columns: Ints, value: Ints, choice: Ints) -> None:  # pragma: no cover
    kinds, lengths, values = columns[0], columns[1], columns[2]
    for i in range(xs.size):
        if i:
            for kind in range(value.shape[0]):
                value[kind, i] = value[kind, i - 1]
                choice[kind, i] = choice[kind, i - 1]
        for b in range(kinds.size):
            if lengths[b] <= xs[i]:
                rest = np.searchsorted(xs, xs[i] - lengths[b], side="right") - 1
                total = values[b] + value[kinds[b], rest]
                if total > value[kinds[b], i]:
                    value[kinds[b], i] = total
                    choice[kinds[b], i] = b


@jit
def _splits(xs: Ints, ys: Ints, value: Ints, choice: Ints) -> None:  # pragma: no cover
    nx, ny = xs.size, ys.size
    rest_y = np.empty((ny, ny), dtype=np.int64)
    for j in range(ny):
        for j1 in range(1, j + 1):
            rest_y[j, j1] = np.searchsorted(ys, ys[j] - ys[j1], side="right") - 1
    for i in range(nx):
        for j in range(1, ny):
            if value[i, j - 1] > value[i, j]:
                value[i, j] = value[i, j - 1]
                choice[i, j] = choice[i, j - 1]
        if i:
            for j in range(ny):
                if value[i - 1, j] > value[i, j]:
                    value[i, j] = value[i - 1, j]
                    choice[i, j] = choice[i - 1, j]
        for i1 in range(1, i):
            if 2 * xs[i1] > xs[i]:
                break
            rest = np.searchsorted(xs, xs[i] - xs[i1], side="right") - 1
            for j in range(1, ny):
                total = value[i1, j] + value[rest, j]
                if total > value[i, j]:
                    value[i, j] = total
                    choice[i, j] = i1 * 8 + CROSSCUT
        for j in range(1, ny):
            best, best_choice = value[i, j], choice[i, j]
            if value[i, j - 1] > best:
                best, best_choice = value[i, j - 1], choice[i, j - 1]
            for j1 in range(1, j):
                if 2 * ys[j1] > ys[j]:
                    break
                total = value[i, j1] + value[i, rest_y[j, j1]]
                if total > best:
                    best, best_choice = total, j1 * 8 + RIP
            value[i, j], choice[i, j] = best, best_choice


def fill(pieces: Pieces, xs: Ints, ys: Ints, item_values: Sequence[int], bar_values: Sequence[int]) -> Table:
    """Solve all sub-rectangles at the given points; values are non-negative integers per item and bar.

    Complexity O(nx ny (nx + ny)) for nx, ny points.
    """
    value = np.zeros((xs.size, ys.size), dtype=np.int64)
    choice = np.zeros((xs.size, ys.size), dtype=np.int64)
    for r, (length, width, item, _) in enumerate(pieces.rectangles):
        worth = item_values[item]
        i, j = np.searchsorted(xs, length), np.searchsorted(ys, width)
        better = value[i:, j:] < worth
        value[i:, j:][better] = worth
        choice[i:, j:][better] = r * 8 + PUT
    bar_value, bar_choice = bar_values_at(pieces, xs, bar_values)
    for b, (width, low, high, _) in enumerate(pieces.blanks):
        worth_at = bar_value[low] + (bar_value[high] if high >= 0 else 0)
        j = np.searchsorted(ys, width)
        better = value[:, j:] < worth_at[:, None]
        value[:, j:] = np.maximum(value[:, j:], worth_at[:, None])
        choice[:, j:][better] = b * 8 + BLANK
    _splits(xs, ys, value, choice)
    return Table(pieces, xs, ys, value, choice, bar_choice)


def bar_values_at(pieces: Pieces, xs: Ints, values: Sequence[int]) -> tuple[Ints, Ints]:
    """Return, by kind and point, the most a bar of that length is worth, and the choice that gives it.

    One-dimensional unbounded knapsack: a bar is crosscut into cleats.
    """
    kinds = 1 + max([max(low, high) for _, low, high, _ in pieces.blanks] + [bar[0] for bar in pieces.bars], default=0)
    worth = np.zeros((kinds, xs.size), dtype=np.int64)
    choice = np.full((kinds, xs.size), -1, dtype=np.int64)
    if pieces.blanks and pieces.bars:
        columns = np.array([(kind, length, values[index]) for kind, length, index in pieces.bars], dtype=np.int64)
        _bars(xs, np.ascontiguousarray(columns.T), worth, choice)
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


def trimmed(leaf: Put | Strip, leaf_length: int, leaf_width: int, length: int, width: int) -> Pattern:
    """Cut a leaf out of a larger space: first the cut that leaves the larger rest in one piece.

    >>> trimmed(Put(0), 4, 3, 4, 5)
    Split(cut='rip', at=3, low=Put(item=0, turned=False), high=None)
    """
    pattern: Pattern = leaf
    spare_x, spare_y = length - leaf_length, width - leaf_width
    cuts = [("crosscut", leaf_length, spare_x), ("rip", leaf_width, spare_y)]
    if spare_x * width > spare_y * length:
        cuts.reverse()
    for cut, at, spare in cuts:  # innermost first
        if spare > 0:
            pattern = Split("rip" if cut == "rip" else "crosscut", at, pattern, None)
    return pattern
