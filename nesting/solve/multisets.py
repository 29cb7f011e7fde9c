"""Whether given bins hold all pieces, by every multiset of them: exact for guillotine cutting, for jobs of few pieces.

For each multiset of a job's pieces the boxes that it can be cut from are merged from those of its divisions into two,
equal pieces counted only; a choice of stock holds the job if the pieces divide into sets that fit its bins. The boxes
are those of :mod:`nesting.solve.boxes` (Christofides & Hadjiconstantinou 1995, Wang 1983, from memory), which knows
single pieces and so at most twelve in a bin; here fifty are no matter where they are of few types. Cleats come from
blanks as they are cut: two bars side by side, each with cleats of one height. As in Wang's algorithm a box that wastes
too much is left out: more than the bins have to spare once all pieces are cut from them. What it says is a proof: the
boxes are all there are, in a space that holds every bin, with every way a piece may lie in some bin.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from nesting.solve.bars import relaxed
from nesting.solve.blank_boxes import Cleats, Halves, blanks_held
from nesting.solve.compiled import Kernels
from nesting.solve.enlarge import fitted
from nesting.solve.kernels_multisets import AT, FULL, NEVER, USED, WASTE, Sets
from nesting.solve.problem import Bin, Problem
from nesting.solve.stop import Stop

MOST_SETS, QUICK = 4_000_000, 10**8
"""Multisets at most, and divisions of all of them into two that are done in some seconds."""
MOST_BOXES, LONGEST_LIST = 3_000_000, 20_000
DIVISIONS = 1_000
"""Divisions of a set listed before they are joined."""
STEPS_AT_ONCE = 4_000_000
"""Steps between two looks at the clock, some 20 ms."""


@dataclass(frozen=True, slots=True)
class Type:
    """Pieces alike: boxes they are cut from (none for cleats), and the items or bars, with copies of each."""

    bar: bool
    area: int
    boxes: tuple[tuple[int, int], ...]
    members: tuple[tuple[int, int], ...]

    @property
    def copies(self) -> int:
        """How many there are."""
        return sum(copies for _, copies in self.members)


@dataclass(slots=True)
class Multisets:
    """The boxes of a job's multisets, worked out bit by bit; ``bins`` are on a grid ``fine`` times the problem's."""

    problem: Problem
    types: tuple[Type, ...]
    bins: tuple[Bin, ...]
    fine: int
    blanks: dict[tuple[int, int, int], Halves]
    sets: Sets
    fitting: dict[int, Any] = field(default_factory=dict)
    said: dict[tuple[int, ...], list[tuple[int, int]]] = field(default_factory=dict)

    @classmethod
    def of(cls, problem: Problem, listed: Sequence[Sequence[int]], most: float = math.inf) -> Multisets | None:
        """Return the multisets of a problem for choices of counts of bins, ``None`` where they are too many.

        ``most``: divisions into two that all of them have together at most.

        >>> from nesting.solve.problem import Bin, Item
        >>> Multisets.of(Problem((Bin(9, 9, 1),), (Item(1, 1, MOST_SETS, ((True, True),)),)), [(1,)]) is None
        True
        """
        if problem.runs:
            return None
        types, bins = _types(problem), relaxed(problem).bins
        copies = np.array([each.copies for each in types], dtype=np.int64)
        total = math.prod((copies + 1).tolist())
        if not types or total > MOST_SETS or math.prod(((copies + 1) * (copies + 2) // 2).tolist()) > most:
            return None
        strides = np.cumprod([1, *(copies[:-1] + 1)], dtype=np.int64)
        fine = bins[0].length // problem.bins[0].length
        cleats = [
            Cleats(t, problem.bars[each.members[0][0]].kind, problem.bars[each.members[0][0]].length, each.copies)
            for t, each in enumerate(types)
            if each.bar
        ]
        held = blanks_held(problem, cleats)
        if held is None:
            return None
        blanks = {}
        for halves in held:
            number = sum(int(strides[t]) for t in halves.low + (halves.high or ()))
            blanks[number, fine * halves.length, fine * halves.width] = halves
        leaves = [(int(stride), *box) for stride, each in zip(strides, types, strict=True) for box in each.boxes]
        leaves = sorted([*blanks, *leaves])
        areas = np.array([each.area for each in types], dtype=np.int64)
        waste = max(_spare(types, bins, counts) for counts in listed)
        room = [max(stock.length for stock in bins), max(stock.width for stock in bins), waste]
        if waste >= NEVER:
            return None
        sizes = [total // int(stride) for stride in strides]
        boxes, n = min(MOST_BOXES, 200 * total), len(types)

        def ints(size: int | tuple[int, int], kind: Any = np.int64) -> Any:
            return np.zeros(size, dtype=kind)

        return cls(
            problem,
            types,
            bins,
            fine,
            blanks,
            Sets(
                copies=copies,
                strides=strides,
                areas=areas,
                room=np.array(room, dtype=np.int64),
                leaves=np.array(leaves, dtype=np.int64),
                boxes=ints((boxes, 2), np.int32),
                where=ints((total, 2), np.int32),
                least=np.full(sum(sizes), NEVER, dtype=np.int64),
                offsets=np.cumsum([0, *sizes[:-1]], dtype=np.int64),
                digits=ints(n),
                tried=ints(n),
                ones=ints(n + 1),
                twos=ints(n + 1),
                listed=ints(DIVISIONS),
                new_w=ints(LONGEST_LIST),
                new_h=ints(LONGEST_LIST),
                tally=ints(11),
            ),
        )

    @property
    def waste(self) -> int:
        """What a choice may waste of its area, and still be decided; on the finer grid."""
        return int(self.sets.room[WASTE])

    def begun_for(self, listed: Sequence[Sequence[int]]) -> bool:
        """Whether these choices are decided by what is worked out here, not sooner by less."""
        spare = max(_spare(self.types, self.bins, counts) for counts in listed)
        return spare == self.waste or (spare < self.waste and int(self.sets.tally[AT]) == len(self.sets.where))

    def holds(self, counts: Sequence[int], stop: Stop, kernels: Kernels) -> bool | None:
        """Say whether so many bins of each kind may hold all pieces; ``None`` where time or room were not enough.

        ``False`` is a proof for guillotine cutting; ``True`` is none where pieces may lie in one bin as not in another.

        >>> from nesting.solve.compiled import PLAIN
        >>> from nesting.solve.problem import Bin, Item
        >>> sets = Multisets.of(Problem((Bin(10, 10, 1),), (Item(6, 4, 4, ((True, True),)),)), [(2,)])
        >>> sets.holds((1,), Stop.after(9), PLAIN), sets.holds((2,), Stop.after(9), PLAIN)
        (False, True)
        """
        spare = _spare(self.types, self.bins, counts)
        if spare < 0 or not sum(counts):
            return False
        if spare > self.waste or not self._merged(stop, kernels):
            return None
        if tuple(counts) not in self.said:
            found = self._divided(_queue(counts), stop, kernels)
            if found is None:
                return None
            self.said[tuple(counts)] = found
        return bool(self.said[tuple(counts)])

    def divided(self, counts: Sequence[int], stop: Stop, kernels: Kernels) -> list[tuple[int, int]]:
        """Return bins with the set that each takes, none empty; nothing where they are not known to hold all."""
        return self.said[tuple(counts)] if self.holds(counts, stop, kernels) else []

    def _divided(self, queue: Sequence[int], stop: Stop, kernels: Kernels) -> list[tuple[int, int]] | None:
        """Return the set that each bin of a queue takes, nothing where they cannot take all; ``None`` if stopped."""
        firsts = self._firsts(queue, stop, kernels)
        if firsts is None:
            return None
        rest, found = len(self.sets.where) - 1, []
        for others, b in zip(reversed(firsts), reversed(queue[1:]), strict=True):
            before = int(kernels.share(self.sets, others, self._fits(b), rest))
            if before < 0:
                return []
            found.append((b, rest - before))
            rest = before
        if self._fits(queue[0])[rest] == NEVER:
            return []
        return [(b, number) for b, number in (*found, (queue[0], rest)) if number]

    def _merged(self, stop: Stop, kernels: Kernels) -> bool:
        """Work out the boxes of all sets; say whether that was done."""
        sets = self.sets
        while sets.tally[AT] < len(sets.where) and not sets.tally[FULL]:
            if stop.reached():
                return False
            kernels.merge_sets(sets, STEPS_AT_ONCE if kernels.compiled else STEPS_AT_ONCE // 1000)
        return not sets.tally[FULL]

    def _firsts(self, queue: Sequence[int], stop: Stop, kernels: Kernels) -> list[Any] | None:
        """Return what sets waste of the bins before each but the first of a queue; ``None`` where it was stopped."""
        bins, space = self.bins, 0
        found = [self._fits(b) for b in queue[:1] if len(queue) > 1]
        for before, b in itertools.pairwise(queue[:-1]):
            space += bins[before].length * bins[before].width
            both = space + bins[b].length * bins[b].width
            joined, at = np.full(len(self.sets.where), NEVER, dtype=np.int64), 0
            while at < joined.size:
                if stop.reached():
                    return None
                at = kernels.join_sets(self.sets, found[-1], self._fits(b), joined, both, at, STEPS_AT_ONCE)
            found.append(self._levels(joined))
        return found

    def _fits(self, b: int) -> Any:
        """Return what sets waste of a bin that they fit; an empty one among them."""
        if b not in self.fitting:
            sets, length, width = self.sets, self.bins[b].length, self.bins[b].width
            boxes = sets.boxes[: int(sets.tally[USED])]
            wasted = np.full(len(sets.where), NEVER, dtype=np.int64)
            some = np.flatnonzero(sets.where[:, 1])
            if some.size:
                fits = (boxes[:, 0] <= length) & (boxes[:, 1] <= width)
                some = some[np.logical_or.reduceat(fits, sets.where[some, 0])]
            areas = np.zeros(1, dtype=np.int64)
            for each in self.types:
                areas = (each.area * np.arange(each.copies + 1)[:, None] + areas).ravel()
            wasted[some] = length * width - areas[some]
            wasted[0] = length * width
            self.fitting[b] = self._levels(wasted)
        return self.fitting[b]

    def _levels(self, wasted: Any) -> Any:
        """Return the waste of each set, then the least of those alike from the second type on, the third on ..."""
        return np.concatenate([wasted.reshape(-1, int(stride)).min(axis=1) for stride in self.sets.strides])


def _spare(types: Sequence[Type], bins: Sequence[Bin], counts: Sequence[int]) -> int:
    """Return what counts of bins have more than the pieces ask for."""
    space = sum(count * stock.length * stock.width for count, stock in zip(counts, bins, strict=True))
    return space - sum(each.area * each.copies for each in types)


def _queue(counts: Sequence[int]) -> list[int]:
    return [b for b, count in enumerate(counts) for _ in range(count)]


def _types(problem: Problem) -> tuple[Type, ...]:
    """Return a problem's pieces with like ones together, those of the least area first."""
    rectangles = fitted(relaxed(problem))
    bars = [index for index, bar in enumerate(problem.bars) if bar.demand]
    own = len(problem.items)
    alike: dict[tuple[object, ...], Type] = {}
    for index, item in enumerate(rectangles.items):
        if not item.demand:
            continue
        bar = index >= own
        member = index
        key: tuple[object, ...]
        lies: tuple[tuple[int, int], ...] = ()
        if bar:
            member = bars[index - own]
            key = (bar, problem.bars[member].kind, item.length)
        else:
            sides = ((item.length, item.width), (item.width, item.length))
            lies = tuple(side for turn, side in enumerate(sides) if any(way[turn] for way in item.ways))
            key = (bar, lies, item.ways)
        members = (*(alike[key].members if key in alike else ()), (member, item.demand))
        alike[key] = Type(bar, item.length * item.width, lies, members)
    return tuple(sorted(alike.values(), key=lambda each: (each.area, each.bar, each.boxes, each.members)))
