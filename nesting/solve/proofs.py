"""Proofs: that a plan cannot be beaten, or a plan that beats it, within a time limit.

In order of what they cost: the linear program over patterns with exact pricing, then gap enumeration, on the
pool of sheets that the search has met; see :mod:`nesting.solve.pattern_bound` and :mod:`nesting.solve.gap`. All
hold for guillotine cutting without a limit on stages, and so bound plans under a limit too. What was not
carried through says nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from nesting.errors import CannotBeDone
from nesting.solve.boxes import Full, OutOfTime
from nesting.solve.columns import column_of, cost_of
from nesting.solve.enlarge import fitted, lying
from nesting.solve.exact_pricing import Pricer, pricer, search
from nesting.solve.gap import Listed, cheaper_plan, decide, largest
from nesting.solve.pattern import Plan, Sheet
from nesting.solve.pattern_bound import Column, bound_by_patterns, next_lower
from nesting.solve.problem import Bound, Problem
from nesting.solve.staged_boxes import StagedBoxes
from nesting.solve.stop import Stop

TINY = 10
"""Most parts that are solved by listing all sets."""


@dataclass(frozen=True, slots=True)
class Proof:
    """The best bound now known, a better plan if one was met, and whether that plan (or the old one) is optimal."""

    bound: Bound
    better: Plan | None
    exact: bool


def prove(
    problem: Problem,
    incumbent: Plan,
    bound: Bound,
    stop: Stop,
    *,
    pool: Sequence[Sheet] = (),
    seed: int = 0,
    upper: int | None = None,
) -> Proof:
    """Try to prove a plan optimal or to find a better one; ``pool`` holds sheets met on the way to it.

    ``upper`` is the cost to be refuted where ``incumbent`` is no plan of this very problem (a relaxation of it,
    say): pass an empty plan then. A better plan then is one of the relaxation. Under a limit on stages or on the
    first cut only bounds are returned.
    """
    problem = fitted(problem)
    cost = cost_of(problem, incumbent) if upper is None else upper
    best: Plan | None = None
    free = problem.max_stages is None and problem.first_cut == "any"
    if bound.cost >= cost:
        return Proof(bound, None, exact=True)
    pricers = [pricer(problem, b) for b in range(len(problem.bins))]
    columns = list(_columns(problem, [*incumbent, *pool]))
    while bound.cost < cost and not stop.reached():
        outcome = bound_by_patterns(problem, pricers, columns, cost, stop)
        columns = outcome.columns
        if outcome.cost > bound.cost:
            bound = Bound(outcome.cost, "patterns", _sentence(problem, outcome.cost))
        if not outcome.complete or outcome.prices is None or bound.cost >= cost:
            break
        target = next_lower(problem.bins, cost)
        try:
            plan = cheaper_plan(problem, pricers, outcome.prices, target, stop)
        except (OutOfTime, Full):
            break
        if plan is None:
            bound = Bound(cost, "gap", _sentence(problem, cost))
        elif not free:
            break
        else:
            best, cost = plan, cost_of(problem, plan)
            columns += _columns(problem, plan)
    return Proof(bound, best, exact=bound.cost >= cost)


def _columns(problem: Problem, sheets: Iterable[Sheet]) -> Iterable[Column]:
    """Yield the columns of sheets, without what they make beyond the demands."""
    for sheet in sheets:
        items = column_of(sheet.bin, sheet.pattern).items
        content = ((item, min(copies, problem.items[item].demand)) for item, copies in items)
        yield sheet.bin, tuple((item, copies) for item, copies in content if copies)


def _sentence(problem: Problem, cost: int) -> str:
    stock = problem.bins[0]
    if len(problem.bins) > 1 or not stock.cost:
        return "no set of patterns covers the job for less"
    fewer = cost // stock.cost - 1
    return f"no set of patterns covers the job with {fewer} sheet{'s' if fewer != 1 else ''}"


def solve_exactly(problem: Problem, stop: Stop, most: int = 20_000) -> Plan | None:
    """Return a plan of least cost for a tiny job, by all sets that can be cut and an integer program over them.

    Limits on stages and on the first cut are kept. ``None`` where the job has more than :data:`TINY` parts or
    ``most`` sets, or time is up. Raises :class:`CannotBeDone` where the stock cannot hold the parts.

    >>> from nesting.solve.problem import Bin, Item
    >>> problem = Problem((Bin(10, 10, 60), Bin(10, 5, 35)), (Item(6, 5, 3, ((True, True),) * 2),))
    >>> [sheet.bin for sheet in solve_exactly(problem, Stop.after(5))]
    [0, 1]
    """
    problem = fitted(problem)
    if sum(item.demand for item in problem.items) > TINY:
        return None
    free = problem.max_stages is None and problem.first_cut == "any"
    listed: list[Listed] = []
    pricers: list[Pricer] = []
    try:
        for b in range(len(problem.bins)):
            priced = pricer(problem, b, compiled=False)
            if not free:
                lies = lying(problem, b)
                priced.boxes = StagedBoxes(lies, priced.demands, problem.first_cut, problem.max_stages)
            pricers.append(priced)
            nothing = [0] * len(problem.items)
            found = search(priced, nothing, 0, stop, climb=False, worthless=True, most=most)
            listed += [(b, content) for content in largest(parts for _, parts in found)]
        needed = [True] * len(problem.items)
        plan = decide(problem, pricers, listed, needed, None, stop)
    except (OutOfTime, Full):
        return None
    if plan is None:
        raise CannotBeDone(["the stock there is cannot hold the parts"])
    return plan
