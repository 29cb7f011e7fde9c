"""A plan from the boxes of all multisets: how given bins hold all pieces, where they do.

Boxes are undone as they were made (:mod:`nesting.solve.multisets`): each is a leaf, or two smaller ones side by side.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from nesting.solve.bars import kind_pair
from nesting.solve.blank_boxes import Halves
from nesting.solve.compiled import Kernels
from nesting.solve.kernels_multisets import A_LEAF, BESIDE, FIRST, MADE, ONE, SECOND
from nesting.solve.knapsack import trimmed
from nesting.solve.multisets import Multisets
from nesting.solve.pattern import Pattern, Plan, Put, Sheet, Split, Strip
from nesting.solve.stop import Stop


class _NotHereError(Exception):
    """A piece may not lie in this bin as it does in another."""


def plan_of(held: Multisets, counts: Sequence[int], stop: Stop, kernels: Kernels) -> Plan | None:
    """Return how so many bins of each kind hold all pieces; ``None`` where they do not, or not as found here.

    >>> from nesting.solve.compiled import PLAIN
    >>> from nesting.solve.problem import Bin, Item, Problem
    >>> sets = Multisets.of(Problem((Bin(10, 8, 1),), (Item(6, 4, 3, ((True, True),)),)), [(1,)])
    >>> plan_of(sets, (1,), Stop.after(9), PLAIN)[0].pattern.cut
    'crosscut'
    """
    divided = held.divided(counts, stop, kernels)
    if not divided:
        return None
    left = [[i for i, copies in each.members for _ in range(copies)] for each in held.types]
    try:
        return tuple(Sheet(b, _Undoing(held, b, left, kernels).whole(number)) for b, number in divided)
    except _NotHereError:
        return None


@dataclass(frozen=True, slots=True)
class _Undoing:
    """One bin at work; takes the pieces of each type from those ``left``."""

    held: Multisets
    bin: int
    left: list[list[int]]
    kernels: Kernels

    def whole(self, number: int) -> Pattern:
        """Return how the bin is cut into a set that fits it."""
        sets, stock = self.held.sets, self.held.problem.bins[self.bin]
        first, count = sets.where[number].tolist()
        for box in range(first, first + count):
            length, width = self.sides(box)
            if length <= stock.length and width <= stock.width:
                return trimmed(self.made(number, box), length, width, stock.length, stock.width)
        raise _NotHereError

    def sides(self, box: int) -> tuple[int, int]:
        """Return the sides of a box on the problem's grid."""
        length, width = self.held.sets.boxes[box].tolist()
        return length // self.held.fine, width // self.held.fine

    def made(self, number: int, box: int) -> Pattern:
        """Return how a box of a set is cut."""
        sets, tally = self.held.sets, self.held.sets.tally
        w, h = sets.boxes[box].tolist()
        self.kernels.unmake(sets, number, w, h)
        length, width = self.sides(box)
        if tally[MADE] == A_LEAF:
            halves = self.held.blanks.get((number, w, h))
            return self.put(number, length, width) if halves is None else self.strip(halves)
        beside, one, first, second = tally[MADE] == BESIDE, int(tally[ONE]), int(tally[FIRST]), int(tally[SECOND])

        def part(of: int, at: int) -> Pattern:
            x, y = self.sides(at)
            return trimmed(self.made(of, at), x, y, x if beside else length, width if beside else y)

        mark = self.sides(first)[0 if beside else 1]
        return Split("crosscut" if beside else "rip", mark, part(one, first), part(number - one, second))

    def put(self, number: int, length: int, width: int) -> Put:
        """Return an item of the type that is a set by itself, as it lies in the bin."""
        index = self.left[self.held.sets.strides.tolist().index(number)].pop()
        item = self.held.problem.items[index]
        straight, turned = item.ways[self.bin]
        if straight and (length, width) == (item.length, item.width):
            return Put(index)
        if turned and (width, length) == (item.length, item.width):
            return Put(index, turned=True)
        raise _NotHereError

    def strip(self, halves: Halves) -> Strip:
        """Return the strip of a blank in the bin."""
        bars = self.held.problem.bars
        low = tuple(self.left[t].pop() for t in halves.low)
        high = None if halves.high is None else tuple(self.left[t].pop() for t in halves.high)
        kind, other = bars[low[0]].kind, None if high is None else bars[high[0]].kind
        for index, blank in enumerate(self.held.problem.blanks[self.bin]):
            if kind_pair(blank.low, blank.high) == kind_pair(kind, other) and blank.width == halves.width:
                if high is not None and blank.low != kind:
                    low, high = high, low
                return Strip(index, low, high)
        raise _NotHereError
