"""The linear program over patterns with exact pricing: a bound on the cost that no guillotine plan can beat.

Columns are sets of parts within demands that can be cut from a bin (Gilmore & Gomory 1961; 1965). Prices come
from GLOP and are rounded to integers; from any prices a valid bound follows (Farley 1990; with limited bins as a
Lagrangian bound): if no set in bin b is worth more than s c_b + m_b, where m_b >= 0 belongs to the limit u_b,
no plan costs less than (sum of the demands' prices - sum of u_b m_b) / s. To prove that nothing is cheaper than a
plan, only sets worth more than the s at which this reaches the next lower cost matter.
"""

from __future__ import annotations

import math
import random
import threading
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from ortools.linear_solver import pywraplp

from nesting.solve.box_kernels import APART
from nesting.solve.boxes import Full, OutOfTime
from nesting.solve.exact_pricing import Pricer, search
from nesting.solve.problem import Bin, Problem
from nesting.solve.stop import Stop

NEARLY = 1e-6
"""Inexactness of the linear program in units of the dearest bin."""
UNIT = 10**9
"""Prices are integers of which the dearest bin costs this many."""
LOOSE = 1_000
"""What a set may be worth beyond its bin's price before it becomes a column, in the same units."""

NOISE, WHOLE = 0.3, 0.99
"""In a dive: standard deviation of the noise in the logarithms of values, and what counts as taken whole."""

Content = tuple[tuple[int, int], ...]
Column = tuple[int, Content]
"""A bin and the parts that are cut from it: (item, copies), sorted."""


def content_of(parts: Iterable[int]) -> Content:
    """Count the parts of a set.

    >>> content_of([3, 1, 3])
    ((1, 1), (3, 2))
    """
    counts: dict[int, int] = {}
    for part in parts:
        counts[part] = counts.get(part, 0) + 1
    return tuple(sorted(counts.items()))


def next_lower(bins: Sequence[Bin], cost: int) -> int:
    """Return the greatest cost below ``cost`` that counts of bins can have (-1 if none).

    >>> next_lower((Bin(1, 1, 60), Bin(1, 1, 35, 1)), 120)
    95
    """
    common = math.gcd(*(stock.cost for stock in bins))
    if not common:
        return -1 if cost <= 0 else 0
    top = (cost - 1) // common
    if top < 0:
        return -1
    if top > 1_000_000:
        return top * common
    reach, mask = 1, (1 << (top + 1)) - 1
    for stock in bins:
        step = stock.cost // common
        if not step:
            continue
        count = top // step if stock.limit is None else min(stock.limit, top // step)
        chunk = 1
        while count > 0:
            chunk = min(chunk, count)
            reach |= (reach << (step * chunk)) & mask
            count -= chunk
            chunk *= 2
    return (reach.bit_length() - 1) * common


@dataclass(frozen=True, slots=True)
class Prices:
    """Integer prices: of each item, of each bin's limit, and of one unit of money (a fraction)."""

    items: tuple[int, ...]
    limits: tuple[int, ...]
    money: Fraction

    def ceiling(self, problem: Problem, bin_index: int) -> int:
        """Most that a set in a bin is worth if these prices bound the cost."""
        return math.floor(self.money * problem.bins[bin_index].cost) + self.limits[bin_index]

    def total(self, problem: Problem) -> int:
        """Return what all parts are worth, less what the limits are."""
        parts = sum(item.demand * price for item, price in zip(problem.items, self.items, strict=True))
        return parts - sum((stock.limit or 0) * price for stock, price in zip(problem.bins, self.limits, strict=True))


