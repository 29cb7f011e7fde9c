"""The driver: bounds first, quick plans next, then whatever may still close the gap, until proven or stopped.

The order follows what costs least: quick bounds and plain constructions (most jobs end there); exact
solution of tiny jobs; column generation with the integer master; ruin and recreate with compiled kernels as
soon as these are there; proofs. Cleats are gathered into blanks anew again and again, so that their
composition is searched together with the panels.
"""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace

from nesting.solve.bars import Composition, compose, decomposed, relaxed
from nesting.solve.bounds import NO_PLAN, quick_bound
from nesting.solve.columns import Pool, cost_of, keeps_limits
from nesting.solve.compiled import PLAIN, Kernels, Warming, ready, start_warming
from nesting.solve.construct import first_plans
from nesting.solve.improve import improve
from nesting.solve.master import choose
from nesting.solve.pattern import Plan, Sheet
from nesting.solve.pricing import MOST_POINTS, ROUGH_POINTS, ROUGH_POINTS_PLAIN, generate, limited
from nesting.solve.problem import Bar, Bin, Bound, Item, Problem
from nesting.solve.progress import News, Observer
from nesting.solve.proofs import Prover
from nesting.solve.reachable import reachable
from nesting.solve.sequential import value_corrected
from nesting.solve.stop import Stop
from nesting.solve.tiny import MOST_PIECES, cheapest_tiny

MOST_COPIES = 600
"""Jobs of more pieces are cut by whole patterns first; only what is left goes to the insertion search."""
KEPT_TIES = 24
BULK_TRIES = 2
TIE_ROUNDS, TIE_TRIES, TIE_PIECES = 12, 8, 700
FIRST_TRIES, PATIENT_TRIES = 100, 3
FIRST_COMPOSITIONS = 24
ROUND_SECONDS = 0.4
ROUND_TRIES, ROUND_ITERATIONS = 60, 150_000
"""Constructions of a round, and iterations of its ruin and recreate times pieces: some 0.4 s, compiled, on one core."""
SLOW = 4
"""Times ``ROUND_SECONDS`` that a round may take on a slow or busy machine."""
PATIENCE = 20.0
"""Seconds a first plan may take beyond the limit, so that there is one."""


@dataclass(frozen=True, slots=True)
class Solution:
    """The best plan (None where none was found), a valid bound, and other plans of the same cost.

    ``short`` tells that even the best plan needs more stock than there is; ``plan`` then uses bins
    beyond their limits and only shows what is missing.
    """

    plan: Plan | None
    cost: int
    bound: Bound
    ties: tuple[Plan, ...] = ()
    short: bool = False
    warnings: tuple[str, ...] = ()

    @property
    def proven(self) -> bool:
        """Whether no plan can cost less."""
        return self.plan is not None and self.bound.cost >= self.cost


def solve(
    problem: Problem, stop: Stop, seed: int = 0, observer: Observer | None = None, *, patience: float = PATIENCE
) -> Solution:
    """Return the cheapest plan found until ``stop``; it ends earlier where that plan is proven cheapest.

    ``patience``: seconds beyond ``stop`` that a first plan may take, so that there is one.

    Where stocks are limited in number, copies beyond the limit are offered at a price above all others,
    so that a plan always comes out if every piece fits some bin.

    >>> from nesting.solve.problem import Item
    >>> job = Problem((Bin(10, 10, 7),), (Item(5, 10, 3, ((True, True),)),))
    >>> found = solve(job, Stop.after(2))
    >>> found.cost, found.proven
    (14, True)
    """
    wide, beyond = _beyond_limits(problem)
    search = _Search(wide, stop, seed, observer or (lambda news: None), patience)
    with search.warmed():
        search.run()
    plan = search.best
    if plan is None:
        return Solution(None, 0, search.bound, warnings=tuple(search.warnings))
    cost = cost_of(wide, plan)
    short = any(sheet.bin >= len(problem.bins) for sheet in plan)
    if short:
        plan = tuple(replace(sheet, bin=beyond[sheet.bin]) if sheet.bin in beyond else sheet for sheet in plan)
    ties = () if short else tuple(search.ties)
    return Solution(plan, cost, search.bound, ties, short, tuple(search.warnings))


