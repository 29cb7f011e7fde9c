"""The driver: bounds first, quick plans next, then whatever may still close the gap, until proven or stopped.

The order follows what costs least: quick bounds and plain constructions (most jobs end there); exact
solution of tiny jobs; column generation with the integer master; ruin and recreate with compiled kernels as
soon as these are there; proofs. Cleats are gathered into blanks anew again and again, so that their
composition is searched together with the panels. Where runs of wall may be spliced in several ways, first the job
is searched with their fewest pieces, by a number of rounds, and its plan kept; then with all of them free.
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
from nesting.solve.pattern_bound import next_lower
from nesting.solve.pricing import MOST_POINTS, ROUGH_POINTS, ROUGH_POINTS_PLAIN, generate, limited
from nesting.solve.problem import Bin, Bound, Problem
from nesting.solve.progress import News, Observer
from nesting.solve.proofs import Prover
from nesting.solve.reachable import reachable
from nesting.solve.sequential import value_corrected
from nesting.solve.splices import Shares, drawn, joined, pieces_wanted, resolved, roomy, settled, tried
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
FEWEST_ROUNDS, FEWEST_SHARE = 3, 0.5
"""Rounds of the search with all runs in their fewest pieces, and its share of the time at most."""
JOINT_TRIES = 16
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
    freely = [reachable(problem, piece, unlimited=True) or not piece.demand for piece in problem.items]
    bars = [reachable(problem, bar, unlimited=True) for bar in problem.bars]
    freely += [able or not bar.demand for able, bar in zip(bars, problem.bars, strict=True)]
    freely += [any(all(bars[bar] for bar, _ in taken) for taken in run.alternatives) for run in problem.runs]
    housed = all(freely)
    if housed or len(free) == len(problem.bins):
        return problem, {}
    pieces = pieces_wanted(roomy(problem))
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
    joints: int = 0
    shares: Shares | None = None
    most_rounds: int | None = None

    def run(self) -> None:
        self.find()
        if self.best is not None and not self.whole_patterns():
            self.ties = [self.best]  # which others were met on the way depends on the clock
            self.look_for_ties()

    def whole_patterns(self) -> bool:
        return limited(self.problem) or pieces_wanted(self.problem) > MOST_COPIES

    def find(self) -> None:
        """Search until closed or stopped, but for other plans as good."""
        pieces = pieces_wanted(self.problem)
        self.raise_bound(quick_bound(relaxed(self.problem)))
        if self.problem.runs:
            self.fewest_first()
        if self.whole_patterns():
            if pieces <= MOST_PIECES:
                self.exactly()
            if not limited(self.problem):
                self.at_once()
            self.by_patterns()
            self.fewer_joints()
            return
        self.first_pass()
        if not self.closed() and pieces <= MOST_PIECES:
            self.exactly()
        if not self.closed():
            self.rounds()
        self.fewer_joints()

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

    def payable(self, cost: int) -> int:
        """Raise a bound to the cost of the best plan where no counts of stocks cost anything between."""
        if self.best is not None and next_lower(self.problem.bins, self.cost) < cost <= self.cost:
            return self.cost
        return cost

    def offer(self, plan: Plan | None, phase: str) -> None:
        """Take a plan if it is the cheapest so far, of equals that of fewest joints; keep others as good."""
        if plan is None or not keeps_limits(self.problem, plan):
            return
        cost = cost_of(self.problem, plan)
        if cost > self.cost:
            return
        joints = joined(self.problem, plan)
        if (cost, joints) < (self.cost, self.joints):
            self.best, self.cost, self.joints = plan, cost, joints
            self.ties = [plan]
            self.tell(phase)
        elif joints == self.joints and len(self.ties) < KEPT_TIES and plan not in self.ties:
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

    def fewest_first(self) -> None:
        """Search with every run in its fewest pieces, then generate columns for all alternatives.

        What that finds is kept, so that free splices never cost more.
        """
        plain = self.spliced(0)
        share = FEWEST_SHARE * self.stop.left()
        first = _Search(
            plain, self.stop.within(share), self.seed, self.retold, self.patience, most_rounds=FEWEST_ROUNDS
        )
        first.bound, first.pool, first.warming = self.bound, self.pool, self.warming
        try:
            first.find()
        finally:
            self.warming = first.warming
        self.warnings = first.warnings
        self.offer(first.best, "fewest joints")
        if not self.over():
            self.columns(self.kernels())

    def retold(self, news: News) -> None:
        """Tell of a search among fewer plans: its costs hold, its bounds do not."""
        self.observer(News(news.cost, self.bound.cost, news.phase))

    def spliced(self, number: int) -> Problem:
        """Return the problem with its runs resolved for the ``number``-th try; without runs the problem itself."""
        return tried(self.problem, number, self.seed, self.shares, self.best)

    def fewer_joints(self) -> None:
        """Look for a plan of the same cost with fewer joints in its runs."""
        if self.best is None or not self.problem.runs or self.stop.reached():
            return
        columns = list(self.pool)
        self.offer(choose(self.problem, columns, self.stop.within(1.0), self.best, self.seed, joints=True), "joints")
        for number in range(JOINT_TRIES):
            choice = drawn(self.problem, self.seed * 1000 + number, self.shares if number % 2 else None)
            plain = resolved(self.problem, choice)
            if sum(bar.demand for bar in plain.bars) >= self.joints or self.whole_patterns():
                continue
            composition = compose(plain, number)
            for plan in first_plans(composition.problem, self.seed + number, TIE_TRIES, self.stop):
                self.take(composition, plan, "joints")

    def first_pass(self) -> None:
        """Try plain constructions, over several compositions where there are bars."""
        rounds = FIRST_COMPOSITIONS if self.problem.bars else 1
        tries = max(4, FIRST_TRIES // rounds)
        for number in range(rounds):
            composition = compose(self.spliced(number), number and self.seed * 1000 + number)
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
        settled_job = self.problem if self.best is None else settled(self.problem, self.best)
        pieces = pieces_wanted(settled_job)
        for number in range(min(TIE_ROUNDS, TIE_PIECES // pieces)):  # by count, not by the clock: the same again
            if self.stop.reached() or len(self.ties) >= KEPT_TIES:
                return
            composition = compose(settled_job, number and self.seed * 1000 + number)
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
        while not self.over() and number != self.most_rounds:
            number += 1
            kernels = self.kernels()
            composition = compose(self.spliced(number), self.seed * 1000 + 100 + number if number % 3 else 0)
            self.improve_from(composition, kernels, min(4, number))
            if not self.over():
                self.prove(ROUND_SECONDS * min(6, number))
            if not self.over() and (self.problem.bars or number == 1 or number % 4 == 0):
                self.columns(kernels)

    def prove(self, seconds: float) -> None:
        """Refute any cheaper plan, or meet one; with bars, by the relaxation to rectangles."""
        if self.best is None or self.problem.runs:  # what is proven of one choice of splices says nothing of another
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

        def bounded(cost: int) -> None:
            told = "no mix of cutting patterns covers the job for less"
            self.raise_bound(Bound(self.payable(cost), "patterns", told), "columns")

        if not self.priced:
            within = self.stop.within(max(0.5, self.stop.left() / 3))
            found = generate(self.problem, self.pool, within, kernels=kernels, on_bound=bounded)
            self.priced = found.ended
            self.shares = found.shares or self.shares
        if not self.over():
            self.offer(
                choose(self.problem, list(self.pool), self.stop.within(1.0), self.best, self.seed), "integer master"
            )

    def at_once(self) -> None:
        """Construct a first plan for very many pieces: whole patterns take their time, above all uncompiled."""
        composition = compose(self.spliced(0), 0)
        for plan in first_plans(composition.problem, self.seed, BULK_TRIES, self.patient()):
            self.take(composition, plan, "first plans")

    def by_patterns(self) -> None:
        """Cut by whole patterns: for limited stages, and for jobs of very many pieces."""
        number = 0
        while not self.over() and number != self.most_rounds:
            kernels = self.kernels(patient=True)
            passes = 3 + number if self.best is not None else 1
            most = min((ROUGH_POINTS if kernels.compiled else ROUGH_POINTS_PLAIN) << number, MOST_POINTS)
            job, until = self.spliced(number), self.patient()
            plan = value_corrected(job, until, self.seed + number, self.pool, passes=passes, kernels=kernels, most=most)
            self.offer(plan, "whole patterns")
            if self.over():
                return
            before = len(self.pool.columns)
            self.columns(kernels)
            number += 1
            if plan is None and len(self.pool.columns) == before:
                return
