"""Fewest settings by constraint programming: lazy slots.

With all choices fixed the order of the cuts is a shortest common supersequence over a tree of operations. Each setting
has a few ordered *slots*, times at which it is made. A setting that needs more of them than it has is *wild*: it is
charged one more, and its operations stand outside the order. Leaving the order out for wild settings relaxes the
problem, so that every optimum is a valid bound; where no setting is wild it is an order. What was wild gets one slot
more, and the model is solved again. With one slot each this is the number of distinct settings plus a minimum feedback
vertex set, and needs no literal for an operation that has no choice: some thousand clauses for five hundred parts.

The only module of the sequence that knows OR-Tools (CP-SAT).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from ortools.sat.python import cp_model

from nesting.sequence.job import Op, Symbol
from nesting.sequence.precedence import Edge, candidates, edges
from nesting.solve.stop import Stop

Slot = tuple[Symbol, int]
"""A setting and which of its times this is; -1 stands for outside the order."""

WILD = -1

BUILDING = 2e-5
"""Effort charged for each constraint of a round besides the solver's work, for building it."""


@dataclass(frozen=True, slots=True)
class Answer:
    """What a round found: the operations of fence and stop in order, each with its slot, and what falls free.

    ``exact``: no setting is wild, so that the order needs ``bound`` settings and no fewer would do.
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
        solver.parameters.max_time_in_seconds = max(0.001, stop.left())
        if math.isfinite(self.effort):
            solver.parameters.max_deterministic_time = max(1e-4, self.effort)
        status = solver.solve(model.model)
        self.effort -= solver.response_proto.deterministic_time + BUILDING * len(model.model.proto.constraints)
        if math.isfinite(solver.best_objective_bound):
            self.bound = max(self.bound, math.ceil(solver.best_objective_bound - 1e-6))
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return None
        answer = model.read(solver)
        for symbol in {slot[0] for _, slot in answer.order if slot[1] == WILD}:
            self._times[symbol] += 1
        return answer


class _Model:
    """One round: a time for each slot (or each operation), a literal where an operation can choose among slots."""

    def __init__(self, ops: Sequence[Op], found: Sequence[Edge], times: Mapping[Symbol, int], *, shared: bool) -> None:
        self.model = cp_model.CpModel()
        self.ops = ops
        self.station: dict[Symbol, str] = {s: way.station for op in ops for s, way in op.ways.items()}
        self.wild: dict[Symbol, Any] = {symbol: self.model.new_bool_var(f"wild {symbol}") for symbol in sorted(times)}
        self.used: dict[Slot, Any] = {
            (symbol, time): self.model.new_bool_var(f"used {symbol} {time}")
            for symbol in sorted(times)
            for time in range(times[symbol])
        }
        last = len(self.used) + len(ops) + 1
        self.start = {slot: self.model.new_int_var(0, last, f"start {slot}") for slot in self.used}
        for symbol, time in self.used:
            if time:
                self.model.add_implication(self.used[symbol, time], self.used[symbol, time - 1])
                self.model.add(self.start[symbol, time] >= self.start[symbol, time - 1] + 1)
        for symbol, wild in self.wild.items():
            self.model.add_implication(wild, self.used[symbol, times[symbol] - 1])
        self.falls: dict[int, Any] = {}
        self.at: dict[int, dict[Slot, Any]] = {}
        """The slots an operation may take, each with its literal; None where it has no choice."""
        self._choices(times)
        self.moment: dict[int, Any] = {}
        if shared:
            self._order_slots(found)
        else:
            self._order_operations(found, last)
        guided = sum(op.cost for op in ops)
        saved = sum(op.cost * self.falls[op.index] for op in ops if op.cost and op.index in self.falls)
        self.model.minimize(sum(self.used.values()) + sum(self.wild.values()) + guided - saved)

    def _choices(self, times: Mapping[Symbol, int]) -> None:
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
            slots = [(symbol, time) for symbol in op.ways for time in range(times[symbol])]
            if len(slots) == 1 and op.index not in self.falls:
                self.at[op.index] = {slots[0]: None}
                self.model.add(self.used[slots[0]] == 1)
                continue
            self.at[op.index] = {slot: self.model.new_bool_var(f"{op.index} at {slot}") for slot in slots}
            for slot, literal in self.at[op.index].items():
                self.model.add_implication(literal, self.used[slot])
            free = [self.falls[op.index]] if op.index in self.falls else []
            self.model.add_exactly_one([*self.at[op.index].values(), *free])

    def _order_slots(self, found: Sequence[Edge]) -> None:
        """One table: every slot is one moment, and what comes before has an earlier one or the same slot."""
        sooner: dict[tuple[Slot, Slot], Any] = {}
        said: set[tuple[Slot, Slot]] = set()
        for edge in found:
            standing = [self.falls[edge.fallen].negated()] if edge.fallen is not None else []
            for first, a in self.at.get(edge.before, {}).items():
                for then, b in self.at.get(edge.after, {}).items():
                    if first == then or (first[0] == then[0] and first[1] < then[1]):
                        continue
                    unless = [*standing, *(literal.negated() for literal in (a, b) if literal is not None)]
                    if not unless:
                        if (first, then) in said:
                            continue
                        said.add((first, then))
                    unless += [self.wild[symbol] for symbol in dict.fromkeys((first[0], then[0]))]
                    if first[0] != then[0]:
                        unless.append(self._sooner(first, then, sooner))
                    self.model.add_bool_or(unless)

    def _sooner(self, first: Slot, then: Slot, sooner: dict[tuple[Slot, Slot], Any]) -> Any:
        if (first, then) not in sooner:
            literal = self.model.new_bool_var(f"{first} before {then}")
            sooner[first, then] = literal
            self.model.add(self.start[then] >= self.start[first] + 1).only_enforce_if(literal)
            if (then, first) in sooner:
                self.model.add_at_most_one(literal, sooner[then, first])
        return sooner[first, then]

    def _order_operations(self, found: Sequence[Edge], last: int) -> None:
        """Two machines: a slot lasts from its first to its last operation, apart from others of its station."""
        self.moment = moment = {i: self.model.new_int_var(0, last, f"time of {i}") for i in self.at}
        end = {slot: self.model.new_int_var(0, last, f"end {slot}") for slot in self.start}
        for slot, start in self.start.items():
            self.model.add(end[slot] >= start)
        for i, literals in self.at.items():
            for slot, literal in literals.items():
                inside = [self.wild[slot[0]].negated(), *([] if literal is None else [literal])]
                self.model.add(moment[i] >= self.start[slot]).only_enforce_if(inside)
                self.model.add(moment[i] <= end[slot]).only_enforce_if(inside)
        slots = list(self.start)
        for n, a in enumerate(slots):
            for b in slots[n + 1 :]:
                if self.station[a[0]] == self.station[b[0]]:
                    first = self.model.new_bool_var(f"{a} before {b}")
                    both = [self.used[a], self.used[b]]
                    both += [self.wild[symbol].negated() for symbol in dict.fromkeys((a[0], b[0]))]
                    self.model.add(self.start[b] >= end[a] + 1).only_enforce_if([first, *both])
                    self.model.add(self.start[a] >= end[b] + 1).only_enforce_if([first.negated(), *both])
        for edge in found:
            if edge.before in moment and edge.after in moment:
                later = self.model.add(moment[edge.after] >= moment[edge.before] + 1)
                if edge.fallen is not None:
                    later.only_enforce_if(self.falls[edge.fallen])

    def read(self, solver: cp_model.CpSolver) -> Answer:
        """Return what the solver found."""
        slot_of: dict[int, Slot] = {}
        for i, at in self.at.items():
            for slot, literal in at.items():
                if literal is None or solver.boolean_value(literal):
                    slot_of[i] = (slot[0], WILD) if solver.boolean_value(self.wild[slot[0]]) else slot

        def when(i: int) -> tuple[int, Slot, int]:
            slot = slot_of[i]
            if i in self.moment:
                return solver.value(self.moment[i]), slot, i
            return (solver.value(self.start[slot]) if slot[1] != WILD else len(self.used)), slot, i

        fallen = frozenset(i for i, literal in self.falls.items() if solver.boolean_value(literal))
        order = tuple((i, slot_of[i]) for i in sorted(slot_of, key=when))
        return Answer(order, fallen, all(slot[1] != WILD for slot in slot_of.values()))
