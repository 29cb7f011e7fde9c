"""Given bins filled whole: a beam over all of them, then a few at a time emptied and filled with what was left out too.

Large neighbourhood search: Shaw 1998, "Using constraint programming and local search methods to solve vehicle routing
problems" (from memory), here with beams (:mod:`nesting.solve.beam`) to fill what was emptied. A filling is kept where
it holds no less than before, so beams may waste no more than the bins did, and most end early.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from nesting.solve.beam import fill
from nesting.solve.compiled import Kernels
from nesting.solve.pattern import Pattern, Plan, Sheet, contents
from nesting.solve.problem import Problem
from nesting.solve.stop import Stop

FIRST_WIDTH, WIDTHS = 128, (64, 64, 128)
"""Layouts a level that the first beam keeps, and what is drawn for those that fill a few bins again."""
FIRST_WASTE = 1.6
"""What the first beam may waste, in multiples of what all bins may."""
EMPTIED = (1, 2, 2, 3)
"""Bins emptied at a time, drawn."""
PATIENCE = 100
"""Times in a row that nothing more goes in before it is given up, by default."""


@dataclass(frozen=True, slots=True)
class Filling:
    """One bin with its pattern and the items in it; no pattern where it is empty."""

    bin: int
    pattern: Pattern
    held: Counter[int]


def refill(
    problem: Problem, queue: Sequence[int], seed: int, stop: Stop, kernels: Kernels, patience: int = PATIENCE
) -> Plan | None:
    """Return a plan that uses bins of the queue alone, ``None`` where none was found.

    ``problem`` is one without bars and limits on stages. The same seed gives the same plan, unless stopped.

    >>> from nesting.solve.compiled import PLAIN
    >>> from nesting.solve.problem import Bin, Item
    >>> job = Problem((Bin(10, 5, 1),), (Item(5, 5, 3, ((True, False),)),))
    >>> len(refill(job, [0, 0], 1, Stop.after(9), PLAIN)), refill(job, [0], 1, Stop.after(9), PLAIN)
    (2, None)
    """
    rng = random.Random(seed)
    bins, areas = problem.bins, [item.length * item.width for item in problem.items]
    room = sum(bins[b].length * bins[b].width for b in queue)
    waste = room - sum(area * item.demand for area, item in zip(areas, problem.items, strict=True))
    if waste < 0:
        return None
    wanted = Counter({i: item.demand for i, item in enumerate(problem.items) if item.demand})
    found = fill(problem, queue, FIRST_WIDTH, int(FIRST_WASTE * waste), seed, stop, kernels)
    fillings = _fillings(queue, () if found is None else found.plan)
    left = wanted - _held(fillings)
    idle = 0
    while left and idle < patience and not stop.reached():
        chosen = rng.sample(range(len(fillings)), min(len(fillings), rng.choice(EMPTIED)))
        emptied = [fillings[at] for at in chosen]
        held = _held(emptied)
        before = sum(areas[i] * copies for i, copies in held.items())
        asked = left + held
        some = replace(problem, items=tuple(replace(item, demand=asked[i]) for i, item in enumerate(problem.items)))
        places = [filling.bin for filling in emptied]
        spare = sum(bins[b].length * bins[b].width for b in places) - before
        found = fill(some, places, rng.choice(WIDTHS), spare, rng.randrange(1 << 30), stop, kernels)
        idle += 1
        if found is None or found.area < before:
            continue
        if found.area > before:
            idle = 0
        filled = _fillings(places, found.plan)
        fillings = [filling for at, filling in enumerate(fillings) if at not in chosen] + filled
        left = asked - _held(filled)
    if left:
        return None
    return tuple(Sheet(filling.bin, filling.pattern) for filling in fillings if filling.pattern is not None)


def _fillings(queue: Sequence[int], plan: Plan) -> list[Filling]:
    """Return the bins of a queue as a plan fills them, those it does not use empty."""
    unused = Counter(queue) - Counter(sheet.bin for sheet in plan)
    filled = [Filling(sheet.bin, sheet.pattern, contents(sheet.pattern)[0]) for sheet in plan]
    return filled + [Filling(b, None, Counter()) for b in unused.elements()]


def _held(fillings: Sequence[Filling]) -> Counter[int]:
    """Count the items of some bins."""
    held: Counter[int] = Counter()
    for filling in fillings:
        held.update(filling.held)
    return held
