"""Dives: a part of a better plan from the pattern program, the rest filled in by the packing search.

Where the linear program or the integer program over listed sets says that a cheaper plan is near, its columns
are a start that the search by itself had not met. Columns are fixed in the order of their values in the linear
program (after Belov & Scheithauer 2006, from memory); parts not covered go to sheets of their own; ruin and recreate
then tries to empty them.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

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


def completed(problem: Problem, part: Plan, target: int, stop: Stop, seed: int) -> Plan | None:
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
        start = improve(problem, start, seed, stop, target=target, kernels=kernels)
    return start if cost_of(problem, start) <= target else None


def dive(
    problem: Problem,
    pricers: Sequence[Pricer],
    values: Sequence[tuple[float, Column]],
    target: int,
    stop: Stop,
    seed: int,
) -> Plan | None:
    """Fix columns by their values in the linear program as long as they cover nothing twice, and complete them."""
    stores = {priced.bin: priced for priced in pricers}
    left = Counter({i: item.demand for i, item in enumerate(problem.items)})
    part: list[Sheet] = []
    cost = 0
    for _, (b, content) in sorted(values, key=lambda entry: (-entry[0], entry[1])):
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
    return completed(problem, tuple(part), target, stop, seed)
