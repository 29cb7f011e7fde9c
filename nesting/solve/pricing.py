"""Column generation: a linear bound on the cost, and good columns on the way to it.

The linear master is solved by GLOP; each bin is priced by the exact unconstrained guillotine knapsack
(Gilmore & Gomory 1961; 1965, "Multistage cutting stock problems of two and more dimensions"). Since that
knapsack lets every part be cut as often as one likes it never undervalues a bin, so the bound holds. From any
prices of the parts a bound follows in whole numbers, whatever the linear solver did (Farley 1990, "A note on
bounding a class of linear programming problems"; here with limited bins): the prices are scaled until no bin
without limit is worth more than its cost, and a limited bin gives back at most its limit times what it is
worth beyond its cost.

Where runs of wall may be spliced in several ways the master takes one alternative for each, in fractions like the
patterns, and the prices charge a run what the cheapest of its alternatives costs: whatever a plan chooses, it makes
bars of at least that price, so the bound holds.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from nesting.solve.columns import Amounts, Column, Pool, column_of, thinned_to_demand
from nesting.solve.compiled import PLAIN, Kernels
from nesting.solve.knapsack import Ints, Pieces, fill, pattern_of, pieces_of
from nesting.solve.pattern import Pattern, contents
from nesting.solve.points import bounded_points, thinned
from nesting.solve.problem import Problem, Run
from nesting.solve.reachable import limited
from nesting.solve.splices import least, pieces_in, roomy
from nesting.solve.staged import StagedTable
from nesting.solve.stop import Stop

UNIT = 10**7
"""Prices are whole multiples of 1 / UNIT of the integer money."""

JOINT = 1e-4
"""Units of money that a piece of a run costs the linear master; rounding up to whole money covers far more."""

REFILLS = 4
STEADY = 0.6
"""Weight of the best prices met so far beside the latest."""
AMOUNTS_MILLISECONDS = 500
WAY_OUT = 1.2
"""Times its share of a sheet that a demand left to construction costs the linear master of very many pieces."""

MOST_POINTS = 400_000
"""A bin with more sub-rectangles than this is priced at fewer points: its table would take seconds."""
MOST_POINTS_STAGED = 600_000
ROUGH_POINTS, ROUGH_POINTS_PLAIN = 30_000, 10_000
"""As many where only columns are wanted, and no bound; the second uncompiled."""
MOST_POINTS_PLAIN = 60_000
"""The same while the compiled kernels are not there."""


@dataclass(frozen=True, slots=True)
class LinearBound:
    """A valid bound, rounded up to whole money; ``ended`` where no column could improve it any more.

    ``shares``: how often the last linear master took each alternative of each run, None where it never did;
    ``amounts``: how often it took each column, where columns were made roughly.
    """

    cost: int
    ended: bool
    shares: tuple[tuple[float, ...], ...] | None = None
    amounts: Amounts = ()


@dataclass(frozen=True, slots=True)
class Place:
    """A bin made ready for pricing: what it may be cut into, and its normal points."""

    index: int
    pieces: Pieces
    xs: Ints
    ys: Ints
    exact: bool = True


def generate(
    problem: Problem,
    pool: Pool,
    stop: Stop,
    *,
    kernels: Kernels = PLAIN,
    on_bound: Callable[[int], None] | None = None,
    rounds: int = 300,
    rough: int | None = None,
) -> LinearBound:
    """Generate columns into ``pool`` until none improves the linear master; return the best bound met.

    Every priced pattern enters the pool, and so does what is left of it within the demands. Where a bin has too
    many points to be priced exactly, or more than about ``rough``, fewer are used: the columns are made all the same,
    but the bound stays 0. With ``rough`` the amounts are returned too, and demands may be left to construction.
    """
    most = roomy(problem)
    bins = places_of(most, rough or (None if kernels.compiled else MOST_POINTS_PLAIN))
    exact = all(place.exact for place in bins)
    if not exact and rough is None:
        bins = places_of(most, ROUGH_POINTS)
    demands = [item.demand for item in problem.items] + [bar.demand for bar in problem.bars]
    master = _Master(problem, demands, rough=rough is not None)
    for column in list(pool):
        master.add(column)
    best, center, highest = 0, None, -1
    for _ in range(rounds):
        prices = master.prices(stop)
        if prices is None:
            break
        true = [max(0, math.floor(price * UNIT)) for price in prices]
        tries = [true] if center is None else [_between(center, true), true]
        fresh = False
        for whole in tries:
            worth: list[int] = []
            for place in bins:
                if stop.reached():
                    return master.result(best, ended=False)
                value, pattern = price(most, place, whole, kernels)
                worth.append(value)
                column = column_of(place.index, pattern)
                value = value if whole is true else _worth(column, true, len(problem.items))
                if value > master.threshold(place.index) * UNIT * (1 + 1e-9) and master.add(column):
                    fresh = True
                    pool.add(place.index, pattern)
                if limited(problem):
                    pool.add(place.index, price_within(most, place, whole, kernels, stop))
                else:
                    pool.add(place.index, thinned_to_demand(most, pattern))
            bound = bound_from_prices(problem, demands, whole, worth)
            if bound > highest:
                center, highest = whole, bound
            if exact and bound > best:
                best = bound
                if on_bound is not None:
                    on_bound(best)
            if fresh:
                break
        if not fresh:
            return master.result(best, ended=True)
    return master.result(best, ended=False)


def _between(center: Sequence[int], prices: Sequence[int]) -> list[int]:
    """Return prices between the best ones met and the latest: they swing less, and fewer columns are needed.

    Wentges 1997, "Weighted Dantzig-Wolfe decomposition for linear mixed-integer programming", from memory.
    """
    return [int(STEADY * old + (1 - STEADY) * new) for old, new in zip(center, prices, strict=True)]


def _worth(column: Column, prices: Sequence[int], first_bar: int) -> int:
    """Return what a column is worth at whole prices, items first, then bars."""
    return sum(n * prices[i] for i, n in column.items) + sum(n * prices[first_bar + i] for i, n in column.bars)


def places_of(problem: Problem, most: int | None = None) -> list[Place]:
    """Make every bin ready for pricing, at the points that patterns within the demands can need.

    Where these are more than about ``most`` for a bin (usually ``MOST_POINTS``), some are left out, but neither a side
    nor its multiples, and the place is not exact.
    """
    if most is None:
        most = MOST_POINTS_STAGED if limited(problem) else MOST_POINTS
    places = []
    for index, stock in enumerate(problem.bins):
        pieces = pieces_of(problem, index)
        along, across = _copies(problem, pieces)
        xs, every_x = bounded_points(along, stock.length)
        ys, every_y = bounded_points(across, stock.width)
        exact = every_x and every_y and xs.size * ys.size <= most
        if xs.size * ys.size > most:
            even = math.isqrt(most)
            room_x, room_y = max(even, most // ys.size), max(even, most // xs.size)
            xs = thinned(xs, _multiples(along, stock.length, room_x), room_x)
            ys = thinned(ys, _multiples(across, stock.width, room_y), room_y)
        places.append(Place(index, pieces, xs, ys, exact))
    return places


def _multiples(copies: Mapping[int, int], limit: int, most: int) -> set[int]:
    """Return the sides and as many times each as keeps the number well within ``most``."""
    found = {side for side in copies if side <= limit}
    for times in range(2, max(copies.values(), default=0) + 1):
        more = {side * times for side, there in copies.items() if times <= there and side * times <= limit}
        if 2 * len(found | more) > most:
            break
        found |= more
    return found


def _copies(problem: Problem, pieces: Pieces) -> tuple[Counter[int], Counter[int]]:
    """Count how often each side can occur along x and along y."""
    along: Counter[int] = Counter()
    across: Counter[int] = Counter()
    for length, width, item, _ in pieces.rectangles:
        along[length] += problem.items[item].demand
        across[width] += problem.items[item].demand
    for _, length, bar in pieces.bars if pieces.blanks else ():
        along[length] += problem.bars[bar].demand
    for width in {blank[0] for blank in pieces.blanks}:
        across[width] += sum(bar.demand for bar in problem.bars)
    return along, across


def price(problem: Problem, place: Place, whole: Sequence[int], kernels: Kernels = PLAIN) -> tuple[int, Pattern]:
    """Return the greatest worth of one bin at whole prices (items first, then bars) and a pattern that has it."""
    stock = problem.bins[place.index]
    if not limited(problem):
        items, bars = whole[: len(problem.items)], whole[len(problem.items) :]
        table = fill(place.pieces, place.xs, place.ys, items, bars, kernels.best_splits)
        return table.best, pattern_of(table, stock.length, stock.width)
    staged = table_of(problem, place, whole, kernels)
    return staged.best, staged.pattern()


def table_of(problem: Problem, place: Place, whole: Sequence[int], kernels: Kernels) -> StagedTable:
    """Solve one bin under the problem's limits at whole prices, items first, then bars."""
    stock = problem.bins[place.index]
    values = list(whole[: len(problem.items)]), list(whole[len(problem.items) :])
    rules = (problem.first_cut, problem.max_stages)
    return StagedTable(place.pieces, place.xs, place.ys, (stock.length, stock.width), values, rules, kernels)


