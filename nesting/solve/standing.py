"""What a search knows so far: the best plan, the bound, the columns met, and whether compiled kernels are there."""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

from nesting.solve.bars import Composition, decomposed
from nesting.solve.bounds import NO_PLAN
from nesting.solve.columns import Pool, cost_of, keeps_limits
from nesting.solve.compiled import PLAIN, Kernels, Warming, ready, start_warming
from nesting.solve.pattern import Plan
from nesting.solve.pattern_bound import next_lower
from nesting.solve.problem import Bound, Problem
from nesting.solve.progress import News, Observer
from nesting.solve.splices import Shares, joined, pieces_wanted, tried
from nesting.solve.stop import Stop

KEPT_TIES = 24


@dataclass(slots=True)
class Standing:
    """Where a search stands; its phases read and change it.

    ``joints``: what counts the joints of the best plan's runs; ``shares``: what a linear master took of their splices.
    """

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
    joints: int = 0
    shares: Shares | None = None

    @property
    def pieces(self) -> int:
        """How many pieces are wanted in all, runs in their fewest."""
        return pieces_wanted(self.problem)

    def spliced(self, number: int) -> Problem:
        """Return the problem with its runs resolved for the ``number``-th try; without runs the problem itself."""
        return tried(self.problem, number, self.seed, self.shares, self.best)

    def closed(self) -> bool:
        """Whether the best plan is proven."""
        return self.best is not None and self.bound.cost >= self.cost

    def patient(self) -> Stop:
        """Return the stop, but a later one while there is no plan at all."""
        if self.best is not None:
            return self.stop
        return Stop(self.stop.deadline + self.patience, self.stop.cancel)

    def over(self) -> bool:
        """Whether there is nothing more to do, or no more time."""
        return self.closed() or self.patient().reached()

    def tell(self, phase: str) -> None:
        """Give news to whoever watches."""
        self.observer(News(None if self.best is None else self.cost, self.bound.cost, phase))

    def raise_bound(self, bound: Bound, phase: str = "bounds") -> None:
        """Take a bound if it is the best so far."""
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

    def take(self, composition: Composition, plan: Plan, phase: str) -> None:
        """Take a plan of a composition, and keep its sheets as columns."""
        whole = decomposed(self.problem, composition, plan)
        self.pool.add_plan(whole)
        self.offer(whole, phase)

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
