"""Jobs of one dimension: every piece is too wide for another beside it, as where boards are only cut to length.

The linear program over patterns is solved with exact pricing by a knapsack within demands (Gilmore & Gomory 1961, "A
linear programming approach to the cutting-stock problem"); its value rounded up is nearly always the optimum
(Scheithauer & Terno 1995 on the modified integer round-up property, from memory). Plans come from dives: whole amounts
are fixed, then the largest fraction, and the program is solved again for what is left, with new columns (Belov &
Scheithauer 2006, from memory), each time with other choices among the larger fractions. Departure: bounds come from
whole prices by Farley 1990.
"""

from __future__ import annotations

import math
import random
from bisect import bisect_left, insort
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from nesting.solve.compiled import Kernels
from nesting.solve.pattern import Pattern, Put, Sheet, Split
from nesting.solve.problem import Bound, Problem
from nesting.solve.standing import Standing
from nesting.solve.stop import Stop

UNIT = 10**7
"""Prices are whole multiples of 1 / UNIT of a bin."""
ROUNDS, DIVE_ROUNDS = 2_000, 12
"""Rounds of column generation at first, and after each fixing of a dive."""
STEADY = 0.5
"""Weight of the best prices met so far beside the latest (Wentges 1997, from memory)."""
LONGER = 1.05
"""Power of a piece's length in what it is worth where bins are filled one after another."""
ROUNDINGS = (0.5, 0.7, 0.3, 0.9)
AT_ONCE = 60
"""Columns added in one round, of pieces apart from one another."""
CHOICE = 0.7
"""A dive fixes a column whose fraction is at least this much of the largest."""
LONGEST = 200_000
"""Largest bin, in grid units, whose knapsack is solved here."""
MOST_CELLS = 10**8
"""Most cells of that knapsack, a byte each."""

Cuts = tuple[tuple[int, int], ...]
"""Items and copies cut from one bin, sorted."""


