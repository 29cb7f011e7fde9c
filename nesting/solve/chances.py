"""One chance of a search: a plan improved, or a choice of stock to be filled, by ruin and recreate or by beams."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass

from nesting.solve.choices import Choice, narrowed
from nesting.solve.columns import cost_of
from nesting.solve.compiled import Kernels, Warming
from nesting.solve.construct import first_plans
from nesting.solve.improve import Knobs, improve
from nesting.solve.pattern import Pattern, Plan
from nesting.solve.problem import Problem
from nesting.solve.refill import refill
from nesting.solve.stop import Stop

ROUND_SECONDS = 0.4
ROUND_TRIES, ROUND_ITERATIONS = 60, 150_000
"""Constructions of a round, and iterations of its ruin and recreate times pieces: some 0.4 s, compiled, on one core."""
SLOW = 4
"""Times ``ROUND_SECONDS`` that a round may take on a slow or busy machine."""
FEW_SHEETS = 5
FEW = (Knobs(tries=200, fresh=0.1), Knobs(tries=1000, fresh=0.03))
"""Where a plan has few sheets almost all of it is ruined each time: then local search on the order, in turns."""
ANY_ORDER = 0.5
"""Share of the beams that fill the bins in an order drawn at random, others the largest first."""

Keep = Callable[[Plan], None]


@dataclass(frozen=True, slots=True)
class Way:
    """A choice of stock to be filled (``None``: a plan is improved instead), by beams of this patience if any."""

    choice: Choice | None
    patience: int = 0


@dataclass(frozen=True, slots=True)
class Task:
    """A problem without bars to find cheap plans of, and how long to try; ``target`` is as cheap as it need be."""

    problem: Problem
    seed: int
    share: int
    target: int
    kernels: Kernels
    warming: Warming | None = None

    def fit(self, way: Way, stop: Stop, keep: Keep) -> None:
        """Try to fit everything into the bins of one choice; a plan that does goes to ``keep``."""
        choice = way.choice
        if choice is None:
            return
        if way.patience:
            plan = refill(self.problem, self._queue(choice), self.seed, stop, self.kernels, way.patience)
            if plan is not None:
                keep(plan)
            return
        narrow = narrowed(self.problem, choice)

        def keep_whole(plan: Plan) -> None:
            whole = narrow.plan(plan)
            if whole is not None:
                keep(whole)

        Task(narrow.problem, self.seed, 1, 0, self.kernels, self.warming).improve(stop, keep_whole, knobs=Knobs())

    def _queue(self, choice: Choice) -> list[int]:
        """Return the bins of a choice in the order in which a beam fills them: the largest first, or any."""
        bins = self.problem.bins
        queue = [b for b, count in enumerate(choice.counts) for _ in range(count)]
        queue.sort(key=lambda b: -bins[b].length * bins[b].width)
        rng = random.Random(self.seed)
        if rng.random() < ANY_ORDER:
            rng.shuffle(queue)
        return queue

    def improve(
        self,
        stop: Stop,
        keep: Keep,
        *,
        start: Plan | None = None,
        meet: Callable[[int, Pattern], None] | None = None,
        knobs: Knobs | None = None,
    ) -> None:
        """Improve a start, or one constructed here, for ``share`` rounds' iterations; cheaper plans go to ``keep``."""
        within = stop.within(SLOW * ROUND_SECONDS * self.share)
        pieces = sum(item.demand for item in self.problem.items)
        if start is None:
            for plan in first_plans(self.problem, self.seed, ROUND_TRIES, within, self.kernels):
                keep(plan)
                start = plan
        if start is not None and cost_of(self.problem, start) > self.target:
            knobs = knobs or (FEW[self.seed % len(FEW)] if len(start) <= FEW_SHEETS else Knobs())
            iterations = ROUND_ITERATIONS * self.share * Knobs().tries // (pieces * knobs.tries)
            improve(
                self.problem,
                start,
                self.seed,
                within,
                on_better=keep,
                on_pattern=meet,
                target=self.target,
                iterations=max(50, iterations),
                knobs=knobs,
                kernels=self.kernels,
                warming=self.warming,
            )
