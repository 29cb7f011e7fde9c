"""The driver: bounds first, quick plans next, then whatever may still close the gap, until proven or stopped.

The order follows what costs least: quick bounds and plain constructions (most jobs end there); exact
solution of tiny jobs; column generation with the integer master; ruin and recreate with compiled kernels as
soon as these are there; proofs. Cleats are gathered into blanks anew again and again, so that their
composition is searched together with the panels.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from nesting.solve.bars import compose, relaxed
from nesting.solve.bounds import quick_bound
from nesting.solve.columns import cost_of
from nesting.solve.compiled import PLAIN
from nesting.solve.construct import first_plans
from nesting.solve.pattern import Plan
from nesting.solve.pricing import MOST_POINTS, ROUGH_POINTS, ROUGH_POINTS_PLAIN, limited
from nesting.solve.problem import Bar, Bin, Bound, Item, Problem
from nesting.solve.progress import Observer
from nesting.solve.reachable import reachable
from nesting.solve.rounds import Rounds
from nesting.solve.sequential import value_corrected
from nesting.solve.standing import KEPT_TIES, Standing
from nesting.solve.stop import Stop
from nesting.solve.tiny import MOST_PIECES, cheapest_tiny

MOST_COPIES = 600
"""Jobs of more pieces are cut by whole patterns first; only what is left goes to the insertion search."""
BULK_TRIES = 2
TIE_ROUNDS, TIE_TRIES, TIE_PIECES = 12, 8, 700
FIRST_TRIES, PATIENT_TRIES = 100, 3
FIRST_COMPOSITIONS = 24
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
class _Search(Standing):
    """The phases of one search."""

    def run(self) -> None:
        pieces = self.pieces
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
            Rounds(self).run()
        if self.best is not None:
            self.ties = [self.best]  # which others were met on the way depends on the clock
            self.look_for_ties()

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

    def look_for_ties(self) -> None:
        """Collect more plans as cheap as the best, for fillers, settings and leftovers to choose among."""
        kernels = PLAIN if self.warming is None or not self.warming.done() else self.warming.kernels
        pieces = self.pieces
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

    def at_once(self) -> None:
        """Construct a first plan for very many pieces: whole patterns take their time, above all uncompiled."""
        composition = compose(self.problem, 0)
        for plan in first_plans(composition.problem, self.seed, BULK_TRIES, self.patient()):
            self.take(composition, plan, "first plans")

    def by_patterns(self) -> None:
        """Cut by whole patterns: for limited stages, and for jobs of very many pieces."""
        number, columns = 0, Rounds(self)
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
            columns.columns(kernels, self.stop)
            number += 1
            if plan is None and len(self.pool.columns) == before:
                return