def _beyond_limits(problem: Problem) -> tuple[Problem, dict[int, int]]:
    """Offer limited bins once more without limit, dearer than any plan within the limits, if a piece needs it."""
    free = {b for b, stock in enumerate(problem.bins) if stock.limit is None}
    wanted: tuple[Item | Bar, ...] = (*problem.items, *problem.bars)
    housed = all(reachable(problem, piece, unlimited=True) for piece in wanted)
    if housed or len(free) == len(problem.bins):
        return problem, {}
    pieces = sum(item.demand for item in problem.items) + sum(bar.demand for bar in problem.bars)
    dear = 1 + sum(stock.cost * (pieces if stock.limit is None else stock.limit) for stock in problem.bins)
    limited = [b for b in range(len(problem.bins)) if b not in free]
    copies = tuple(Bin(problem.bins[b].length, problem.bins[b].width, dear) for b in limited)
    wide = replace(
        problem,
        bins=problem.bins + copies,
        items=tuple(replace(item, ways=item.ways + tuple(item.ways[b] for b in limited)) for item in problem.items),
        blanks=problem.blanks + tuple(problem.blanks[b] for b in limited) if problem.blanks else (),
    )
    return wide, {len(problem.bins) + i: b for i, b in enumerate(limited)}


@dataclass(slots=True)
class _Search:
    problem: Problem
    stop: Stop
    seed: int
    observer: Observer
    patience: float
    best: Plan | None = None
    cost: int = NO_PLAN
    bound: Bound = field(default_factory=lambda: Bound(0, "none"))
    pool: Pool = field(default_factory=Pool)
    ties: list[Plan] = field(default_factory=list)
    warming: Warming | None = None
    warnings: list[str] = field(default_factory=list)
    priced: bool = False
    prover: Prover | None = None

    def run(self) -> None:
        pieces = sum(item.demand for item in self.problem.items) + sum(bar.demand for bar in self.problem.bars)
        self.raise_bound(quick_bound(relaxed(self.problem)))
        if limited(self.problem) or pieces > MOST_COPIES:
            if pieces <= MOST_PIECES:
                self.exactly()
            if not limited(self.problem):
                self.at_once()
            self.by_patterns()
            return
        self.first_pass()
        if not self.closed() and pieces <= MOST_PIECES:
            self.exactly()
        if not self.closed():
            self.rounds()
        if self.best is not None:
            self.ties = [self.best]  # which others were met on the way depends on the clock
            self.look_for_ties()

    # -- book-keeping

    def closed(self) -> bool:
        return self.best is not None and self.bound.cost >= self.cost

    def patient(self) -> Stop:
        """Return the stop, but a later one while there is no plan at all."""
        if self.best is not None:
            return self.stop
        return Stop(self.stop.deadline + self.patience, self.stop.cancel)

    def over(self) -> bool:
        return self.closed() or self.patient().reached()

    def tell(self, phase: str) -> None:
        self.observer(News(None if self.best is None else self.cost, self.bound.cost, phase))

    def raise_bound(self, bound: Bound, phase: str = "bounds") -> None:
        if bound.cost > self.bound.cost:
            self.bound = bound
            self.tell(phase)

    def offer(self, plan: Plan | None, phase: str) -> None:
        """Take a plan if it is the cheapest so far, or keep it beside others of the same cost."""
        if plan is None or not keeps_limits(self.problem, plan):
            return
        cost = cost_of(self.problem, plan)
        if cost < self.cost:
            self.best, self.cost = plan, cost
            self.ties = [plan]
            self.tell(phase)
        elif cost == self.cost and len(self.ties) < KEPT_TIES and plan not in self.ties:
            self.ties.append(plan)

    @contextmanager
    def warmed(self) -> Iterator[None]:
        """Leave no compiler behind, whatever happens."""
        try:
            yield
        finally:
            if self.warming is not None:
                self.warming.kill()

    def kernels(self, *, patient: bool = False) -> Kernels:
        """Return the compiled kernels if they are there by now; the first call sets the compiler to work.

        ``patient``: wait for them where they need only be loaded.
        """
        if self.warming is None:
            self.warming = start_warming()
        if patient and ready():
            while not self.warming.done() and not self.stop.cancel.is_set():
                time.sleep(0.01)
        if not self.warming.done():
            return PLAIN
        if self.warming.failed and not self.warnings:
            self.warnings.append(f"the compiled search could not be used: {self.warming.failed}")
        return self.warming.kernels

    # -- phases

    def first_pass(self) -> None:
        """Try plain constructions, over several compositions where there are bars."""
        rounds = FIRST_COMPOSITIONS if self.problem.bars else 1
        tries = max(4, FIRST_TRIES // rounds)
        for number in range(rounds):
            composition = compose(self.problem, number and self.seed * 1000 + number)
            for few in (PATIENT_TRIES, tries) if self.best is None else (tries,):
                for plan in first_plans(composition.problem, self.seed + number, few, self.patient()):
                    self.take(composition, plan, "first plans")
                    if self.closed():
                        return
                if self.over():
                    return

    def take(self, composition: Composition, plan: Plan, phase: str) -> None:
        whole = decomposed(self.problem, composition, plan)
        self.pool.add_plan(whole)
        self.offer(whole, phase)

    def look_for_ties(self) -> None:
        """Collect more plans as cheap as the best, for fillers, settings and leftovers to choose among."""
        kernels = PLAIN if self.warming is None or not self.warming.done() else self.warming.kernels
        pieces = sum(item.demand for item in self.problem.items) + sum(bar.demand for bar in self.problem.bars)
        for number in range(min(TIE_ROUNDS, TIE_PIECES // pieces)):  # by count, not by the clock: the same again
            if self.stop.reached() or len(self.ties) >= KEPT_TIES:
                return
            composition = compose(self.problem, number and self.seed * 1000 + number)
            for plan in first_plans(composition.problem, self.seed + 500 + number, TIE_TRIES, self.stop, kernels):
                self.take(composition, plan, "equal plans")

    def exactly(self) -> None:
        """Solve a tiny job outright."""
        plan = cheapest_tiny(self.problem, self.stop)
        if plan is not None:
            self.offer(plan, "every combination")
            self.raise_bound(Bound(cost_of(self.problem, plan), "exhaustion", "every combination was tried"))

    def rounds(self) -> None:
        """Alternate improvement, proofs and columns, each for a while, until closed or stopped."""
        number = 0
        while not self.over():
            number += 1
            kernels = self.kernels()
            composition = compose(self.problem, self.seed * 1000 + 100 + number if number % 3 else 0)
            self.improve_from(composition, kernels, min(4, number))
            if not self.over():
                self.prove(ROUND_SECONDS * min(6, number))
            if not self.over() and (self.problem.bars or number == 1 or number % 4 == 0):
                self.columns(kernels)

    def prove(self, seconds: float) -> None:
        """Refute any cheaper plan, or meet one; with bars, by the relaxation to rectangles."""
        if self.best is None:
            return
        within = self.stop.within(seconds)
        if self.prover is None:
            self.prover = Prover(relaxed(self.problem), seed=self.seed)
        if self.problem.bars:
            proof = self.prover.prove((), self.bound, within, upper=self.cost)
        else:
            sheets = [Sheet(column.bin, column.pattern) for column in self.pool]
            proof = self.prover.prove(self.best, self.bound, within, pool=sheets)
            self.offer(proof.better, "proofs")
        self.raise_bound(proof.bound, "proofs")

    def improve_from(self, composition: Composition, kernels: Kernels, share: int) -> None:
        """Construct and improve for so many iterations, not seconds, that the same job gives the same plan again."""
        within = self.stop.within(SLOW * ROUND_SECONDS * share)
        pieces = sum(item.demand for item in composition.problem.items)
        start: Plan | None = None
        for plan in first_plans(composition.problem, self.seed, ROUND_TRIES, within, kernels):
            self.take(composition, plan, "first plans")
            start = plan
            if self.closed():
                return
        if start is None:
            return

        def keep(plan: Plan) -> None:
            self.take(composition, plan, "ruin and recreate")

        improve(
            composition.problem,
            start,
            self.seed,
            within,
            on_better=keep,
            target=self.bound.cost,
            iterations=max(50, ROUND_ITERATIONS * share // pieces),
            kernels=kernels,
            warming=None if kernels.compiled else self.warming,
        )

    def columns(self, kernels: Kernels) -> None:
        """Generate columns, once to the end; then let the integer master choose among all seen."""
        if not self.priced:
            found = generate(
                self.problem,
                self.pool,
                self.stop.within(max(0.5, self.stop.left() / 3)),
                kernels=kernels,
                on_bound=lambda cost: self.raise_bound(
                    Bound(cost, "patterns", "no mix of cutting patterns covers the job for less"), "columns"
                ),
            )
            self.priced = found.ended
        if not self.over():
            self.offer(
                choose(self.problem, list(self.pool), self.stop.within(1.0), self.best, self.seed), "integer master"
            )

    def at_once(self) -> None:
        """Construct a first plan for very many pieces: whole patterns take their time, above all uncompiled."""
        composition = compose(self.problem, 0)
        for plan in first_plans(composition.problem, self.seed, BULK_TRIES, self.patient()):
            self.take(composition, plan, "first plans")

    def by_patterns(self) -> None:
        """Cut by whole patterns: for limited stages, and for jobs of very many pieces."""
        number = 0
        while not self.over():
            kernels = self.kernels(patient=True)
            passes = 3 + number if self.best is not None else 1
            most = min((ROUGH_POINTS if kernels.compiled else ROUGH_POINTS_PLAIN) << number, MOST_POINTS)
            plan = value_corrected(
                self.problem, self.patient(), self.seed + number, self.pool, passes=passes, kernels=kernels, most=most
            )
            self.offer(plan, "whole patterns")
            if self.over():
                return
            before = len(self.pool.columns)
            self.columns(kernels)
            number += 1
            if plan is None and len(self.pool.columns) == before:
                return