def is_lengthwise(problem: Problem) -> bool:
    """Whether a job is one-dimensional: one kind of bin, no turns, no two pieces side by side across.

    >>> from nesting.solve.problem import Bin, Item
    >>> is_lengthwise(Problem((Bin(96, 4, 9),), (Item(30, 4, 2, ((True, False),)),)))
    True
    """
    if len(problem.bins) != 1 or problem.bars or problem.runs or problem.max_stages is not None:
        return False
    stock = problem.bins[0]
    wanted = [item for item in problem.items if item.demand]
    if not wanted or problem.first_cut != "any" or stock.limit is not None or stock.length > LONGEST or not stock.cost:
        return False
    if any(item.ways[0] != (True, False) for item in wanted):
        return False
    if stock.length * sum(min(item.demand, stock.length // item.length) for item in wanted) > MOST_CELLS:
        return False
    return 2 * min(item.width for item in wanted) > stock.width


@dataclass(slots=True)
class _Program:
    """The linear program over patterns of one bin, and the pieces still wanted."""

    sizes: NDArray[np.int64]
    room: int
    demands: list[int]
    kernels: Kernels
    solver: Any = None
    rows: list[Any] = field(default_factory=list)
    columns: dict[Cuts, Any] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Begin with a row for each item and a dear way out of it."""
        from ortools.linear_solver import pywraplp

        self.solver = pywraplp.Solver.CreateSolver("GLOP")
        self.solver.Objective().SetMinimization()
        for demand in self.demands:
            row = self.solver.Constraint(float(demand), self.solver.infinity())
            way_out = self.solver.NumVar(0, self.solver.infinity(), "")
            row.SetCoefficient(way_out, 1.0)
            self.solver.Objective().SetCoefficient(way_out, 2.0)
            self.rows.append(row)

    def add(self, cuts: Cuts) -> bool:
        """Add a column unless it is known."""
        if cuts in self.columns or not cuts:
            return False
        variable = self.solver.NumVar(0, self.solver.infinity(), "")
        self.solver.Objective().SetCoefficient(variable, 1.0)
        for item, copies in cuts:
            self.rows[item].SetCoefficient(variable, float(copies))
        self.columns[cuts] = variable
        return True

    def want(self, demands: Sequence[int]) -> None:
        """Ask for other amounts."""
        self.demands = list(demands)
        for row, demand in zip(self.rows, demands, strict=True):
            row.SetBounds(float(demand), self.solver.infinity())

    def solve(self, stop: Stop) -> list[float] | None:
        """Solve the program as it is and return its prices, None where time is up."""
        if stop.reached():
            return None
        self.solver.SetTimeLimit(max(1, int(1000 * min(stop.left(), 5.0))))
        if self.solver.Solve() != self.solver.OPTIMAL:
            return None
        return [max(0.0, row.dual_value()) for row in self.rows]

    def best(self, whole: Sequence[int], demands: Sequence[int]) -> tuple[int, Cuts]:
        """Return the most a bin is worth at whole prices within demands, and how."""
        order = [i for i, demand in enumerate(demands) if demand and whole[i] > 0]
        copies = [min(demands[i], self.room // int(self.sizes[i])) for i in order]
        sizes = np.repeat(self.sizes[order], copies)
        profits = np.repeat(np.array([whole[i] for i in order], dtype=np.int64), copies)
        items = np.repeat(np.array(order, dtype=np.int64), copies)
        value = np.zeros(self.room + 1, dtype=np.int64)
        taken = np.zeros((sizes.size, self.room + 1), dtype=np.bool_)
        self.kernels.fill_bar(sizes, profits, value, taken)
        counts: Counter[int] = Counter()
        at = self.room
        for k in range(sizes.size - 1, -1, -1):
            if taken[k, at]:
                counts[int(items[k])] += 1
                at -= int(sizes[k])
        return int(value[self.room]), tuple(sorted(counts.items()))

    def generate(self, rounds: int, stop: Stop) -> int:
        """Add columns until none improves the program or rounds are over; return the best bound met, in bins."""
        bound, highest = 0, -1.0
        center: list[int] = []
        for _ in range(rounds):
            prices = self.solve(stop)
            if prices is None:
                break
            true = [math.floor(price * UNIT) for price in prices]
            pairs = zip(center, true, strict=True) if center else ()
            between = [int(STEADY * old + (1 - STEADY) * new) for old, new in pairs]
            fresh = False
            for whole in (between, true):
                if not whole:
                    continue
                worth, cuts = self.best(whole, self.demands)
                total = sum(demand * price for demand, price in zip(self.demands, whole, strict=True))
                if worth:
                    bound = max(bound, -(-total // max(worth, UNIT)))
                    if total / max(worth, UNIT) > highest:
                        center, highest = whole, total / max(worth, UNIT)
                left = list(self.demands)
                for _ in range(AT_ONCE):
                    if sum(true[item] * copies for item, copies in cuts) <= UNIT * (1 + 1e-7):
                        break
                    fresh = self.add(cuts) or fresh
                    for item, copies in cuts:
                        left[item] -= copies
                    cuts = self.best(whole, left)[1]
                if fresh:
                    break
            if not fresh:
                break
        return bound

    def amounts(self) -> list[tuple[float, Cuts]]:
        """Return how often each column is taken, the most first."""
        found = [(variable.solution_value(), cuts) for cuts, variable in self.columns.items()]
        return sorted(((x, cuts) for x, cuts in found if x > 1e-6), key=lambda entry: (-entry[0], entry[1]))


def search(standing: Standing) -> None:
    """Fit the longest first, then prove and search until the standing is closed or stopped."""
    problem = standing.problem
    stock = problem.bins[0]
    sizes = np.array([item.length for item in problem.items], dtype=np.int64)
    common = int(np.gcd.reduce(sizes))
    demands = [item.demand for item in problem.items]

    def offer(found: Sequence[Cuts], phase: str) -> None:
        standing.offer(tuple(Sheet(0, _pattern(problem, cuts)) for cuts in found), phase)

    first = _first_fit(sizes, stock.length, demands)
    offer(first, "first plans")
    if standing.over():
        return
    program = _Program(sizes // common, stock.length // common, demands, standing.kernels(patient=True))
    fullest = _fullest(program, demands, standing.stop)
    if fullest is not None:
        offer(fullest, "fullest bins")
    if standing.over():
        return
    for cuts in [*first, *(fullest or ()), *(((i, 1),) for i, demand in enumerate(demands) if demand)]:
        program.add(cuts)
    bins = program.generate(ROUNDS, standing.stop)
    told = f"{bins - 1} pieces of stock cannot do it, whatever is cut from each"
    standing.raise_bound(Bound(bins * stock.cost, "patterns", told), "columns")
    rng = random.Random(standing.seed)
    for least in ROUNDINGS:
        if standing.over():
            return
        part, left = _rounded(program.amounts(), demands, least)
        rest = _fullest(program, left, standing.stop)
        if rest is not None:
            offer([*part, *rest], "rounding")
    number = 0
    while not standing.over():
        program.want(demands)
        found = _dive(program, rng, standing.stop, greedy=number == 0)
        number += 1
        if found:
            offer(found, "dives")


def _rounded(
    amounts: Sequence[tuple[float, Cuts]], demands: Sequence[int], least: float
) -> tuple[list[Cuts], list[int]]:
    """Take columns as often as they come out whole, and once more where the rest is at least ``least``.

    Nothing is made beyond the demands; what is left of them is returned too.
    """
    left, made = list(demands), list[Cuts]()
    for amount, cuts in amounts:
        times = int(amount + 1 - least)
        times = min([times, *(left[item] // copies for item, copies in cuts)])
        made += [cuts] * times
        for item, copies in cuts:
            left[item] -= copies * times
    return made, left


def _dive(program: _Program, rng: random.Random, stop: Stop, *, greedy: bool) -> list[Cuts]:
    """Fix columns until everything wanted is made; empty where time was up."""
    left, made = list(program.demands), list[Cuts]()
    while any(left):
        if program.solve(stop) is None:
            return []
        amounts = program.amounts()
        fixed = [(int(x + 1e-6), cuts) for x, cuts in amounts if x >= 1 - 1e-6]
        if not fixed:
            fractions = [cuts for x, cuts in amounts if x >= CHOICE * amounts[0][0]]
            fixed = [(1, fractions[0] if greedy else rng.choice(fractions))]
        for times, cuts in fixed:
            for _ in range(times):
                within = tuple((item, min(copies, left[item])) for item, copies in cuts if left[item])
                if not within:
                    break
                made.append(within)
                for item, copies in within:
                    left[item] -= copies
        program.want(left)
        for cuts in _first_fit(program.sizes, program.room, left):
            program.add(cuts)
        program.generate(DIVE_ROUNDS, stop)
    return made


def _first_fit(sizes: NDArray[np.int64], room: int, demands: Sequence[int]) -> list[Cuts]:
    """Fill bins longest piece first, each piece into the fullest bin it fits (best fit decreasing)."""
    rooms: list[tuple[int, int]] = []  # room left and bin, by room
    contents: list[Counter[int]] = []
    for item in sorted(range(len(demands)), key=lambda i: -int(sizes[i])):
        size = int(sizes[item])
        for _ in range(demands[item]):
            place = bisect_left(rooms, (size, -1))
            if place < len(rooms):
                left, at = rooms.pop(place)
            else:
                left, at = room, len(contents)
                contents.append(Counter())
            insort(rooms, (left - size, at))
            contents[at][item] += 1
    return [tuple(sorted(content.items())) for content in contents]


def _fullest(program: _Program, demands: Sequence[int], stop: Stop) -> list[Cuts] | None:
    """Fill bin after bin as full as can be, longer pieces preferred; None where time was up.

    After Gupta & Ho 1999, "A new heuristic algorithm for the one-dimensional bin-packing problem", from memory; here
    the fullest bin comes from the knapsack, and longer pieces count a little more.
    """
    worth = [round(UNIT * (int(size) / program.room) ** LONGER) for size in program.sizes]
    left, made = list(demands), list[Cuts]()
    while any(left):
        if stop.reached():
            return None
        cuts = program.best(worth, left)[1]
        times = min(left[item] // copies for item, copies in cuts)
        made += [cuts] * times
        for item, copies in cuts:
            left[item] -= copies * times
    return made


def _pattern(problem: Problem, cuts: Cuts) -> Pattern:
    """Return the pattern that crosscuts a bin into its pieces, one after another."""
    pattern: Pattern = None
    for item, copies in reversed(cuts):
        for _ in range(copies):
            piece: Pattern = Put(item)
            if problem.items[item].width < problem.bins[0].width:
                piece = Split("rip", problem.items[item].width, piece, None)
            pattern = Split("crosscut", problem.items[item].length, piece, pattern)
    return pattern
