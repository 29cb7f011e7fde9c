"""The hanging of holders by constraint programming: wish after wish, each kept while the next is asked for.

The only module of the wall that knows OR-Tools (CP-SAT). One worker, a seed and a measure of effort that does not
depend on the clock make it repeat itself; the clock ends it where the machine is slow.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Final

from ortools.sat.python import cp_model

from nesting.errors import Bug
from nesting.wall.hanging_task import Choice, Spot, Task, costs

EFFORT: Final = 0.1
"""The solver's own measure of work for each second given: about half of it, so that the clock seldom ends a search."""
SHARE: Final = 0.5
"""Of what is left, for each question but the last: a hard one leaves something to those after it."""
LARGEST: Final = 1 << 50
"""Largest sum of weighted wishes."""


@dataclass(frozen=True, slots=True)
class Found:
    """Where copies hang; ``most``: no more of them can; ``best``: every wish in its turn is met as well as can be."""

    spots: tuple[Spot, ...]
    most: bool
    best: bool


def search(task: Task, start: Sequence[Spot], seconds: float, seed: int, stopped: Callable[[], bool]) -> Found:
    """Return the best hanging found in about ``seconds``, never a worse one than ``start``.

    The wishes come in the order of :func:`nesting.wall.hanging_task.costs`. ``stopped`` is asked between them.
    """
    deadline, effort = time.perf_counter() + seconds, EFFORT * seconds
    model = _Model(task)
    spots = tuple(start)
    most = len(spots) == task.copies
    best = True
    for group in model.groups:
        so_far = costs(task, spots)[group]
        if any(so_far):  # else no wish of the group can be met better
            left = deadline - time.perf_counter()
            if left <= 0 or effort <= 0 or stopped():
                return Found(spots, most, False)
            last = group is model.groups[-1]
            answer = model.better(group, spots, seed, left if last else SHARE * left, effort)
            effort -= answer.effort
            spots, best = answer.spots, best and answer.optimal
            most = most or (group.start == 0 and answer.least_out == task.copies - len(spots))
        model.keep(group, spots)
    return Found(spots, most, best)


@dataclass(frozen=True, slots=True)
class _Answer:
    """What one solve gave; ``least_out``: so many copies are left out at least, where the first wish was asked."""

    spots: tuple[Spot, ...]
    optimal: bool
    least_out: int
    effort: float


