"""Fewest settings by constraint programming: lazy slots.

With all choices fixed the order of the cuts is a shortest common supersequence over a tree of operations. Each setting
has a few ordered *slots*, times at which it is made, and one *wild* slot that costs one but stands outside the order.
Leaving the order out for the wild slots relaxes the problem, so that every optimum is a valid bound; where no wild slot
is used it is an order. A setting whose wild slot was used gets one slot more, and the model is solved again.
With one slot each this is the number of distinct settings plus a minimum feedback vertex set.

The only module of the sequence that knows OR-Tools (CP-SAT).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from ortools.sat.python import cp_model

from nesting.sequence.job import Op, Symbol
from nesting.sequence.precedence import Edge, candidates, edges
from nesting.solve.stop import Stop

Slot = tuple[Symbol, int]
"""A setting and which of its times this is; -1 is the wild one."""

WILD = -1
TAMING = 0.15
"""Share of the time and effort left that a round may spend on emptying its wild slots."""

BUILDING = 2e-5
"""Effort charged for each constraint of a round besides the solver's work, for building it."""


@dataclass(frozen=True, slots=True)
class Answer:
    """What a round found: the operations of fence and stop in order, each with its slot, and what falls free.

    ``exact``: no wild slot was used, so that the order needs ``bound`` settings and no fewer would do.
    """

    order: tuple[tuple[int, Slot], ...]
    fallen: frozenset[int]
    exact: bool


@dataclass(slots=True)
class Rounds:
    """The rounds on one phase; ``bound`` holds for it whatever the round.

    ``effort`` is what is left to them of the solver's own measure of its work, about a second each: unlike the clock it
    is the same on every machine and at every run.
    """

    ops: Sequence[Op]
    shared: bool
    seed: int = 0
    effort: float = math.inf
    bound: int = 0
    _times: dict[Symbol, int] = field(default_factory=dict)
    _edges: list[Edge] = field(default_factory=list)

    def __post_init__(self) -> None:
        self._edges = edges(self.ops)
        self._times = {symbol: 1 for op in self.ops for symbol in op.ways}

    def next(self, stop: Stop) -> Answer | None:
        """Solve one round; None where time ran out without an order of any kind."""
        model = _Model(self.ops, self._edges, self._times, shared=self.shared)
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.catch_sigint_signal = False
        solver.parameters.random_seed = self.seed
        status = self._solve(model, solver, stop.left(), self.effort)
        if status == cp_model.UNKNOWN and not math.isfinite(solver.best_objective_bound):
            return None
        self.bound = max(self.bound, math.ceil(solver.best_objective_bound - 1e-6))
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return None
        answer = model.read(solver)
        if not answer.exact and stop.left() > 0 and self.effort > 0:
            answer = self._tamer(model, solver, stop) or answer
        for symbol in {slot[0] for _, slot in answer.order if slot[1] == WILD}:
            self._times[symbol] += 1
        return answer

    def _tamer(self, model: _Model, solver: cp_model.CpSolver, stop: Stop) -> Answer | None:
        """Return an answer as cheap with fewer operations in wild slots, which is nearer to an order."""
        model.keep(solver)
        status = self._solve(model, solver, TAMING * stop.left(), TAMING * self.effort)
        return model.read(solver) if status in (cp_model.OPTIMAL, cp_model.FEASIBLE) else None

    def _solve(self, model: _Model, solver: cp_model.CpSolver, seconds: float, effort: float) -> Any:
        solver.parameters.max_time_in_seconds = max(0.001, seconds)
        if math.isfinite(effort):
            solver.parameters.max_deterministic_time = max(1e-4, effort)
        status = solver.solve(model.model)
        self.effort -= solver.response_proto.deterministic_time + BUILDING * len(model.model.proto.constraints)
        return status


