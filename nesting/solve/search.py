"""The driver: bounds first, quick plans next, then whatever may still close the gap, until proven or stopped.

The order follows what costs least: quick bounds and plain constructions (most jobs end there); exact
solution of tiny jobs; column generation with the integer master; ruin and recreate with compiled kernels as
soon as these are there; proofs. Cleats are gathered into blanks anew again and again, so that their
composition is searched together with the panels. Limits on stages and on the first cut are kept by the same search,
whole patterns and shelves beside it. Where runs of wall may be spliced in several ways, first the job
is searched with their fewest pieces, by a number of rounds, and its plan kept; then with all of them free.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from nesting.solve.bars import Composition, compose, relaxed
from nesting.solve.beside import Beside, beside
from nesting.solve.bounds import quick_bound
from nesting.solve.bulk import beamed, completed, improved_portion, quick_plan
from nesting.solve.columns import Amounts, cost_of
from nesting.solve.compiled import Kernels, at_hand
from nesting.solve.construct import first_plans
from nesting.solve.lengthwise import is_lengthwise
from nesting.solve.lengthwise import search as lengthwise
from nesting.solve.master import choose
from nesting.solve.pattern import Plan
from nesting.solve.pricing import ROUGH_POINTS, generate
from nesting.solve.problem import Bin, Bound, Problem
from nesting.solve.progress import News, Observer
from nesting.solve.reachable import limited, reachable
from nesting.solve.rounds import CORES, Rounds
from nesting.solve.splices import drawn, pieces_wanted, resolved, roomy, settled
from nesting.solve.standing import KEPT_TIES, Standing
from nesting.solve.stop import Stop
from nesting.solve.tiny import MOST_PIECES, cheapest_tiny
from nesting.solve.whole_patterns import cut_patterns, cut_shelves, first_patterns

MOST_COPIES = 600
"""Jobs of more pieces are cut by whole patterns first; only what is left goes to the insertion search."""
BULK_POINTS = (3_000, ROUGH_POINTS)
"""Sub-rectangles a bin for the linear program of very many pieces: rounds first, then better patterns in each."""
BULK_SHARE = 0.6
"""Of the time, for that linear program."""
SPARES = (0.5, 0.25, 0.0, 0.4, 0.1, 0.55)
MOST_PORTIONS = 400
TIE_ROUNDS, TIE_TRIES, TIE_PIECES = 12, 8, 700
FIRST_TRIES, PATIENT_TRIES = 100, 3
FIRST_COMPOSITIONS = 24
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
class _Search(Standing):
    """The phases of one search."""

    def run(self) -> None:
        self.find()
        if self.best is not None and not self.whole_patterns:
            self.ties = [self.best]  # which others were met on the way depends on the clock
            self.look_for_ties()

    @property
    def whole_patterns(self) -> bool:
        """Whether the job is cut by whole patterns."""
        return self.pieces > MOST_COPIES

    def find(self, most_rounds: int | None = None) -> None:
        """Search until closed or stopped, but for other plans as good; at most so many rounds."""
        pieces, rounds = self.pieces, Rounds(self)
        self.raise_bound(quick_bound(relaxed(self.problem)))
        if is_lengthwise(self.problem):
            lengthwise(self)
            return
        if self.problem.runs:
            self.fewest_first(rounds)
        if self.whole_patterns:
            if not limited(self.problem):
                self.in_bulk()
            if not self.over():
                self.by_patterns(rounds, most_rounds)
            self.fewer_joints()
            return
        if limited(self.problem):
            cut_shelves(self, 0, self.patient())
        if not self.closed():
            self.first_pass()
        if self.best is None:
            first_patterns(self)
        if not self.closed() and pieces <= MOST_PIECES:
            self.exactly()
        if not self.closed():
            rounds.run(most_rounds)
        self.fewer_joints()

    # -- phases

    def fewest_first(self, rounds: Rounds) -> None:
        """Search with every run in its fewest pieces, then generate columns for all alternatives.

        What that finds is kept, so that free splices never cost more.
        """
        within = self.stop.within(FEWEST_SHARE * self.stop.left())
        first = _Search(self.spliced(0), within, self.seed, self.retold, self.patience)
        first.bound, first.pool, first.warming = self.bound, self.pool, self.warming
        try:
            first.find(FEWEST_ROUNDS)
        finally:
            self.warming = first.warming
        self.warnings += first.warnings
        self.offer(first.best, "fewest joints")
        if not self.over():
            rounds.columns(self.kernels(), self.stop)

    def retold(self, news: News) -> None:
        """Tell of a search among fewer plans: its costs hold, its bounds do not."""
        self.observer(News(news.cost, self.bound.cost, news.phase))

    def fewer_joints(self) -> None:
        """Look for a plan of the same cost with fewer joints in its runs."""
        if self.best is None or not self.problem.runs or self.stop.reached():
            return
        columns = list(self.pool)
        self.offer(choose(self.problem, columns, self.stop.within(1.0), self.best, self.seed, joints=True), "joints")
        for number in range(0 if self.whole_patterns else JOINT_TRIES):
            choice = drawn(self.problem, self.seed * 1000 + number, self.shares if number % 2 else None)
            plain = resolved(self.problem, choice)
            if sum(bar.demand for bar in plain.bars) >= self.joints:
                continue
            composition = compose(plain, number)
            for plan in first_plans(composition.problem, self.seed + number, TIE_TRIES, self.stop):
                self.take(composition, plan, "joints")

    def first_pass(self) -> None:
        """Try plain constructions, over several compositions where there are bars."""
        rounds = FIRST_COMPOSITIONS if self.problem.bars else 1
        tries = max(4, FIRST_TRIES // rounds)
        rounds *= 2 if self.problem.runs else 1
        kernels = at_hand()
        for number in range(rounds):
            composition = compose(self.spliced(number), number and self.seed * 1000 + number)
            for few in (PATIENT_TRIES, tries) if self.best is None else (tries,):
                for plan in first_plans(composition.problem, self.seed + number, few, self.patient(), kernels):
                    self.take(composition, plan, "first plans")
                    if self.closed():
                        return
                if self.over():
                    return

    def look_for_ties(self) -> None:
        """Collect more plans as cheap as the best, for fillers, settings and leftovers to choose among."""
        kernels = at_hand()
        job = self.problem if self.best is None else settled(self.problem, self.best)
        for number in range(
            min(TIE_ROUNDS, TIE_PIECES // pieces_wanted(job))
        ):  # by count, not by the clock: the same again
            if self.stop.reached() or len(self.ties) >= KEPT_TIES:
                return
            composition = compose(job, number and self.seed * 1000 + number)
            for plan in first_plans(composition.problem, self.seed + 500 + number, TIE_TRIES, self.stop, kernels):
                self.take(composition, plan, "equal plans")

    def exactly(self) -> None:
        """Solve a tiny job outright."""
        plan = cheapest_tiny(self.problem, self.stop)
        if plan is not None:
            self.offer(plan, "every combination")
            self.raise_bound(Bound(cost_of(self.problem, plan), "exhaustion", "every combination was tried"))

    def in_bulk(self) -> None:
        """Cut very many pieces: a quick plan, the linear program's patterns, and portions cut anew until time is up."""
        kernels = self.kernels(patient=True)
        job = self.spliced(0)
        plan = quick_plan(job, self.seed, self.patient(), kernels)
        if plan is not None:
            self.pool.add_plan(plan)  # for the linear program to start from
            self.offer(plan, "first plans")
            composition = compose(job, 0)
            beam = beamed(composition.problem, plan, self.seed, self.stop, kernels)
            if beam is not None:
                self.take(composition, beam, "beam")
        if self.over():
            return
        within = self.stop.within(BULK_SHARE * self.stop.left())
        amounts: Amounts = ()
        for points in BULK_POINTS:
            amounts = generate(job, self.pool, within, kernels=kernels, rough=points).amounts or amounts
            if not self.over():
                self.offer(completed(job, amounts, SPARES[0], self.seed, self.stop, kernels), "patterns")
        start = self.best
        if start is None or not kernels.compiled or CORES < 2:
            self.round_patterns(job, amounts, kernels)
            return

        def work(search: Beside, stop: Stop) -> None:
            plan: Plan = start
            number = self.seed + MOST_PORTIONS
            while not stop.reached():
                number += 1
                better = improved_portion(job, plan, number, stop, kernels)
                if cost_of(job, better) < cost_of(job, plan):
                    search.lay_down(Composition(job, len(job.items), ()), better, cost_of(job, better))
                plan = better

        with beside(work, self.stop, self.cost) as search:
            self.round_patterns(job, amounts, kernels, search)
        self.collect(search)

    def collect(self, search: Beside) -> None:
        """Take what the search beside has found."""
        for _, plan in search.collect():
            self.offer(plan, "ruin and recreate")

    def round_patterns(self, job: Problem, amounts: Amounts, kernels: Kernels, search: Beside | None = None) -> None:
        """Round the linear program's amounts in more ways, and cut portions of the plans anew."""
        for number in range(1, MOST_PORTIONS):
            if search is not None:
                self.collect(search)
            spare = SPARES[number % len(SPARES)]
            plan = None if self.over() else completed(job, amounts, spare, self.seed + number, self.stop, kernels)
            self.offer(plan, "patterns")
            if number < len(SPARES):
                continue
            for start in (plan, self.best):
                if start is not None and not self.over():
                    self.offer(
                        improved_portion(job, start, self.seed + number, self.stop, kernels), "ruin and recreate"
                    )
            if self.over():
                return

    def by_patterns(self, rounds: Rounds, most_rounds: int | None) -> None:
        """Cut very many pieces by whole patterns."""
        if self.best is None:
            cut_shelves(self, 0, self.patient())
            if not self.over():
                first_patterns(self)
        number = 0
        while not self.over() and number != most_rounds:
            kernels = self.kernels(patient=True)
            plan = cut_patterns(self, number, kernels, self.patient())
            if self.over():
                return
            before = len(self.pool.columns)
            rounds.columns(kernels, self.stop)
            number += 1
            if plan is None and len(self.pool.columns) == before:
                return
