"""Proofs: that a plan cannot be beaten, or a plan that beats it, within a time limit.

In order of what they cost: fitted scales, which hold for any layout; the linear program over patterns with exact
pricing; gap enumeration. As long as that program costs less than the plan to be refuted, an integer program over the
patterns known looks for a cheaper plan (a restricted master: Joncour et al. 2010, "Column generation based primal
heuristics", from memory). They start from the pool of sheets that the search has met; see
:mod:`nesting.solve.scales`, :mod:`nesting.solve.pattern_bound` and :mod:`nesting.solve.gap`. All hold without a limit
on stages, and so bound plans under a limit too. What was not carried through says nothing.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

from nesting.errors import CannotBeDone
from nesting.solve.bounds import bound_of, needs_of
from nesting.solve.boxes import MOST_PARTS, Full, OutOfTime
from nesting.solve.columns import column_of, cost_of
from nesting.solve.cover import Need
from nesting.solve.dives import Hope, Near, by_value, fixed
from nesting.solve.enlarge import fitted, lying
from nesting.solve.exact_pricing import Pricer, pricer, search
from nesting.solve.gap import Listed, cheaper_plan, decide, largest
from nesting.solve.pattern import Plan, Sheet
from nesting.solve.pattern_bound import Column, Master, bound_by_patterns, next_lower
from nesting.solve.problem import Bound, Problem
from nesting.solve.reachable import limited
from nesting.solve.scales import fitted_scales
from nesting.solve.staged_boxes import StagedBoxes
from nesting.solve.stop import Stop

SCALES_SECONDS, SCALES_ALONE, SCALES_SHARE = 1.0, 0.35, 0.15
"""Time for fitted scales, which also weigh parts for the pricing, that where there is one stock, and its share of what
is left at most."""
DIVE_SECONDS, DIVE_SHARE, SHARE = 1.0, 0.3, 0.6
"""Seconds for dives, and their share of what is left where that is more; before them gap enumeration has all but these
seconds, and at least the last share."""
DIVED = 2
"""Each so many starts for a cheaper plan come from a dive, others from the values of the linear program as solved."""
MIXED_SECONDS = 0.5
"""For an integer program over the patterns known so far, whenever a mix of them would cost little enough."""
TINY = 10
"""Most parts that are solved by listing all sets."""


@dataclass(frozen=True, slots=True)
class Proof:
    """The best bound now known, a better plan if one was met, and whether that plan (or the old one) is optimal."""

    bound: Bound
    better: Plan | None
    exact: bool


@dataclass(slots=True)
class Prover:
    """Proofs about one problem; what was worked out in one attempt serves the next.

    ``hopeless`` is set once an attempt failed for lack of room rather than of time: later ones return at once,
    unless the plan to be refuted has become cheaper.
    """

    problem: Problem
    columns: dict[Column, None] = field(default_factory=dict)
    pricers: list[Pricer] = field(default_factory=list)
    shares: list[list[list[float]]] = field(default_factory=list)
    scaled: Bound | None = None
    quick: list[Need] | None = None
    hopeless: int | None = None
    seed: int = 0
    dives: int = 0

    def __post_init__(self) -> None:
        """Drop the ways in which an item does not fit."""
        self.problem = fitted(self.problem)

    def prove(
        self,
        cost: int,
        bound: Bound,
        stop: Stop,
        known: Iterable[Column] = (),
        aside: threading.Event | None = None,
        hope: Hope | None = None,
    ) -> Proof:
        """Try to prove that nothing costs less than ``cost``, or to find a plan that does.

        ``known``: what patterns met elsewhere yield, for the linear program to start from. ``aside``: see
        :func:`nesting.solve.pattern_bound.bound_by_patterns`. ``hope``: gets what a cheaper plan may be grown from.
        """
        problem = self.problem
        if bound.cost >= cost:
            return Proof(bound, None, exact=True)
        bound = self.by_scales(bound, stop)
        if bound.cost < cost and not stop.reached() and self.may_prove(cost):
            self.columns.update(dict.fromkeys(_within(problem, known)))
            try:
                return self._by_patterns(cost, bound, stop, aside, hope)
            except Full:
                self.hopeless = cost
        return Proof(bound, None, exact=bound.cost >= cost)

    def may_prove(self, cost: int) -> bool:
        """Whether patterns are worth trying against a cost: few parts in each bin, and nothing known to be lacking."""
        able = self.hopeless is None or cost < self.hopeless
        return able and _small_enough(self.problem, next_lower(self.problem.bins, cost))

    def needs(self) -> list[Need]:
        """Return the needs that quick bounds rest on, worked out once."""
        if self.quick is None:
            self.quick = needs_of(self.problem)
        return self.quick

    def by_scales(self, bound: Bound, stop: Stop) -> Bound:
        """Return a bound raised by fitted scales, worked out at the first call that is not stopped."""
        scaled = self.scaled
        if scaled is None and stop.reached():
            return bound
        if scaled is None:
            most = SCALES_SECONDS if len(self.problem.bins) > 1 else SCALES_ALONE
            seconds = min(most, SCALES_SHARE * stop.left())
            needs, self.shares = fitted_scales(self.problem, stop.within(seconds))
            more = self.needs() if len(self.problem.bins) > 1 else []  # of one stock the most that one need asks counts
            scaled = bound_of(self.problem.bins, [*more, *needs])
            self.scaled = None if stop.reached() else scaled
        return scaled if scaled.cost > bound.cost else bound

    def _near(self, cost: int, stop: Stop, hope: Hope | None) -> Callable[[Master, bool], None] | None:
        """Return what makes of the linear program as solved what a plan below a cost may be grown from."""
        if hope is None:
            return None
        problem, target = self.problem, next_lower(self.problem.bins, cost)

        def near(master: Master, proving: bool) -> None:
            self.dives += 1
            plan = None if proving else self._mixed(master, target, stop)
            if plan is not None:
                hope(Near(problem, plan, target))
                return
            dived = self.dives % DIVED == 0 and not proving
            columns = master.dived(target, self.dives, stop) if dived else by_value(master.values)
            part = fixed(problem, self.pricers, columns, target, stop)
            if part:
                hope(Near(problem, part, target))

        return near

    def _mixed(self, master: Master, target: int, stop: Stop) -> Plan | None:
        """Return a plan of cost ``target`` or less of patterns known, if the integer program meets one soon."""
        needed = [True] * len(self.problem.items)
        known = [(b, content) for b, content in master.within(target) if sum(n for _, n in content) <= MOST_PARTS]
        try:
            return decide(self.problem, self.pricers, known, needed, target, stop.within(MIXED_SECONDS))
        except (OutOfTime, Full):
            return None

    def _dived(self, master: Master, target: int, stop: Stop) -> Plan | None:
        """Return a plan of cost ``target`` or less that dives found in time, the first from the values as they are."""
        columns = by_value(master.values)
        while not stop.reached():
            self.seed += 1
            part = fixed(self.problem, self.pricers, columns, target, stop)
            plan = Near(self.problem, part, target).grown(self.seed, stop) if part else None
            if plan is not None or not part:
                return plan
            columns = master.dived(target, self.seed, stop)
        return None

    def _by_patterns(
        self, cost: int, bound: Bound, stop: Stop, aside: threading.Event | None, hope: Hope | None
    ) -> Proof:
        problem = self.problem
        if not self.pricers:
            self.pricers = [pricer(problem, b, extra) for b, extra in enumerate(self.shares)]
        best: Plan | None = None
        while bound.cost < cost and not stop.reached():
            near = self._near(cost, stop, None if limited(problem) else hope)
            master = Master(problem, list(self.columns))
            outcome = bound_by_patterns(master, self.pricers, cost, stop, aside, near)
            self.columns.update(dict.fromkeys(outcome.columns))
            if outcome.cost > bound.cost:
                bound = Bound(outcome.cost, "patterns", _sentence(problem, outcome.cost))
            if bound.cost >= cost:
                break
            target = next_lower(problem.bins, cost)
            plan: Plan | None = None
            full = outcome.full
            if outcome.complete and outcome.prices is not None:
                within = stop if limited(problem) else stop.within(max(SHARE * stop.left(), stop.left() - DIVE_SECONDS))
                try:
                    plan = cheaper_plan(problem, self.pricers, outcome.prices, target, within, self.seed)
                    if plan is None:
                        bound = Bound(cost, "gap", _sentence(problem, cost))
                        break
                except OutOfTime:
                    pass
                except Full:
                    full = True
            if plan is None and not limited(problem) and outcome.complete:
                plan = self._dived(master, target, stop.within(max(DIVE_SECONDS, DIVE_SHARE * stop.left())))
            if plan is None or limited(problem):
                self.hopeless = cost if full else None
                break
            best, cost = plan, cost_of(problem, plan)
        return Proof(bound, best, exact=bound.cost >= cost)


def prove(
    problem: Problem,
    incumbent: Plan,
    bound: Bound,
    stop: Stop,
    *,
    pool: Iterable[Sheet] = (),
    seed: int = 0,
    upper: int | None = None,
) -> Proof:
    """Try to prove a plan optimal or to find a better one; ``pool`` holds sheets met on the way to it.

    ``upper`` is the cost to be refuted where ``incumbent`` is no plan of this very problem (a relaxation of it,
    say): pass an empty plan then. A better plan then is one of the relaxation. Under a limit on stages or on the
    first cut only bounds are returned. For several attempts keep a :class:`Prover`.

    >>> from nesting.solve.pattern import Put
    >>> from nesting.solve.problem import Bin, Item
    >>> problem = Problem((Bin(10, 10, 1),), (Item(6, 6, 2, ((True, True),)),))
    >>> plan = (Sheet(0, Put(0)), Sheet(0, Put(0)))
    >>> prove(problem, plan, Bound(1, "area"), Stop.after(5)).exact
    True
    """
    cost = cost_of(problem, incumbent) if upper is None else upper
    columns = (column_of(sheet.bin, sheet.pattern) for sheet in (*incumbent, *pool))
    return Prover(problem, seed=seed).prove(cost, bound, stop, [(column.bin, column.items) for column in columns])


def _small_enough(problem: Problem, target: int) -> bool:
    """Whether some plan of cost ``target`` could have few enough parts in each bin to be decided."""
    if any(not stock.cost and stock.limit is None for stock in problem.bins):
        return False
    sheets = sum(stock.limit or 0 for stock in problem.bins if not stock.cost)
    cheapest = min((stock.cost for stock in problem.bins if stock.cost), default=0)
    sheets += target // cheapest if cheapest else 0
    return sum(item.demand for item in problem.items) <= MOST_PARTS * max(1, sheets)


def _within(problem: Problem, known: Iterable[Column]) -> Iterable[Column]:
    """Yield columns without what they make beyond the demands."""
    for b, content in known:
        held = ((item, min(copies, problem.items[item].demand)) for item, copies in content)
        yield b, tuple((item, copies) for item, copies in held if copies)


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
    listed: list[Listed] = []
    pricers: list[Pricer] = []
    try:
        for b in range(len(problem.bins)):
            priced = pricer(problem, b, compiled=False)
            if limited(problem):
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
