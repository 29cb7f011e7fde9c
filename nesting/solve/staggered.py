"""Which run gets which splice: joints of neighbouring rows apart.

The search asks only for bars of each length. Once these are known every run takes one of its alternatives, in one of
its orders, so that all together take just the bars there are (:func:`staggered`). Where every run has its fewest pieces
other splices of as few may do as well: :func:`spread` says which would part the joints best, and

:func:`nesting.solve.splicing.joints_apart` whether they cost no more. Joints right above one another make a weak line
down the wall (common practice, no source).
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Container, Mapping, Sequence
from fractions import Fraction
from itertools import accumulate
from typing import Any

from nesting.demand import SplicedRun

EFFORT = 0.1
"""Deterministic seconds of CP-SAT for joints apart; finding any assignment is not limited."""
A_JOINT = 1000
"""Different lengths that are worth parting two joints."""
Pieces = Mapping[tuple[Fraction, Fraction], int]
"""How many pieces there are of each height and length."""


def staggered(runs: Sequence[SplicedRun], made: Pieces) -> tuple[int, ...] | None:
    """Return for each run the alternative it gets, so that together they take the pieces ``made``.

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
        status, chosen = _solved(runs, usable, there, apart=apart)
        if status != "unknown":
            return chosen
    return None


def spread(runs: Sequence[SplicedRun], able: Container[tuple[Fraction, Fraction]]) -> tuple[int, ...] | None:
    """Return for each run an alternative of fewest pieces, joints apart, then of few different lengths.

    Only pieces of a height and length that is ``able`` are used; ``None`` where no such choice was found.

    >>> from dataclasses import replace
    >>> ways = tuple(tuple(map(Fraction, way)) for way in ((9, 5), (7, 7), (5, 4, 5)))
    >>> upper = SplicedRun("row 1", "wall", Fraction(3), ways, frozenset({0}), ("a", "b", "c"), 1)
    >>> sorted(spread([upper, replace(upper, row=2)], {(Fraction(3), Fraction(length)) for length in (5, 7, 9)}))
    [0, 1]
    """
    usable = []
    for run in runs:
        ways = {a: way for a, way in enumerate(run.alternatives) if all((run.height, x) in able for x in way)}
        fewest = min(map(len, ways.values()), default=0)
        usable.append([a for a, way in ways.items() if len(way) == fewest])
    return _solved(runs, usable, None, apart=True)[1]


def meetings(runs: Sequence[SplicedRun], chosen: Sequence[int]) -> int:
    """Count the joints that lie right above one another in neighbouring rows."""
    joints = [set(_joints(run, a)) for run, a in zip(runs, chosen, strict=True)]
    return sum(
        len(joints[one] & joints[other])
        for one, upper in enumerate(runs)
        for other, lower in enumerate(runs)
        if lower.row == upper.row + 1
    )


def _joints(run: SplicedRun, alternative: int) -> list[Fraction]:
    return list(accumulate(run.alternatives[alternative][:-1], initial=run.x))[1:]


def _solved(
    runs: Sequence[SplicedRun], usable: Sequence[Sequence[int]], there: Pieces | None, *, apart: bool
) -> tuple[str, tuple[int, ...] | None]:
    """Choose a usable alternative for each run; together they take just the pieces ``there``, where these are given."""
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    takes = [{a: model.new_bool_var(f"run{r}.{a}") for a in own} for r, own in enumerate(usable)]
    of: dict[tuple[Fraction, Fraction], list[tuple[int, Any]]] = defaultdict(list)
    for run, own in zip(runs, takes, strict=True):
        model.add_exactly_one(own.values())
        for a, variable in own.items():
            for length, copies in Counter(run.alternatives[a]).items():
                of[run.height, length].append((copies, variable))
    different = []
    if there is None:
        for takers in of.values():
            used = model.new_bool_var("")
            model.add_max_equality(used, [variable for _, variable in takers])
            different.append(used)
    else:
        for key in {*of, *there}:
            model.add(sum(copies * variable for copies, variable in of[key]) == there.get(key, 0))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.catch_sigint_signal = False  # Ctrl-C is the program's
    if apart:
        model.minimize(A_JOINT * sum(_above_one_another(model, runs, takes)) + sum(different))
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
            for x in _joints(run, a):
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
