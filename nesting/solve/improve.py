"""Improve a plan by ruin and recreate, see :mod:`nesting.solve.kernels_ruin`."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import astuple, dataclass

from nesting.solve.compiled import PLAIN, Kernels, Warming
from nesting.solve.copies import expand
from nesting.solve.kernels_ruin import BEST, BEST_COST, BEST_SHEETS, POOLED, TARGET
from nesting.solve.pattern import Pattern, Plan
from nesting.solve.problem import Problem
from nesting.solve.stop import Stop

SLICE = 0.02
"""Seconds between two looks at the clock."""


@dataclass(frozen=True, slots=True)
class Knobs:
    """Parameters of the search, in the order of ``Search.knobs``."""

    tries: int = 12
    most_sheets: int = 4
    heat: float = 0.01
    filled: float = 0.8
    fresh: float = 0.5
    bias: float = 0.5

    def values(self) -> list[float]:
        """Return them as the kernels want them."""
        return [float(value) for value in astuple(self)]


def improve(
    problem: Problem,
    start: Plan,
    seed: int,
    stop: Stop,
    *,
    on_pattern: Callable[[int, Pattern], None] | None = None,
    on_better: Callable[[Plan], None] | None = None,
    target: int | None = None,
    kernels: Kernels = PLAIN,
    warming: Warming | None = None,
    knobs: Knobs | None = None,
    iterations: int | None = None,
) -> Plan:
    """Return the best plan found until ``stop``, until its cost is at most ``target``, or for so many iterations.

    ``on_pattern`` gets the bin and pattern of each well-filled sheet of contents not seen before (up to
    some 16,000), ``on_better`` each plan of lower cost. ``warming`` hands over to compiled kernels once
    they are there. The same seed and number of iterations give the same plan, whichever kernels run.
    """
    if not start:
        return start
    knobs = knobs or Knobs()
    if on_pattern is None:
        knobs = Knobs(**{**{k: getattr(knobs, k) for k in Knobs.__slots__}, "filled": 2.0})
    copies = expand(problem, seed, knobs.values())
    if kernels.compiled:
        copies.use_arrays()
    copies.load(start)
    copies.search.tally[TARGET] = -1 if target is None else target
    best, cost = start, int(copies.search.tally[BEST_COST])
    chunk, left = 1, iterations
    while not stop.reached() and (target is None or cost > target) and left != 0:
        if warming is not None and not kernels.compiled and warming.done():
            kernels, warming = warming.kernels, None
            if kernels.compiled:
                copies.use_arrays()
        begun = time.perf_counter()
        ran = chunk if left is None else min(chunk, left)
        kernels.ruin_and_recreate(copies.job, copies.work, copies.search, ran)
        left = None if left is None else left - ran
        spent = time.perf_counter() - begun
        chunk = max(1, int(chunk * min(4.0, SLICE / max(spent, 1e-6))))
        if int(copies.search.tally[BEST_COST]) < cost:
            cost = int(copies.search.tally[BEST_COST])
            plan = copies.plan(BEST, int(copies.search.tally[BEST_SHEETS]))
            if plan is not None:
                best = plan
                if on_better is not None:
                    on_better(plan)
        if on_pattern is not None and copies.search.tally[POOLED]:
            for sheet in copies.pooled():
                on_pattern(sheet.bin, sheet.pattern)
    return best