def price_within(problem: Problem, place: Place, whole: Sequence[int], kernels: Kernels, stop: Stop) -> Pattern:
    """Return a good pattern within the demands: priced, thinned, and filled again with what is still wanted.

    Heuristic, for columns and plans.
    """
    pattern = thinned_to_demand(problem, price(problem, place, whole, kernels)[1])
    for _ in range(REFILLS):
        items, bars = contents(pattern)
        left = [item.demand - items[i] for i, item in enumerate(problem.items)]
        left += [bar.demand - bars[i] for i, bar in enumerate(problem.bars)]
        masked = [value if n > 0 else 0 for value, n in zip(whole, left, strict=True)]
        if stop.reached() or not any(masked):
            break
        fuller = thinned_to_demand(problem, table_of(problem, place, masked, kernels).refilled(pattern))
        if contents(fuller) == (items, bars):
            break
        pattern = fuller
    return pattern


def bound_from_prices(problem: Problem, demands: Sequence[int], whole: Sequence[int], worth: Sequence[int]) -> int:
    """Return the bound that whole prices give when ``worth`` is the exact greatest worth of each bin.

    >>> from nesting.solve.problem import Bin, Item
    >>> ways = ((True, False),)
    >>> bound_from_prices(Problem((Bin(10, 10, 3),), (Item(6, 10, 2, ways),)), [2], [3 * UNIT], [3 * UNIT])
    6
    """
    total = sum(demand * price for demand, price in zip(demands, whole, strict=True))
    total += least(problem.runs, whole[len(problem.items) :])
    scale = Fraction(1)
    for stock, value in zip(problem.bins, worth, strict=True):
        if stock.limit is None and value > stock.cost * UNIT:
            scale = min(scale, Fraction(stock.cost * UNIT, value))
    given_back = sum(
        stock.limit * max(Fraction(0), scale * value - stock.cost * UNIT)
        for stock, value in zip(problem.bins, worth, strict=True)
        if stock.limit is not None
    )
    return math.ceil(max(Fraction(0), (scale * total - given_back) / UNIT))


