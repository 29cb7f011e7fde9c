"""The integer master: which columns to cut and how often, by CP-SAT over the pool.

Set covering form of the cutting-stock problem (Gilmore & Gomory 1961, "A linear programming approach to the
cutting-stock problem"): demands may be exceeded, what is too many is dropped afterwards. Where runs of wall may be
spliced in several ways, one alternative of each is chosen together with the columns.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from nesting.solve.columns import Column, cost_of, without_surplus
from nesting.solve.pattern import Plan, Sheet
from nesting.solve.problem import Problem
from nesting.solve.splices import joined, pieces_in, resolved, roomy
from nesting.solve.stop import Stop

JOINT_EFFORT = 1.0
"""Deterministic seconds of CP-SAT for fewer joints, so that the same job gets the same plan again."""


def choose(
    problem: Problem,
    columns: Sequence[Column],
    stop: Stop,
    incumbent: Plan | None = None,
    seed: int = 0,
    *,
    joints: bool = False,
) -> Plan | None:
    """Return the cheapest plan found that uses only these columns, or None where there is none.

    Returns the incumbent if nothing cheaper is found before ``stop``; with ``joints`` nothing that costs no more and
    has fewer joints in its runs.
    """
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    asked = roomy(problem)
    most = sum(item.demand for item in asked.items) + sum(bar.demand for bar in asked.bars)
    counts = []
    by_item: list[list[tuple[int, int]]] = [[] for _ in problem.items]
    by_bar: list[list[tuple[int, int]]] = [[] for _ in problem.bars]
    by_bin: list[list[int]] = [[] for _ in problem.bins]
    for index, column in enumerate(columns):
        limit = problem.bins[column.bin].limit
        counts.append(model.new_int_var(0, most if limit is None else min(limit, most), f"x{index}"))
        by_bin[column.bin].append(index)
        for item, times in column.items:
            by_item[item].append((index, times))
        for bar, times in column.bars:
            by_bar[bar].append((index, times))
    wanted_bars: list[Any] = [bar.demand for bar in problem.bars]
    taken: list[list[Any]] = []
    pieces: list[Any] = []
    for number, run in enumerate(problem.runs):
        taken.append([model.new_int_var(0, run.copies, f"run{number}.{a}") for a in range(len(run.alternatives))])
        model.add(sum(taken[-1]) == run.copies)
        for variable, alternative in zip(taken[-1], run.alternatives, strict=True):
            pieces.append(variable * pieces_in(alternative))
            for bar, copies in alternative:
                wanted_bars[bar] += copies * variable
    for rows, wanted in ((by_item, [item.demand for item in problem.items]), (by_bar, wanted_bars)):
        for row, demand in zip(rows, wanted, strict=True):
            model.add(sum(times * counts[index] for index, times in row) >= demand)
    for stock, members in zip(problem.bins, by_bin, strict=True):
        if stock.limit is not None and members:
            model.add(sum(counts[index] for index in members) <= stock.limit)
    cost = sum(problem.bins[column.bin].cost * count for column, count in zip(columns, counts, strict=True))
    solver = cp_model.CpSolver()
    if incumbent is not None and joints:
        model.add(cost <= cost_of(problem, incumbent))
        model.add(sum(pieces) <= joined(problem, incumbent) - 1 - sum(bar.demand for bar in problem.bars))
        model.minimize(sum(pieces))
        solver.parameters.max_deterministic_time = JOINT_EFFORT
    else:
        if incumbent is not None:
            model.add(cost <= cost_of(problem, incumbent) - 1)
        model.minimize(cost)
    solver.parameters.num_workers = 1
    solver.parameters.catch_sigint_signal = False  # Ctrl-C is the program's
    solver.parameters.random_seed = seed
    solver.parameters.max_time_in_seconds = max(0.01, stop.left())
    with stop.watched(solver.stop_search):
        status = solver.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return incumbent
    sheets: list[Sheet] = []
    for column, count in zip(columns, counts, strict=True):
        sheets += [Sheet(column.bin, column.pattern)] * int(solver.value(count))
    choice = tuple(tuple(int(solver.value(variable)) for variable in row) for row in taken)
    return without_surplus(resolved(problem, choice), tuple(sheets))
