"""Gap enumeration: list every pattern that a cheaper plan could use, and let an integer program decide.

With prices that prove a bound close below the next lower cost, each pattern of a plan of that cost or less wastes
no more worth than the gap between the two (reduced cost fixing; Scheithauer & Terno 1995, Baldacci & Mingozzi
2008, from memory). Where all such patterns can be listed, covering the demands by them at that cost is a small
integer program: no solution proves the dearer plan optimal, a solution is a better plan.
"""

from __future__ import annotations

import math
import threading
from collections.abc import Iterable, Sequence
from typing import Any

from ortools.linear_solver import pywraplp

from nesting.solve.boxes import OutOfTime
from nesting.solve.columns import without_surplus
from nesting.solve.dives import completed
from nesting.solve.exact_pricing import Pricer, search
from nesting.solve.pattern import Plan, Sheet
from nesting.solve.pattern_bound import Content, Prices, content_of
from nesting.solve.problem import Problem
from nesting.solve.stop import Stop

Listed = tuple[int, Content]
"""A bin and the parts cut from it."""
COVERING = """
separating/maxrounds = 0
separating/maxroundsroot = 0
branching/pscost/priority = 1000000
"""
"""Settings of SCIP: no cutting planes, branching by pseudo-costs."""


def candidates(
    problem: Problem, pricers: Sequence[Pricer], prices: Prices, target: int, stop: Stop, *, worthless: bool
) -> list[Listed]:
    """Return every set that a plan of cost ``target`` or less can use, only the largest of nested sets.

    Parts without a price are left out unless ``worthless``. Raises ``OutOfTime`` and ``Full`` of the search.
    """
    gap = math.floor(prices.money * target) - prices.total(problem)
    listed: list[Listed] = []
    for priced in pricers:
        least = prices.ceiling(problem, priced.bin) - gap
        found = search(priced, prices.items, least, stop, climb=False, worthless=worthless)
        listed += [(priced.bin, content) for content in largest(parts for _, parts in found)]
    return listed


def largest(sets: Iterable[Sequence[int]]) -> list[Content]:
    """Leave out sets that another, larger by one part, contains.

    >>> largest([(0,), (0, 2), (0, 0, 2), (1,)])
    [((0, 2), (2, 1)), ((1, 1),)]
    """
    contents = {content_of(parts): None for parts in sets}
    for content in list(contents):
        for at, (item, copies) in enumerate(content):
            fewer = ((item, copies - 1),) if copies > 1 else ()
            contents.pop((*content[:at], *fewer, *content[at + 1 :]), None)
    return list(contents)


def decide(
    problem: Problem,
    pricers: Sequence[Pricer],
    listed: Sequence[Listed],
    needed: Sequence[bool],
    most: int | None,
    stop: Stop,
) -> Plan | None:
    """Return a plan of cost ``most`` or less from the listed sets that covers the needed items; ``None`` if none is.

    Without ``most`` the cheapest plan of these sets. With it the program may also cover all at once by a column that
    costs just more, so that it has a solution from the start and cuts off what costs as much: a limit on the cost as a
    constraint hides which way is cheaper.

    Raises :class:`OutOfTime` where the integer program was not decided in time.
    """
    solver: Any = pywraplp.Solver.CreateSolver("SCIP")
    copies = max(1, sum(item.demand for item in problem.items))
    rows = {
        i: solver.Constraint(item.demand, solver.infinity())
        for i, item in enumerate(problem.items)
        if item.demand and needed[i]
    }
    cost = solver.Objective()
    cost.SetMinimization()
    limits = {b: solver.Constraint(0, stock.limit) for b, stock in enumerate(problem.bins) if stock.limit is not None}
    variables: list[Any] = []
    for b, content in listed:
        if len(variables) % 500 == 0 and stop.reached():
            raise OutOfTime
        variable = solver.IntVar(0, copies, "")
        for item, count in content:
            if item in rows:
                rows[item].SetCoefficient(variable, count)
        cost.SetCoefficient(variable, problem.bins[b].cost)
        if b in limits:
            limits[b].SetCoefficient(variable, 1)
        variables.append(variable)
    if most is not None:
        escape = solver.IntVar(0, 1, "")
        for item, row in rows.items():
            row.SetCoefficient(escape, problem.items[item].demand)
        cost.SetCoefficient(escape, most + 1)
    if not solver.SetSolverSpecificParametersAsString(COVERING):
        raise RuntimeError("SCIP does not know its settings")
    status = run(solver, stop)
    if status == pywraplp.Solver.INFEASIBLE:
        return None
    found = status in (pywraplp.Solver.OPTIMAL, pywraplp.Solver.FEASIBLE)
    cheaper = found and (most is None or round(cost.Value()) <= most)
    if status != pywraplp.Solver.OPTIMAL and (most is None or not cheaper):
        raise OutOfTime
    if not cheaper:
        return None
    stores = {priced.bin: priced for priced in pricers}
    sheets: list[Sheet] = []
    for (b, content), variable in zip(listed, variables, strict=True):
        times = round(variable.solution_value())
        if times:
            parts = [item for item, copies in content for _ in range(copies)]
            sheets += [Sheet(b, stores[b].pattern(parts))] * times
    return without_surplus(problem, tuple(sheets))


def run(solver: Any, stop: Stop) -> int:
    """Solve an integer program until it ends, time is up or the job is cancelled; no gap is small enough to end it."""
    solver.SetTimeLimit(max(1, int(1000 * min(stop.left(), 1e6))))
    finished = threading.Event()

    def watch() -> None:
        while not finished.wait(0.05):
            if stop.reached():
                solver.InterruptSolve()

    watcher = threading.Thread(target=watch, daemon=True)
    watcher.start()
    try:
        exactly = pywraplp.MPSolverParameters()
        exactly.SetDoubleParam(exactly.RELATIVE_MIP_GAP, 0.0)  # by default 1/10,000 of the cost
        return int(solver.Solve(exactly))
    finally:
        finished.set()
        watcher.join()


def cheaper_plan(
    problem: Problem, pricers: Sequence[Pricer], prices: Prices, target: int, stop: Stop, seed: int = 0
) -> Plan | None:
    """Return a plan of cost ``target`` or less, or ``None`` where there is provably none.

    First without the parts that the prices hold for worthless: no plan for the others is a proof, and one that the
    packing search completes is a plan. Raises ``OutOfTime`` and ``Full`` where neither was shown.
    """
    missing = any(not price and item.demand for price, item in zip(prices.items, problem.items, strict=True))
    needed = [price > 0 for price in prices.items]
    listed = candidates(problem, pricers, prices, target, stop, worthless=False)
    plan = decide(problem, pricers, listed, needed, target, stop)
    if plan is None or not missing:
        return plan
    whole = completed(problem, plan, target, stop.within(stop.left() / 3), seed)
    if whole is not None:
        return whole
    listed = candidates(problem, pricers, prices, target, stop, worthless=True)
    return decide(problem, pricers, listed, [True] * len(needed), target, stop)
