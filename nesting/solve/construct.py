"""First plans: many quick constructions, the better ones handed out as they come."""

from __future__ import annotations

from collections.abc import Iterator

from nesting.solve.compiled import PLAIN, Kernels
from nesting.solve.copies import expand
from nesting.solve.improve import Knobs
from nesting.solve.kernels_ruin import CURRENT
from nesting.solve.pattern import Plan
from nesting.solve.problem import Problem
from nesting.solve.stop import Stop


def first_plans(problem: Problem, seed: int, tries: int, stop: Stop, kernels: Kernels = PLAIN) -> Iterator[Plan]:
    """Yield plans, each cheaper than the one before, from up to ``tries`` constructions.

    Insertion with a delayed split, see :mod:`nesting.solve.kernels`; sort keys and weights are drawn
    anew for each. The same seed gives the same plans, plain or compiled. Nothing is yielded where
    bins are limited in number and no construction came out with them.

    >>> from nesting.solve.problem import Bin, Item
    >>> problem = Problem((Bin(10, 10, 1),), (Item(5, 10, 3, ((True, False),)),))
    >>> [len(plan) for plan in first_plans(problem, 1, 10, Stop.after(5))]
    [2]
    """
    copies = expand(problem, seed, Knobs().values())
    if not copies.job.length:
        yield ()
        return
    if kernels.compiled:
        copies.use_arrays()
    most = 1 << 62
    for _ in range(tries):
        sheets = kernels.construct_all(copies.job, copies.work, copies.search, most)
        if sheets > 0:
            most = int(copies.search.tally[1]) - 1
            plan = copies.plan(CURRENT, sheets)
            if plan is not None:
                yield plan
        if stop.reached():
            return
