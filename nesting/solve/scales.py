"""Conservative scales fitted to the job: sizes on two axes under which no row or column of parts grows too long.

Values u on one axis and v on the other are conservative if whatever fits side by side in a bin has values of at most
U (V) in all; then the products of a part's values bound the bins (Fekete & Schepers 2004). With v fixed the best u is
a linear program over the rows that fit, the dual of a one-dimensional cutting-stock problem (bar relaxation:
Scheithauer 1999; Belov, Kartak, Rohling & Scheithauer 2009), here with a part's weight the least over the ways it may
lie and over the bins. Rows are found by a knapsack; axes take turns until nothing gains. At the end values are rounded
to integers and U, V computed by exact knapsacks, so the bound holds whatever the linear programs did. It holds
for free-form layouts too.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from ortools.linear_solver import pywraplp

from nesting.solve.bounds import MOST_ALONE, MOST_OF_SEVERAL, UNIT, Scaled, scaled, totals
from nesting.solve.cover import Need
from nesting.solve.enlarge import Lying
from nesting.solve.problem import Problem
from nesting.solve.stop import Stop

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
FINE = 2**20
"""Values are rounded down to so many parts of a side."""
GRID = 1200
"""Longest side a row knapsack works on exactly; longer ones are rounded to it, sizes down."""
STARTS, TURNS, ROWS = 3, 6, 400


@dataclass(frozen=True, slots=True)
class Axis:
    """One axis of a bin: sizes on the knapsack's grid ``[item, way]``, whether so allowed, copies that matter."""

    sizes: Ints
    able: NDArray[np.bool_]
    copies: list[int]
    room: int