class Master:
    """The linear program: columns at their bins' cost cover the demands, no bin beyond its limit."""

    def __init__(self, problem: Problem, columns: Iterable[Column] = ()) -> None:
        self.problem = problem
        self.solver: Any = pywraplp.Solver.CreateSolver("GLOP")
        self.dear = max(1, *(stock.cost for stock in problem.bins))
        self.columns: dict[Column, Any] = {}
        self.order: list[Column] = []
        self.values: list[tuple[float, Column]] = []
        infinity = self.solver.infinity()
        self.rows = [self.solver.Constraint(item.demand, infinity) for item in problem.items]
        self.limits = [
            None if stock.limit is None else self.solver.Constraint(-infinity, stock.limit) for stock in problem.bins
        ]
        self.objective = self.solver.Objective()
        self.objective.SetMinimization()
        for row, item in zip(self.rows, problem.items, strict=True):
            slack = self.solver.NumVar(0, infinity, "")
            row.SetCoefficient(slack, 1)
            self.objective.SetCoefficient(slack, 10.0 if item.demand else 0.0)
        for column in columns:
            self.add(column)

    def add(self, column: Column) -> bool:
        """Add a column; return whether it is new."""
        if column in self.columns or not column[1]:
            return False
        variable = self.solver.NumVar(0, self.solver.infinity(), "")
        for item, copies in column[1]:
            self.rows[item].SetCoefficient(variable, copies)
        limit = self.limits[column[0]]
        if limit is not None:
            limit.SetCoefficient(variable, 1)
        self.objective.SetCoefficient(variable, self.problem.bins[column[0]].cost / self.dear)
        self.columns[column] = variable
        self.order.append(column)
        return True

    def prices(self, stop: Stop) -> Prices | None:
        """Solve and return the prices in integers, ``None`` if GLOP found no optimum in time; keep the columns used."""
        self.solver.SetTimeLimit(max(1, int(1000 * min(stop.left(), 5.0))))
        if self.solver.Solve() != pywraplp.Solver.OPTIMAL:
            return None
        solution = ((variable.solution_value(), column) for column, variable in self.columns.items())
        self.values = [(value, column) for value, column in solution if value > 1e-6]
        items = tuple(max(0, math.floor(row.dual_value() * UNIT)) for row in self.rows)
        limits = tuple(0 if row is None else max(0, math.ceil(-row.dual_value() * UNIT) + LOOSE) for row in self.limits)
        return Prices(items, limits, Fraction(UNIT, self.dear))

    def within(self, target: int) -> list[Column]:
        """Return the columns that a plan of known columns and of cost ``target`` or less can use, as solved last.

        Those whose reduced cost is no more than what is left up to that cost; the sources are those of
        :mod:`nesting.solve.gap`.
        """
        gap = target / self.dear - self.objective.Value() + NEARLY
        return [column for column, variable in self.columns.items() if variable.reduced_cost() <= gap]

    def dived(self, target: int, seed: int, stop: Stop) -> list[Column]:
        """Fix columns up to a cost one after another, solving anew for what is still to be covered; return them.

        Each time those taken whole are fixed, or else the one taken most, give or take some noise; what a column makes
        beyond what is still wanted is left out. The program is afterwards what it was, but for its solution.
        """
        rng, left, cost = random.Random(seed), [item.demand for item in self.problem.items], 0
        solution, fixed = self.values, list[Column]()
        while True:
            before = len(fixed)
            ranked = [(-value * math.exp(rng.gauss(0, NOISE)), column, value) for value, column in self.values]
            for _, (b, content), value in sorted(ranked):
                if len(fixed) > before and (value < WHOLE or any(left[item] < copies for item, copies in content)):
                    break
                wanted = tuple((item, min(copies, left[item])) for item, copies in content if left[item])
                if wanted and cost + self.problem.bins[b].cost <= target:
                    fixed.append((b, wanted))
                    cost += self.problem.bins[b].cost
                    for item, copies in wanted:
                        left[item] -= copies
                        self.rows[item].SetLb(left[item])
            if len(fixed) == before or not any(left) or self.prices(stop) is None:
                break
        for row, part in zip(self.rows, self.problem.items, strict=True):
            row.SetLb(part.demand)
        self.values = solution
        return fixed


@dataclass(slots=True)
class Outcome:
    """What the program showed: a bound on the cost, prices that prove it, and whether all pricing was complete.

    ``full``: pricing met a set too large to decide, or too many sets.
    """

    cost: int = 0
    prices: Prices | None = None
    complete: bool = False
    columns: list[Column] = field(default_factory=list)
    full: bool = False


def bound_by_patterns(
    master: Master,
    pricers: Sequence[Pricer],
    upper: int,
    stop: Stop,
    aside: threading.Event | None = None,
    near: Callable[[Master, bool], None] | None = None,
) -> Outcome:
    """Bound the cost by patterns, from the columns that a program has; ends once none below ``upper`` is possible.

    ``aside``, set, asks a search in another thread to wait. While no mix of the patterns known costs less than
    ``upper`` two threads look for patterns, and every other time the search waits.
    ``near`` gets the linear program each time that it is solved, and whether it costs as much as ``upper``.
    ``complete`` and a cost below ``upper`` mean that the linear program was solved to its end.
    """
    problem = master.problem
    target = next_lower(problem.bins, upper)
    outcome = Outcome()
    try:
        while not stop.reached():
            prices = master.prices(stop)
            if prices is None:
                break
            total = prices.total(problem)
            aims = _aims(problem, prices, total, target)
            proving = total > aims.money * target
            if aside is not None:
                (aside.set if proving and not aside.is_set() else aside.clear)()  # every other time
            both = proving and aside is not None
            if near is not None:
                near(master, proving)
            best: list[Column] = []
            for priced in pricers:
                least = aims.ceiling(problem, priced.bin) + 1
                found = search(priced, prices.items, least, stop, both=both)
                last = {parts[:APART]: parts for _, parts in found}
                best += [(priced.bin, content_of(parts)) for parts in last.values()]
            if not best:
                outcome.complete, outcome.prices = True, aims
                outcome.cost = upper if proving else _rounded(problem, Fraction(total) / aims.money)
                break
            new = [master.add(column) for column in best]
            if not any(new):
                break
    except OutOfTime:
        pass
    except Full:
        outcome.full = True
    finally:
        if aside is not None:
            aside.clear()
    outcome.columns = master.order
    return outcome


def _aims(problem: Problem, prices: Prices, total: int, target: int) -> Prices:
    """Raise the price of money as far as the proof allows, or by what rounding needs."""
    least = prices.money * (1 + Fraction(LOOSE, UNIT))
    if target < 0:
        return Prices(prices.items, prices.limits, least)
    if total > 0 and target == 0:  # only what costs nothing matters: no priced bin is worth all the parts
        everything = sum(item.demand * price for item, price in zip(problem.items, prices.items, strict=True))
        return Prices(prices.items, prices.limits, Fraction(everything + 1))
    money = Fraction(total - 1, target) if target else least
    return Prices(prices.items, prices.limits, max(money, least))


def _rounded(problem: Problem, cost: Fraction) -> int:
    """Round a bound up to a cost that counts of bins can have."""
    whole = max(0, math.ceil(cost))
    step = math.gcd(*(stock.cost for stock in problem.bins))
    return -(-whole // step) * step if step else whole