class _Model:
    """One round: a boolean for each operation and slot, an integer time for each slot (or each operation)."""

    def __init__(self, ops: Sequence[Op], found: Sequence[Edge], times: dict[Symbol, int], *, shared: bool) -> None:
        self.model = cp_model.CpModel()
        self.ops = ops
        self.station: dict[Symbol, str] = {s: way.station for op in ops for s, way in op.ways.items()}
        self.used: dict[Slot, Any] = {
            (symbol, time): self.model.new_bool_var(f"used {symbol} {time}")
            for symbol in sorted(times)
            for time in (WILD, *range(times[symbol]))
        }
        self.at: dict[int, dict[Slot, Any]] = {}
        self.falls: dict[int, Any] = {}
        self._choices(times)
        last = len(self.used) + len(ops) + 1
        self.start = {slot: self.model.new_int_var(0, last, f"start {slot}") for slot in self.used if slot[1] != WILD}
        for (symbol, time), start in self.start.items():
            if time:
                self.model.add_implication(self.used[symbol, time], self.used[symbol, time - 1])
                self.model.add(start >= self.start[symbol, time - 1] + 1)
        for symbol, time in times.items():
            self.model.add_implication(self.used[symbol, WILD], self.used[symbol, time - 1])
        self.moment: dict[int, Any] = {}
        if shared:
            self._order_slots(found)
        else:
            self._order_operations(found, last)
        guided = sum(op.cost for op in ops)
        saved = sum(op.cost * self.falls[op.index] for op in ops if op.cost and op.index in self.falls)
        self.cost = sum(self.used.values()) + guided - saved
        self.model.minimize(self.cost)

    def _choices(self, times: dict[Symbol, int]) -> None:
        """Each operation takes one slot of one of its settings, or falls free; at most one of a piece does."""
        for group in candidates(self.ops).values():
            for op in group:
                self.falls[op.index] = self.model.new_bool_var(f"falls {op.index}")
            self.model.add_at_most_one(self.falls[op.index] for op in group)
        for op in self.ops:
            if op is op.group.forced:
                self.falls[op.index] = self.model.new_constant(1)
        for op in self.ops:
            if op.guided is not None or op is op.group.forced:
                continue
            slots = [(symbol, time) for symbol in op.ways for time in (WILD, *range(times[symbol]))]
            self.at[op.index] = {slot: self.model.new_bool_var(f"{op.index} at {slot}") for slot in slots}
            for slot, literal in self.at[op.index].items():
                self.model.add_implication(literal, self.used[slot])
            free = [self.falls[op.index]] if op.index in self.falls else []
            self.model.add_exactly_one([*self.at[op.index].values(), *free])

    def _order_slots(self, found: Sequence[Edge]) -> None:
        """One table: every slot is one moment, and what comes before has an earlier one or the same slot."""
        sooner: dict[tuple[Slot, Slot], Any] = {}
        for edge in found:
            condition = [self.falls[edge.fallen].negated()] if edge.fallen is not None else []
            for first, a in self.at.get(edge.before, {}).items():
                for then, b in self.at.get(edge.after, {}).items():
                    if first == then or WILD in (first[1], then[1]):
                        continue
                    if (first, then) not in sooner:
                        literal = self.model.new_bool_var(f"{first} before {then}")
                        sooner[first, then] = literal
                        self.model.add(self.start[then] >= self.start[first] + 1).only_enforce_if(literal)
                        if (then, first) in sooner:
                            self.model.add_at_most_one(literal, sooner[then, first])
                    self.model.add_bool_or([a.negated(), b.negated(), *condition, sooner[first, then]])

    def _order_operations(self, found: Sequence[Edge], last: int) -> None:
        """Two machines: a slot lasts from its first to its last operation, apart from others of its station."""
        self.moment = moment = {i: self.model.new_int_var(0, last, f"time of {i}") for i in self.at}
        end = {slot: self.model.new_int_var(0, last, f"end {slot}") for slot in self.start}
        for slot, start in self.start.items():
            self.model.add(end[slot] >= start)
        for i, literals in self.at.items():
            for slot, literal in literals.items():
                if slot[1] != WILD:
                    self.model.add(moment[i] >= self.start[slot]).only_enforce_if(literal)
                    self.model.add(moment[i] <= end[slot]).only_enforce_if(literal)
        slots = list(self.start)
        for n, a in enumerate(slots):
            for b in slots[n + 1 :]:
                if self.station[a[0]] == self.station[b[0]]:
                    first = self.model.new_bool_var(f"{a} before {b}")
                    used = [self.used[a], self.used[b]]
                    self.model.add(self.start[b] >= end[a] + 1).only_enforce_if([first, *used])
                    self.model.add(self.start[a] >= end[b] + 1).only_enforce_if([first.negated(), *used])
        for edge in found:
            if edge.before in moment and edge.after in moment:
                later = self.model.add(moment[edge.after] >= moment[edge.before] + 1)
                if edge.fallen is not None:
                    later.only_enforce_if(self.falls[edge.fallen])

    def keep(self, solver: cp_model.CpSolver) -> None:
        """Hold the cost that was found and ask for the fewest operations in wild slots instead."""
        for literals in (self.used, *self.at.values()):
            for literal in literals.values():
                self.model.add_hint(literal, solver.boolean_value(literal))
        self.model.add(self.cost <= round(solver.objective_value))
        self.model.minimize(
            sum(literal for literals in self.at.values() for slot, literal in literals.items() if slot[1] == WILD)
        )

    def read(self, solver: cp_model.CpSolver) -> Answer:
        """Return what the solver found."""
        slot_of = {
            i: slot for i, at in self.at.items() for slot, literal in at.items() if solver.boolean_value(literal)
        }

        def when(i: int) -> tuple[int, Slot, int]:
            slot = slot_of[i]
            if i in self.moment:
                return solver.value(self.moment[i]), slot, i
            return (solver.value(self.start[slot]) if slot[1] != WILD else len(self.used)), slot, i

        fallen = frozenset(i for i, literal in self.falls.items() if solver.boolean_value(literal))
        order = tuple((i, slot_of[i]) for i in sorted(slot_of, key=when))
        return Answer(order, fallen, all(slot[1] != WILD for slot in slot_of.values()))