def axis(sizes: Ints, able: NDArray[np.bool_], side: int, demands: Sequence[int]) -> Axis:
    """Put the sizes of an axis on the knapsack's grid: a row that fits still fits there."""
    common = int(np.gcd.reduce(np.append(sizes[able], side))) or 1
    room = side // common
    units = sizes // common
    if room > GRID:
        units, room = sizes * GRID // side, GRID
    least = np.where(able, units, room + 1).min(axis=1)
    copies = [min(d, room // max(1, int(size))) if size <= room else 0 for d, size in zip(demands, least, strict=True)]
    return Axis(units, able, copies, room)


def longest_row(on: Axis, values: NDArray[Any]) -> tuple[Any, list[tuple[int, int, int]]]:
    """Return the greatest total value of a row that fits, and the row as (item, way, copies).

    >>> on = axis(np.array([[3, 3], [2, 2]]), np.array([[True, False], [True, False]]), 7, [1, 9])
    >>> longest_row(on, np.array([[5, 0], [3, 0]]))
    (11, [(0, 0, 1), (1, 0, 2)])
    """
    row = np.zeros(on.room + 1, dtype=values.dtype)
    stages: list[tuple[int, NDArray[Any]]] = []
    for item in np.flatnonzero((np.where(on.able, values, 0) > 0).any(axis=1)).tolist():
        ways = [way for way in (0, 1) if on.able[item, way] and values[item, way] > 0]
        for _ in range(on.copies[item]):
            stages.append((item, row))
            fresh = row.copy()
            for way in ways:
                size, value = int(on.sizes[item, way]), values[item, way]
                if size <= on.room:
                    np.maximum(fresh[size:], row[: on.room + 1 - size] + value, out=fresh[size:])
            row = fresh
    best = row[on.room].item()
    counts: dict[tuple[int, int], int] = {}
    at, now = on.room, row
    for item, before in reversed(stages):
        if now[at] != before[at]:
            way = next(
                way
                for way in (0, 1)
                if on.able[item, way]
                and on.sizes[item, way] <= at
                and before[at - on.sizes[item, way]] + values[item, way] == now[at]
            )
            counts[item, way] = counts.get((item, way), 0) + 1
            at -= int(on.sizes[item, way])
        now = before
    return best, sorted((item, way, count) for (item, way), count in counts.items())


def best_values(on: Axis, other: Floats, demands: Floats, most: Floats, stop: Stop) -> Floats | None:
    """Return values on an axis that make the total weight greatest while the other axis' values stay.

    ``most`` bounds each item's weight. ``None`` where the linear program was not solved in time.
    """
    solver: Any = pywraplp.Solver.CreateSolver("GLOP")
    values, weights, rows = {}, {}, set()
    objective = solver.Objective()
    objective.SetMaximization()
    for item in np.flatnonzero((demands > 0) & on.able.any(axis=1)).tolist():
        weights[item] = solver.NumVar(0, min(float(most[item]), 1.0), "")
        objective.SetCoefficient(weights[item], float(demands[item]))
        for way in (0, 1):
            if on.able[item, way]:
                values[item, way] = solver.NumVar(0, 1.0, "")
                link = solver.Constraint(-solver.infinity(), 0.0)
                link.SetCoefficient(weights[item], 1.0)
                link.SetCoefficient(values[item, way], -float(other[item, way]))
    result: Floats = np.zeros(on.sizes.shape)
    for _ in range(ROWS):
        solver.SetTimeLimit(max(1, int(1000 * min(2.0, stop.left()))))
        if stop.reached() or solver.Solve() != pywraplp.Solver.OPTIMAL:
            return None
        for key, variable in values.items():
            result[key] = max(0.0, variable.solution_value())
        total, row = longest_row(on, result)
        if total <= 1.0 + 1e-7 or tuple(row) in rows:
            return result / max(1.0, float(total))
        rows.add(tuple(row))
        cut = solver.Constraint(-solver.infinity(), 1.0)
        for item, way, count in row:
            cut.SetCoefficient(values[item, way], count)
    return result / max(1.0, float(longest_row(on, result)[0]))


@dataclass(slots=True)
class Pair:
    """Values on both axes of a bin ``[item, way]``, and the axes they are for."""

    across: Axis
    along: Axis
    x: Floats
    y: Floats

    def weights(self) -> Floats:
        """Return the items' shares of the bin, infinite where an item cannot lie there."""
        able = self.across.able
        return np.asarray(np.where(able, self.x * self.y, np.inf).min(axis=1), dtype=np.float64)

    def exact(self) -> list[tuple[int, int] | None]:
        """Return each item's share as an exact fraction, by exact knapsacks over the rounded values."""
        u = np.floor(self.x * FINE).astype(np.int64)
        v = np.floor(self.y * FINE).astype(np.int64)
        whole = max(1, longest_row(self.across, u)[0]) * max(1, longest_row(self.along, v)[0])
        shares: list[tuple[int, int] | None] = []
        for able, left, right in zip(self.across.able.tolist(), u.tolist(), v.tolist(), strict=True):
            products = [a * b for can, a, b in zip(able, left, right, strict=True) if can]
            shares.append((min(products), whole) if products else None)
        return shares


def _pair(lies: Lying, held: Scaled, f: int, g: int, demands: Sequence[int]) -> Pair:
    x, y = np.where(lies.able, held.shares_x[f], 0.0), np.where(lies.able, held.shares_y[g], 0.0)
    return Pair(
        axis(lies.x, lies.able, lies.length, demands), axis(lies.y, lies.able, lies.width, demands), x.copy(), y.copy()
    )


def fitted_scales(problem: Problem, stop: Stop, enough: int = 0) -> tuple[list[Need], list[list[list[float]]]]:
    """Return needs by fitted scales, and for each bin the items' shares under them (weights for pricing).

    ``enough``: stop once a need asks for this many hundredths of the largest bin (0: never).
    """
    demands = [item.demand for item in problem.items]
    wanted = np.array(demands, dtype=np.float64)
    most = MOST_ALONE if len(problem.bins) == 1 else MOST_OF_SEVERAL
    helds = [scaled(problem, b, most) for b in range(len(problem.bins))]
    largest = max(stock.length * stock.width for stock in problem.bins)
    worth = [max(1, UNIT * stock.length * stock.width // largest) for stock in problem.bins]
    needs: list[Need] = []
    shares: list[list[list[float]]] = [[] for _ in problem.bins]
    for f_first in _starts(helds, wanted):
        pairs = [_pair(held.lying, held, f, g, demands) for held, (f, g) in zip(helds, f_first, strict=True)]
        before = 0.0
        for _ in range(TURNS):
            for b, pair in enumerate(pairs):
                rest = [p.weights() * worth[o] for o, p in enumerate(pairs) if o != b]
                other = np.min(rest, axis=0) / worth[b] if rest else np.full(wanted.size, np.inf)
                here = np.where(pair.across.able.any(axis=1), wanted, 0.0)
                found = best_values(pair.across, pair.y, here, other, stop)
                if found is not None:
                    pair.x = found
                found = best_values(pair.along, pair.x, here, other, stop)
                if found is not None:
                    pair.y = found
            least = np.min([pair.weights() * share for pair, share in zip(pairs, worth, strict=True)], axis=0)
            total = float(wanted @ np.where(np.isfinite(least), least, 0.0))
            if stop.reached() or total <= before * (1 + 1e-4):
                break
            before = total
        exact = [pair.exact() for pair in pairs]
        asked = 0
        for i, demand in enumerate(demands):
            own = [worth[b] * row[i][0] // row[i][1] for b, row in enumerate(exact) if row[i] is not None]  # type: ignore[index]
            asked += demand * min(own, default=0)
        needs.append(Need(tuple(worth), asked, "scales"))
        for b, row in enumerate(exact):
            shares[b].append([share[0] / share[1] if share else 2.0 for share in row])
        if stop.reached() or (enough and 100 * asked >= enough * UNIT):
            break
    return needs, shares


def _starts(helds: Sequence[Scaled], demands: Floats) -> list[list[tuple[int, int]]]:
    """Choose pairs of functions to start from, for each bin: the heaviest, then the heaviest of other functions."""
    rows: list[list[tuple[int, int]]] = []
    for held in helds:
        total = totals(held, demands, np.full(demands.size, np.inf), 1.0)
        pairs = [divmod(int(at), total.shape[1]) for at in np.argsort(-total, axis=None)[:200]]
        chosen: list[tuple[int, int]] = []
        for f, g in [*pairs[:1], (0, 0), *pairs]:
            if all(f != one and g != two for one, two in chosen) or not chosen:
                chosen.append((int(f), int(g)))
        rows.append((chosen * STARTS)[:STARTS])
    return [list(start) for start in zip(*rows, strict=True)]
