"""Whether given bins hold all parts, by every multiset of them: exact for guillotine cutting, for jobs of few parts.

For each multiset of a job's parts the boxes that it can be cut from are merged from those of its divisions into two,
equal parts counted only; a choice of stock holds the job if the parts divide into sets that fit its bins. The boxes
are those of :mod:`nesting.solve.boxes` (Christofides & Hadjiconstantinou 1995, Wang 1983, from memory), which knows
single parts and so at most twelve in a bin; here a hundred are no matter where they are of few types. What it says is a
proof: the boxes are all there are, in a space that holds every bin, with every way a part may lie in some bin.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from nesting.solve.compiled import Kernels
from nesting.solve.enlarge import fitted
from nesting.solve.kernels_multisets import AT, FULL, USED, Sets
from nesting.solve.problem import Problem
from nesting.solve.stop import Stop

MOST_SETS, MOST_DIVISIONS = 200_000, 10**8
"""Multisets at most, and divisions of all of them into two: some 8 s of work."""
MOST_BOXES, LONGEST_LIST = 3_000_000, 20_000
STEPS = 2_000_000
"""Steps between two looks at the clock, some 20 ms."""


@dataclass(slots=True)
class Multisets:
    """The boxes of a job's multisets, worked out bit by bit."""

    problem: Problem
    sets: Sets
    fitting: dict[int, Any] = field(default_factory=dict)
    said: dict[tuple[int, ...], bool] = field(default_factory=dict)

    @classmethod
    def of(cls, problem: Problem) -> Multisets | None:
        """Return the multisets of a problem of rectangles, ``None`` where they are too many.

        >>> from nesting.solve.problem import Bin, Item
        >>> Multisets.of(Problem((Bin(9, 9, 1),), (Item(1, 1, MOST_SETS, ((True, True),)),))) is None
        True
        """
        problem = fitted(problem)
        items = [item for item in problem.items if item.demand]
        divisions = math.prod((item.demand + 1) * (item.demand + 2) // 2 for item in items)
        sets = math.prod(item.demand + 1 for item in items)
        if problem.runs or not items or sets > MOST_SETS or divisions > MOST_DIVISIONS:
            return None
        sides, ways = np.zeros((len(items), 2, 2), dtype=np.int64), []
        for i, item in enumerate(items):
            able = [any(way[turn] for way in item.ways) for turn in (0, 1)]
            lies = [(item.length, item.width)] * able[0] + [(item.width, item.length)] * able[1]
            sides[i, : len(lies)] = lies
            ways.append(len(lies))
        copies = np.array([item.demand for item in items], dtype=np.int64)
        room = max(stock.length for stock in problem.bins), max(stock.width for stock in problem.bins)

        def ints(*shape: int) -> Any:
            return np.zeros(shape, dtype=np.int64)

        boxes = min(MOST_BOXES, 200 * sets)
        return cls(
            problem,
            Sets(
                sides=sides,
                ways=np.array(ways, dtype=np.int64),
                copies=copies,
                strides=np.cumprod([1, *(copies[:-1] + 1)], dtype=np.int64),
                areas=np.array([item.length * item.width for item in items], dtype=np.int64),
                room=np.array(room, dtype=np.int64),
                xs=ints(boxes),
                ys=ints(boxes),
                start=ints(sets),
                count=ints(sets),
                digits=ints(len(items)),
                part=ints(len(items)),
                new_w=ints(LONGEST_LIST),
                new_h=ints(LONGEST_LIST),
                tally=ints(4),
            ),
        )

    def holds(self, counts: Sequence[int], stop: Stop, kernels: Kernels) -> bool | None:
        """Say whether so many bins of each kind may hold all parts; ``None`` where time or room were not enough.

        ``False`` is a proof for guillotine cutting; ``True`` is none where parts may lie in one bin as not in another.

        >>> from nesting.solve.compiled import PLAIN
        >>> from nesting.solve.problem import Bin, Item
        >>> sets = Multisets.of(Problem((Bin(10, 10, 1),), (Item(6, 4, 4, ((True, True),)),)))
        >>> sets.holds((1,), Stop.after(9), PLAIN), sets.holds((2,), Stop.after(9), PLAIN)
        (False, True)
        """
        sets, steps = self.sets, STEPS if kernels.compiled else STEPS // 1000
        while sets.tally[AT] < sets.start.size:
            if stop.reached() or sets.tally[FULL]:
                return None
            kernels.merge_sets(sets, steps)
        if sets.tally[FULL]:
            return None
        if tuple(counts) not in self.said:
            held = self._divided([b for b, count in enumerate(counts) for _ in range(count)], steps, stop, kernels)
            if held is None:
                return None
            self.said[tuple(counts)] = held
        return self.said[tuple(counts)]

    def _divided(self, queue: Sequence[int], steps: int, stop: Stop, kernels: Kernels) -> bool | None:
        """Say whether the parts divide into sets that fit these bins, one each; ``None`` where it was stopped."""
        if not queue:
            return False
        held = self._fits(queue[0])
        for b in queue[1:-1]:
            joined, at = np.zeros_like(held), 0
            while at < joined.size:
                if stop.reached():
                    return None
                at = kernels.join_sets(self.sets, held, self._fits(b), joined, at, steps)
            held = joined
        if len(queue) == 1:
            return bool(held[-1])
        others = self._fits(queue[-1])[::-1]  # what a set leaves of all parts has the mirrored number
        return bool((held & others).any())

    def _fits(self, b: int) -> Any:
        """Return which sets fit a bin of a kind, the empty one among them."""
        if b not in self.fitting:
            sets, stock = self.sets, self.problem.bins[b]
            used = int(sets.tally[USED])
            fits = (sets.xs[:used] <= stock.length) & (sets.ys[:used] <= stock.width)
            found = np.zeros(sets.start.size, dtype=np.bool_)
            some = np.flatnonzero(sets.count)
            if some.size:
                found[some] = np.logical_or.reduceat(fits, sets.start[some])
            found[0] = True
            self.fitting[b] = found
        return self.fitting[b]
