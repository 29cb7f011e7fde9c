"""Gap enumeration: list every pattern that a cheaper plan could use, and let an integer program decide.

With prices that prove a bound close below the next lower cost, each pattern of a plan of that cost or less wastes
no more worth than the gap between the two (reduced cost fixing; Scheithauer & Terno 1995, Baldacci & Mingozzi
2008, from memory). Where all such patterns can be listed, covering the demands by them at that cost is a small
integer program: no solution proves the dearer plan optimal, a solution is a better plan.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from nesting.solve import covering
from nesting.solve.columns import without_surplus
from nesting.solve.dives import completed
from nesting.solve.exact_pricing import Pricer, search
from nesting.solve.pattern import Plan, Sheet
from nesting.solve.pattern_bound import Content, Prices, content_of
from nesting.solve.problem import Problem
from nesting.solve.stop import Stop

Listed = tuple[int, Content]
"""A bin and the parts cut from it."""


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

    Without ``most`` the cheapest plan of these sets. Raises :class:`OutOfTime` where that was not decided in time.
    """
    wanted = [item.demand if need else 0 for item, need in zip(problem.items, needed, strict=True)]
    copies = max(1, sum(item.demand for item in problem.items))
    columns = [covering.Column(problem.bins[b].cost, copies, content, b) for b, content in listed]
    limits = {b: stock.limit for b, stock in enumerate(problem.bins) if stock.limit is not None}
    counts = covering.cover(wanted, columns, most, stop, limits)
    if counts is None:
        return None
    stores = {priced.bin: priced for priced in pricers}
    sheets: list[Sheet] = []
    for (b, content), times in zip(listed, counts, strict=True):
        if times:
            parts = [item for item, copies in content for _ in range(copies)]
            sheets += [Sheet(b, stores[b].pattern(parts))] * times
    return without_surplus(problem, tuple(sheets))


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
