"""Which run gets which splice once the pieces are cut: whatever was cut is hung, joints of neighbouring rows apart.

The search asks only for bars of each length; here every run takes one of its alternatives, in one of its orders, so
that all together take just the bars there are. Of the ways to do so one is chosen in which few joints lie right above
one another in rows that follow one another: the wall behind a joint has one screw line less to share (common practice,
no source).
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from fractions import Fraction
from itertools import accumulate
from typing import Any

from nesting.demand import SplicedRun

EFFORT = 0.5
"""Deterministic seconds of CP-SAT for joints apart; the assignment itself is not limited."""


def staggered(runs: Sequence[SplicedRun], made: Mapping[tuple[Fraction, Fraction], int]) -> tuple[int, ...] | None:
    """Return for each run the alternative it gets, so that together they take the pieces ``made`` by (height, length).

    ``None`` where no choice takes just these. Deterministic.

    >>> from dataclasses import replace
    >>> long, short, tall = Fraction(9), Fraction(5), Fraction(3)
    >>> ways = ((long, short), (short, long))
    >>> upper = SplicedRun("row 1", "wall", tall, ways, frozenset({0}), ("row 1 a", "row 1 b"), 1)
    >>> sorted(staggered([upper, replace(upper, row=2)], {(tall, long): 2, (tall, short): 2}))
    [0, 1]
    """
    there = Counter({key: copies for key, copies in made.items() if copies})
    usable = [
        [a for a, lengths in enumerate(run.alternatives) if Counter((run.height, x) for x in lengths) <= there]
        for run in runs
    ]
    if not all(usable):
        return None
    for apart in (True, False):
        status, chosen = _solved(runs, there, usable, apart=apart)
        if status != "unknown":
            return chosen
    return None


def _solved(
    runs: Sequence[SplicedRun],
    there: Mapping[tuple[Fraction, Fraction], int],
    usable: Sequence[Sequence[int]],
    *,
    apart: bool,
) -> tuple[str, tuple[int, ...] | None]:
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    takes = [{a: model.new_bool_var(f"run{r}.{a}") for a in own} for r, own in enumerate(usable)]
    of: dict[tuple[Fraction, Fraction], list[Any]] = defaultdict(list)
    for run, own in zip(runs, takes, strict=True):
        model.add_exactly_one(own.values())
        for a, variable in own.items():
            for length, copies in Counter(run.alternatives[a]).items():
                of[run.height, length].append(copies * variable)
    for key in {*of, *there}:
        model.add(sum(of[key]) == there.get(key, 0))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.catch_sigint_signal = False  # Ctrl-C is the program's
    if apart:
        model.minimize(sum(_above_one_another(model, runs, takes)))
        solver.parameters.max_deterministic_time = EFFORT
    status = solver.solve(model)
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return "found", tuple(next(a for a, variable in own.items() if solver.value(variable)) for own in takes)
    return ("none" if status == cp_model.INFEASIBLE else "unknown"), None


def _above_one_another(model: Any, runs: Sequence[SplicedRun], takes: Sequence[Mapping[int, Any]]) -> list[Any]:
    """Return a variable for each place where joints of two neighbouring rows may meet, 1 where they do."""
    joints: list[dict[Fraction, list[Any]]] = []
    for run, own in zip(runs, takes, strict=True):
        here: dict[Fraction, list[Any]] = defaultdict(list)
        for a, variable in own.items():
            for x in accumulate(run.alternatives[a][:-1], initial=run.x):
                if x != run.x:
                    here[x].append(variable)
        joints.append(here)
    meeting = []
    for one, upper in enumerate(runs):
        for other, lower in enumerate(runs):
            if lower.row == upper.row + 1:
                for x in sorted(joints[one].keys() & joints[other].keys()):
                    meets = model.new_bool_var("")
                    model.add(meets >= sum(joints[one][x]) + sum(joints[other][x]) - 1)
                    meeting.append(meets)
    return meeting