def _fair_prices(problem: Problem) -> list[float]:
    """Return what each demand takes, by area, of the cheapest sheet without limit that it fits; infinite where none."""
    areas = [stock.length * stock.width for stock in problem.bins]
    free = [(b, stock.cost / areas[b]) for b, stock in enumerate(problem.bins) if stock.limit is None]
    fitting = [{item for _, _, item, _ in pieces_of(problem, b).rectangles} for b, _ in free]
    prices = []
    for i, item in enumerate(problem.items):
        units = [unit for (_, unit), fits in zip(free, fitting, strict=True) if i in fits]
        prices.append(item.length * item.width * min(units, default=math.inf))
    for bar in problem.bars:
        widths = [
            unit * blank.width for b, unit in free for blank in problem.blanks[b] if bar.kind in (blank.low, blank.high)
        ]
        prices.append(bar.length * min(widths, default=math.inf))
    return prices


class _Master:
    """The linear master over the columns added so far, with a dear way out for every demand.

    A bar's columns and way out make at least its own demand and what the alternatives taken ask of it; those of a run
    add up to its copies. A piece of a run costs ``JOINT`` units of money, so that fewer are taken for the same.
    With ``rough`` the way out costs little more than a demand's share of the cheapest sheet by area: no price rises
    above that, so that the first columns are good ones (du Merle, Villeneuve, Desrosiers & Hansen 1999, "Stabilized
    column generation", from memory, here with the upper sides of the box alone). What takes it is left to construction.
    """

    def __init__(self, problem: Problem, demands: Sequence[int], *, rough: bool) -> None:
        from ortools.linear_solver import pywraplp

        self.problem, self.rough = problem, rough
        self.seen: set[tuple[Any, ...]] = set()
        self.variables: list[tuple[Any, Column]] = []
        self.given_back: dict[int, float] = {}
        self.solver = pywraplp.Solver.CreateSolver("GLOP")
        infinity = self.solver.infinity()
        self.rows = [self.solver.Constraint(float(demand), infinity) for demand in demands]
        self.limits = {
            index: self.solver.Constraint(-infinity, float(stock.limit))
            for index, stock in enumerate(problem.bins)
            if stock.limit is not None
        }
        dear = 10.0 * (1 + max(stock.cost for stock in problem.bins))
        ways_out = [min(dear, WAY_OUT * fair) for fair in _fair_prices(problem)] if rough else [dear] * len(demands)
        for row, cost in zip(self.rows, ways_out, strict=True):
            way_out = self.solver.NumVar(0, infinity, "")
            row.SetCoefficient(way_out, 1.0)
            self.solver.Objective().SetCoefficient(way_out, cost)
        self.taken = [self._alternatives(run) for run in problem.runs]
        self.shares: tuple[tuple[float, ...], ...] | None = None
        self.solver.Objective().SetMinimization()

    def _alternatives(self, run: Run) -> list[Any]:
        """Add a variable for each alternative of a run."""
        whole = self.solver.Constraint(float(run.copies), float(run.copies))
        variables = []
        for alternative in run.alternatives:
            variable = self.solver.NumVar(0, self.solver.infinity(), "")
            whole.SetCoefficient(variable, 1.0)
            self.solver.Objective().SetCoefficient(variable, JOINT * pieces_in(alternative))
            for bar, copies in alternative:
                self.rows[len(self.problem.items) + bar].SetCoefficient(variable, -float(copies))
            variables.append(variable)
        return variables

    def add(self, column: Column) -> bool:
        """Add a column unless it is known or empty."""
        key = (column.bin, column.items, column.bars)
        if key in self.seen or not (column.items or column.bars):
            return False
        self.seen.add(key)
        variable = self.solver.NumVar(0, self.solver.infinity(), "")
        self.variables.append((variable, column))
        self.solver.Objective().SetCoefficient(variable, float(self.problem.bins[column.bin].cost))
        for item, times in column.items:
            self.rows[item].SetCoefficient(variable, float(times))
        for bar, times in column.bars:
            self.rows[len(self.problem.items) + bar].SetCoefficient(variable, float(times))
        if column.bin in self.limits:
            self.limits[column.bin].SetCoefficient(variable, 1.0)
        return True

    def prices(self, stop: Stop) -> list[float] | None:
        """Return the dual prices of the demands, or None where time is up or the solver gave none."""
        if stop.reached():
            return None
        self.solver.SetTimeLimit(max(1, int(stop.left() * 1000)))
        if self.solver.Solve() != self.solver.OPTIMAL:
            return None
        self.given_back = {index: limit.dual_value() for index, limit in self.limits.items()}
        if self.taken:
            self.shares = tuple(tuple(max(0.0, x.solution_value()) for x in row) for row in self.taken)
        return [row.dual_value() for row in self.rows]

    def result(self, bound: int, *, ended: bool) -> LinearBound:
        """Return what was shown."""
        return LinearBound(bound, ended, self.shares, self.amounts() if self.rough else ())

    def amounts(self) -> Amounts:
        """Return how often each column is taken, those not taken left out; nothing where that takes long."""
        self.solver.SetTimeLimit(AMOUNTS_MILLISECONDS)
        if self.solver.Solve() != self.solver.OPTIMAL:
            return ()
        taken = ((variable.solution_value(), column) for variable, column in self.variables)
        return tuple((amount, column) for amount, column in taken if amount > 1e-6)

    def threshold(self, bin_index: int) -> float:
        """Return what a column of a bin must be worth to improve the master: its cost less the limit's last dual."""
        return float(self.problem.bins[bin_index].cost) - self.given_back.get(bin_index, 0.0)
