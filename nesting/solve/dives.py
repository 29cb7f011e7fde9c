"""Dives: a part of a better plan from the pattern program, the rest filled in by the packing search.

Where the linear program or the integer program over listed sets says that a cheaper plan is near, its columns
are a start that the search by itself had not met. Columns are fixed in the order of their values in the linear
program, or one after another with the program solved anew (after Belov & Scheithauer 2006, from memory); parts not
covered go to sheets of their own; ruin and recreate then tries to empty them. While patterns are still being priced the
search beside tries that, from one solution of the linear program after another.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from nesting.solve.boxes import OutOfTime
from nesting.solve.columns import cost_of, keeps_limits, remaining, without_surplus
from nesting.solve.compiled import PLAIN, load, ready
from nesting.solve.construct import first_plans
from nesting.solve.exact_pricing import Pricer
from nesting.solve.improve import improve
from nesting.solve.pattern import Plan, Sheet
from nesting.solve.pattern_bound import Column
from nesting.solve.problem import Problem
from nesting.solve.stop import Stop

TRIES = 20
TRY_ITERATIONS, SLOWEST = 300_000, 1.0
"""Iterations of ruin and recreate times pieces of one try beside the pricing, some 0.2 s compiled; seconds at most."""
DROPPED = 0.25
"""Share of the fixed sheets that a try gives up at most, the least sure first."""


@dataclass(frozen=True, slots=True)
class Near:
    """What a cheaper plan may be grown from: sheets fixed by the linear program, and the cost to be reached."""

    problem: Problem
    part: Plan
    target: int

    def grown(self, seed: int, stop: Stop) -> Plan | None:
        """Try once to grow a plan of the target's cost; ``None`` where that did not come about."""
        rng = random.Random(seed)
        kept = len(self.part) - int(rng.random() * DROPPED * len(self.part)) * rng.randint(0, 1)
        pieces = max(1, sum(item.demand for item in self.problem.items))
        iterations = max(50, TRY_ITERATIONS // pieces)
        return completed(self.problem, self.part[:kept], self.target, stop.within(SLOWEST), seed, iterations)


Hope = Callable[[Near], None]
"""Gets what a cheaper plan may be grown from, as the linear program goes on."""


def completed(
    problem: Problem, part: Plan, target: int, stop: Stop, seed: int, iterations: int | None = None
) -> Plan | None:
    """Return a plan of cost ``target`` or less that grew from a partial one, ``None`` if none was found."""
    part = without_surplus(problem, part)
    rest_of = remaining(problem, part)
    kernels = load() if ready() else PLAIN
    start = part
    if any(item.demand for item in rest_of.items):
        rest: Plan = ()
        for plan in first_plans(rest_of, seed, TRIES, stop, kernels):
            rest = plan
        if not rest:
            return None
        start = part + rest
    if not keeps_limits(problem, start):
        return None
    if cost_of(problem, start) > target:
        start = improve(problem, start, seed, stop, target=target, kernels=kernels, iterations=iterations)
    return start if cost_of(problem, start) <= target else None


def fixed(
    problem: Problem, pricers: Sequence[Pricer], columns: Iterable[Column], target: int, stop: Stop
) -> Plan | None:
    """Fix columns in turn up to a cost as long as they cover nothing twice; ``None`` if stopped."""
    stores = {priced.bin: priced for priced in pricers}
    left = Counter({i: item.demand for i, item in enumerate(problem.items)})
    part: list[Sheet] = []
    cost = 0
    for b, content in columns:
        cost_here = problem.bins[b].cost
        if cost + cost_here > target or any(left[item] < copies for item, copies in content):
            continue
        if stop.reached():
            return None
        parts = [item for item, copies in content for _ in range(copies)]
        try:
            pattern = stores[b].known(parts, stop)
        except OutOfTime:
            return None
        if pattern is not None:
            part.append(Sheet(b, pattern))
            left.subtract(dict(content))
            cost += cost_here
    return tuple(part)


def by_value(values: Iterable[tuple[float, Column]]) -> list[Column]:
    """Return columns in the order of their values, those used most first."""
    return [column for _, column in sorted(values, key=lambda entry: (-entry[0], entry[1]))]
