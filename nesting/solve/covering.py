"""Covering by columns: the integer program that gap enumeration, bars and restricted masters share.

Set covering form of the cutting-stock problem (Gilmore & Gomory 1961, "A linear programming approach to the
cutting-stock problem"). How many of each column, so that what is wanted is covered at least cost.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ortools.linear_solver import pywraplp

from nesting.solve.boxes import OutOfTime
from nesting.solve.stop import Stop

SETTINGS = """
separating/maxrounds = 0
separating/maxroundsroot = 0
branching/pscost/priority = 1000000
"""
"""Of SCIP: no cutting planes, branching by pseudo-costs."""
LOOK = 500
"""Columns built between two looks at the clock."""


@dataclass(frozen=True, slots=True)
class Column:
    """What a column costs, how often it may be taken, what it covers and how much of it, and which limit it counts for.

    ``group``: a key of the limits; others have none.
    """

    cost: int
    most: int
    content: Sequence[tuple[int, int]]
    group: int = -1


def cover(
    wanted: Sequence[int],
    columns: Sequence[Column],
    most: int | None,
    stop: Stop,
    limits: Mapping[int, int] | None = None,
) -> list[int] | None:
    """Return how often to take each column so that all that is wanted is covered; ``None`` where that cannot be.

    It costs ``most`` or less, or without ``most`` as little as can be; ``limits``: how many columns of a group at most.
    With ``most`` the program may also cover all at once by a column that costs just more, so that it has a solution
    from the start and cuts off what costs as much: a limit on the cost as a constraint would hide which way is cheaper.

    Raises :class:`OutOfTime` where it was not decided in time.

    >>> cover([3, 1], [Column(1, 3, ((0, 2),)), Column(1, 3, ((0, 1), (1, 1)))], 2, Stop.after(9))
    [1, 1]
    >>> cover([3, 1], [Column(1, 3, ((0, 2),)), Column(1, 3, ((0, 1), (1, 1)))], 1, Stop.after(9)) is None
    True
    """
    solver: Any = pywraplp.Solver.CreateSolver("SCIP")
    rows = {i: solver.Constraint(pieces, solver.infinity()) for i, pieces in enumerate(wanted) if pieces > 0}
    groups = {group: solver.Constraint(0, limit) for group, limit in (limits or {}).items()}
    cost = solver.Objective()
    cost.SetMinimization()
    variables: list[Any] = []
    for place, column in enumerate(columns):
        if place % LOOK == 0 and stop.reached():
            raise OutOfTime
        variable = solver.IntVar(0, column.most, "")
        cost.SetCoefficient(variable, column.cost)
        for i, pieces in column.content:
            if i in rows:
                rows[i].SetCoefficient(variable, pieces)
        if column.group in groups:
            groups[column.group].SetCoefficient(variable, 1)
        variables.append(variable)
    if most is not None:
        escape = solver.IntVar(0, 1, "")
        cost.SetCoefficient(escape, most + 1)
        for i, row in rows.items():
            row.SetCoefficient(escape, wanted[i])
    if not solver.SetSolverSpecificParametersAsString(SETTINGS):
        raise RuntimeError("SCIP does not know its settings")
    status = _run(solver, stop)
    if status == pywraplp.Solver.INFEASIBLE:
        return None
    solved = status == pywraplp.Solver.OPTIMAL
    cheap = most is not None and (solved or status == pywraplp.Solver.FEASIBLE) and round(cost.Value()) <= most
    if not solved and not cheap:
        raise OutOfTime
    if most is not None and not cheap:
        return None
    return [round(variable.solution_value()) for variable in variables]


def _run(solver: Any, stop: Stop) -> int:
    """Solve until it ends, time is up or the job is cancelled; no gap is small enough to end it."""
    exactly = pywraplp.MPSolverParameters()
    exactly.SetDoubleParam(exactly.RELATIVE_MIP_GAP, 0.0)  # by default 1/10,000 of the cost
    solver.SetTimeLimit(max(1, int(1000 * min(stop.left(), 1e6))))
    with stop.watched(solver.InterruptSolve):
        return int(solver.Solve(exactly))