class _Model:
    """A boolean for each copy and choice, an optional rectangle for each copy; ranks stand for heights."""

    def __init__(self, task: Task) -> None:
        self.task, self.model = task, cp_model.CpModel()
        self.taken: dict[tuple[int, int, int], Any] = {}
        self.x: dict[tuple[int, int], Any] = {}
        self.hung: dict[tuple[int, int], Any] = {}
        across, upward, widths = [], [], []
        self.wall = max((kind.width + choice.high for kind in task.kinds for choice in kind.choices), default=0)
        for number, kind in enumerate(task.kinds):
            for copy in range(kind.copies):
                flat, tall = self._copy(number, copy)
                across.append(flat)
                upward.append(tall)
                widths.append(kind.width)
            for copy in range(kind.copies - 1):
                self._in_order(number, copy)
        self.model.add_no_overlap_2d(across, upward)
        self.model.add_cumulative(upward, widths, self.wall)
        self.wishes = self._wishes()
        self.groups = self._groups()

    def _copy(self, number: int, copy: int) -> tuple[Any, Any]:
        kind, model, name = self.task.kinds[number], self.model, f"{number} {copy}"
        taken = [model.new_bool_var(f"{name} at {n}") for n in range(len(kind.choices))]
        hung = model.new_bool_var(f"{name} hung")
        model.add(sum(taken) == hung)
        x = model.new_int_var(0, max(choice.high for choice in kind.choices), f"{name} x")
        foot = model.new_int_var(0, max(choice.foot for choice in kind.choices), f"{name} foot")
        above = model.new_int_var(0, max(choice.above for choice in kind.choices), f"{name} above")
        for n, (literal, choice) in enumerate(zip(taken, kind.choices, strict=True)):
            model.add_linear_constraint(x, choice.low, choice.high).only_enforce_if(literal)
            self.taken[number, copy, n] = literal
        model.add(x == 0).only_enforce_if(hung.negated())
        model.add(foot == sum(c.foot * b for c, b in zip(kind.choices, taken, strict=True)))
        model.add(above == sum(c.above * b for c, b in zip(kind.choices, taken, strict=True)))
        self.x[number, copy], self.hung[number, copy] = x, hung
        size = model.new_int_var(0, max(choice.above for choice in kind.choices), f"{name} size")
        flat = model.new_optional_fixed_size_interval_var(x, kind.width, hung, f"{name} across")
        return flat, model.new_optional_interval_var(foot, size, above, hung, f"{name} upward")

    def _in_order(self, number: int, copy: int) -> None:
        """Hang copies, which are alike, from the top and from the left, those left out last."""
        here, after = self.hung[number, copy], self.hung[number, copy + 1]
        self.model.add_implication(after, here)
        self.model.add(self._place(number, copy) < self._place(number, copy + 1)).only_enforce_if(after)

    def _place(self, number: int, copy: int) -> Any:
        rows = (c.place.row * self.taken[number, copy, n] for n, c in enumerate(self.task.kinds[number].choices))
        return self.wall * sum(rows) + self.x[number, copy]

    def _wishes(self) -> tuple[tuple[Any, int], ...]:
        """Return what is to be least, wish by wish, as :func:`nesting.wall.hanging_task.costs` counts it.

        With each goes the most that it can be.
        """
        kinds = self.task.kinds
        picked = [(kinds[k], kinds[k].choices[n], literal) for (k, _, n), literal in self.taken.items()]
        load = sum(kind.load * kind.copies for kind in kinds)
        peak = self.model.new_int_var(0, load, "peak")
        for row in sorted({choice.place.row for _, choice, _ in picked}):
            here = [kind.load * literal for kind, choice, literal in picked if choice.place.row == row]
            self.model.add(sum(here) <= peak)

        def most(cost: Callable[[Choice], int]) -> int:
            return sum(kind.copies * max(cost(choice) for choice in kind.choices) for kind in kinds)

        return (
            (self.task.copies - sum(self.hung.values()), self.task.copies),
            (sum(choice.miss * literal for _, choice, literal in picked), most(lambda choice: choice.miss)),
            (sum(literal for _, choice, literal in picked if choice.spacer), self.task.copies),
            (peak, load),
            (sum(choice.heavy * literal for _, choice, literal in picked), most(lambda choice: choice.heavy)),
            (sum(choice.far * literal for _, choice, literal in picked), most(lambda choice: choice.far)),
            (sum(self.x.values()), most(lambda choice: choice.high)),
        )

    def _groups(self) -> tuple[slice, ...]:
        """Part the wishes into as few groups as can be asked for at once, the earlier ones weighing more."""
        groups, first, product = [], 0, 1
        for number, (_, most) in enumerate(self.wishes):
            if number > first and product * (most + 1) > LARGEST:
                groups.append(slice(first, number))
                first, product = number, 1
            product *= most + 1
        return (*groups, slice(first, len(self.wishes)))

    def better(self, group: slice, spots: tuple[Spot, ...], seed: int, seconds: float, effort: float) -> _Answer:
        """Ask for a hanging that is no worse than ``spots`` in the first of these wishes in which it differs."""
        self._hint(spots)
        weights = [1]
        for _, most in reversed(self.wishes[group][1:]):
            weights.insert(0, weights[0] * (most + 1))
        wish = sum(weight * wish for weight, (wish, _) in zip(weights, self.wishes[group], strict=True))
        so_far = sum(weight * cost for weight, cost in zip(weights, costs(self.task, spots)[group], strict=True))
        self.model.add(wish <= so_far)
        self.model.minimize(wish)
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.catch_sigint_signal = False
        solver.parameters.random_seed = seed
        solver.parameters.max_time_in_seconds = max(0.001, seconds)
        solver.parameters.max_deterministic_time = max(1e-3, SHARE * effort)
        status = solver.solve(self.model)
        if status in (cp_model.INFEASIBLE, cp_model.MODEL_INVALID):
            raise Bug(f"the hanging contradicts itself: {solver.status_name(status)}")
        found = spots if status == cp_model.UNKNOWN else self._read(solver)
        least = math.ceil(max(0.0, solver.best_objective_bound) - 1e-6) // weights[0]
        return _Answer(found, status == cp_model.OPTIMAL, least, solver.response_proto.deterministic_time)

    def keep(self, group: slice, spots: Sequence[Spot]) -> None:
        """Hold these wishes as well as they are met now."""
        for (wish, _), cost in zip(self.wishes[group], costs(self.task, spots)[group], strict=True):
            self.model.add(wish <= cost)

    def _hint(self, spots: Sequence[Spot]) -> None:
        self.model.clear_hints()  # type: ignore[no-untyped-call]
        by_kind: dict[int, list[Spot]] = {}
        for hanging in sorted(spots, key=lambda s: (self.task.kinds[s.kind].choices[s.choice].place.row, s.x)):
            by_kind.setdefault(hanging.kind, []).append(hanging)
        for (number, copy), hung in self.hung.items():
            mine = by_kind.get(number, [])
            spot = mine[copy] if copy < len(mine) else None
            self.model.add_hint(hung, int(spot is not None))
            self.model.add_hint(self.x[number, copy], 0 if spot is None else spot.x)
            for n in range(len(self.task.kinds[number].choices)):
                self.model.add_hint(self.taken[number, copy, n], int(spot is not None and spot.choice == n))

    def _read(self, solver: cp_model.CpSolver) -> tuple[Spot, ...]:
        return tuple(
            Spot(number, n, solver.value(self.x[number, copy]))
            for (number, copy, n), literal in self.taken.items()
            if solver.boolean_value(literal)
        )
