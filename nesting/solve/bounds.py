"""Quick bounds: what a job costs at least, in milliseconds.

Area, products of dual feasible functions on both axes (Fekete & Schepers 2004; Boschetti & Mingozzi 2003;
Clautiaux, Alves & Valério de Carvalho 2010), with turning by the minimum over the ways a part may lie, after
enlarging parts that cannot be combined; and sets of parts that exclude one another. With several stocks a pair
of functions is chosen for each stock; a part weighs the least it weighs in any of them, and the cheapest counts
of stocks that offer enough weight bound the cost. Floating point only chooses; what is returned is computed in
integers. These bounds hold for any layout, guillotine or not, and so for any limit on stages.

A run of wall weighs what the lightest of its alternatives does: whichever a plan takes, its bins hold the parts of it
and so at least that weight. Functions that look at the parts there are (enlarging, counts) are given all that any
choice could ask for, so they hold for every choice. The functions that suit the fewest pieces may suit others badly,
so runs are also weighed by their plain lengths: all splices of a run are as long, but for kerfs.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from nesting.solve.cover import Need, cheapest
from nesting.solve.dual_feasible import Functions, functions
from nesting.solve.enlarge import Lying, enlarged, fitted
from nesting.solve.problem import Bin, Bound, Problem
from nesting.solve.splices import fewest, least, resolved, roomy

Floats = NDArray[np.float64]
NO_PLAN = 2**62
"""Cost of a bound that no plan meets: the stock cannot hold the parts."""
UNIT = 2**40
"""Weights are integers of which one bin of the largest worth holds about this many."""
NEVER = 1e6
MOST_ALONE, MOST_OF_SEVERAL = 60, 16
"""Functions of each family for one stock and for each of several: see the time they take in the results."""


@dataclass(frozen=True, slots=True)
class Scaled:
    """A bin's items under all functions: shares of the side ``[function, item, way]`` with the exact values."""

    lying: Lying
    across: Functions
    along: Functions
    shares_x: Floats
    shares_y: Floats

    def weights(self, f: int, g: int) -> list[tuple[int, int] | None]:
        """Return for each item its exact share of the bin as (numerator, denominator), None if it cannot lie there."""
        shape = self.lying.able.shape
        fx, gy = self.across.values[f].reshape(shape), self.along.values[g].reshape(shape)
        whole = int(self.across.capacity[f]) * int(self.along.capacity[g])
        found: list[tuple[int, int] | None] = []
        for able, left, right in zip(self.lying.able.tolist(), fx.tolist(), gy.tolist(), strict=True):
            products = [a * b for can, a, b in zip(able, left, right, strict=True) if can]
            found.append((min(products), whole) if products else None)
        return found


def scaled(problem: Problem, bin_index: int, most: int) -> Scaled:
    """Evaluate about ``most`` functions of each family on both axes of a bin."""
    lies = enlarged(problem, bin_index)
    demands = [item.demand for item in problem.items]
    axes = []
    for side, sizes in ((lies.length, lies.x), (lies.width, lies.y)):
        present = [
            [(size, demand) for size, can in zip(row, able, strict=True) if can]
            for row, able, demand in zip(sizes.tolist(), lies.able.tolist(), demands, strict=True)
        ]
        sides = np.where(lies.able, sizes, 0).ravel().tolist()
        axes.append(functions(side, sides, present, most))
    across, along = axes
    shape = (-1, *lies.able.shape)
    shares_x = (across.values / across.capacity[:, None]).reshape(shape)
    shares_y = (along.values / along.capacity[:, None]).reshape(shape)
    shares_x = np.where(lies.able, shares_x, NEVER)
    shares_y = np.where(lies.able, shares_y, 1.0)
    return Scaled(lies, across, along, shares_x, shares_y)


def totals(bin_scaled: Scaled, demands: Floats, other: Floats, worth: float) -> Floats:
    """Return for all pairs of functions the total weight, items weighing at most ``other`` each: ``[f, g]``."""
    able, fx, gy = bin_scaled.lying.able, bin_scaled.shares_x, bin_scaled.shares_y
    total = np.zeros((fx.shape[0], gy.shape[0]))
    free = np.isinf(other)
    for way in (0, 1):
        only = free & able[:, way] & ~able[:, 1 - way]
        if only.any():
            total += worth * (fx[:, only, way] * demands[only]) @ gy[:, only, way].T
    mixed = ~free | (able[:, 0] & able[:, 1])
    mixed &= demands > 0
    if mixed.any():
        weight, most = demands[mixed], other[mixed] / worth
        x0, x1 = fx[:, mixed, 0], fx[:, mixed, 1]
        y0, y1 = gy[None, :, mixed, 0], gy[None, :, mixed, 1]
        bounded = bool(np.isfinite(most).any())
        slab = max(1, 400_000 // max(1, gy.shape[0] * weight.size))
        for start in range(0, fx.shape[0], slab):
            rows = slice(start, start + slab)
            least = np.minimum(x0[rows, None] * y0, x1[rows, None] * y1)
            if bounded:
                np.minimum(least, most, out=least)
            total[rows] += worth * (least @ weight)
    return total


def quick_bound(problem: Problem) -> Bound:
    """Return the best quick bound on the cost; its cost is :data:`NO_PLAN` where the stock cannot hold the parts.

    >>> from nesting.solve.problem import Bin, Item
    >>> bound = quick_bound(Problem((Bin(10, 10, 7),), (Item(6, 6, 3, ((True, True),)),)))
    >>> bound.cost, bound.sentence
    (21, '2 sheets cannot do it: these 3 parts exclude one another')
    """
    problem = fitted(problem)
    wanted = [i for i, item in enumerate(problem.items) if item.demand > 0]
    if not wanted and not problem.runs:
        return Bound(0, "area", "nothing is asked for")
    homeless = [i for i in wanted if not any(any(ways) for ways in problem.items[i].ways)]
    if homeless:
        return Bound(NO_PLAN, "fit", f"{len(homeless)} parts fit no stock")
    able = [any(any(ways) for ways in item.ways) for item in problem.items]
    if not all(any(all(able[i] for i, _ in taken) for taken in run.alternatives) for run in problem.runs):
        return Bound(NO_PLAN, "fit", "some run of wall has no splice whose pieces fit the stock")
    needs = needs_of(problem)
    return bound_of(problem.bins, needs)


def bound_of(bins: Sequence[Bin], needs: Sequence[Need]) -> Bound:
    """Return the bound that needs give together, told by the plainest need that gives it alone."""
    cost = cheapest(bins, needs)
    if cost is None:
        alone = next((need for need in needs if cheapest(bins, [need]) is None), needs[0])
        return Bound(NO_PLAN, alone.kind, "all the stock there is cannot hold the parts")
    for need in needs:
        if cheapest(bins, [need]) == cost:
            return Bound(cost, need.kind, sentence(bins, need, cost))
    return Bound(cost, needs[0].kind, "no cheaper choice of stock has enough of every size")


def sentence(bins: Sequence[Bin], need: Need, cost: int) -> str:
    """Say in plain words why nothing cheaper will do."""
    if len(bins) == 1 and bins[0].cost > 0:
        fewer = cost // bins[0].cost - 1
        if fewer < 1:
            return "one sheet is the least there is"
        sheets = f"{fewer} sheets" if fewer > 1 else "1 sheet"
        if need.kind == "exclusion":
            return f"{sheets} cannot do it: these {need.asked // need.offers[0]} parts exclude one another"
        share = need.share()
        digits = next(d for d in (2, 3, 4, 6, 9, 18) if round(float(share), d) > fewer or d == 18)
        told = f"{float(share):.{digits}f}"
        if need.kind == "area":
            return f"{sheets} cannot do it: the parts with their kerfs need {told}"
        return f"{sheets} cannot do it: the parts with their kerfs need {told}, counting room that none of them can use"
    if need.kind == "exclusion":
        return "no cheaper choice of stock is enough: some parts exclude one another, each needs a piece of its own"
    if need.kind == "area":
        return "no cheaper choice of stock is large enough for the parts with their kerfs"
    return "no cheaper choice of stock is large enough, counting room that none of the parts can use"


def needs_of(problem: Problem) -> list[Need]:
    """Return the needs quick bounds rest on, the plainest first."""
    bins = problem.bins
    most, usual = roomy(problem), resolved(problem, fewest(problem))
    supports = _supports(most)
    needs = [_area(problem, support) for support in supports]
    needs += [need for support in supports if (need := exclusion(problem, support)) is not None]
    if len(bins) == 1:
        held = scaled(most, 0, MOST_ALONE)
        demands = np.array([item.demand for item in usual.items], dtype=np.float64)
        total = totals(held, demands, np.full(demands.size, np.inf), 1.0)
        f, g = divmod(int(total.argmax()), total.shape[1])
        needs.append(weigh(problem, {0: held}, {0: (f, g)}, {0: UNIT}, supports[0]))
        if problem.runs:
            needs.append(weigh(problem, {0: held}, {0: (0, int(total[0].argmax()))}, {0: UNIT}, supports[0]))
        return needs
    helds = {b: scaled(most, b, MOST_OF_SEVERAL) for b in range(len(bins))}
    for support in supports:
        for worth in _worths(bins, support):
            needs += _climb(problem, usual, helds, worth, support)
    return needs


def _supports(problem: Problem) -> list[frozenset[int]]:
    """List sets of bins that some items cannot do without: all bins, then each item's own."""
    own = [frozenset(b for b, ways in enumerate(item.ways) if any(ways)) for item in problem.items if item.demand]
    own = [support for support in own if support]  # a piece of a run may fit nothing, its other splices do
    return list(dict.fromkeys([frozenset(range(len(problem.bins))), *sorted(set(own), key=sorted)]))


def _within(problem: Problem, support: frozenset[int]) -> list[int]:
    """Return the copies of items that can lie in no bin outside a set; others count as none."""
    return [item.demand if own else 0 for item, own in zip(problem.items, _owned(problem, support), strict=True)]


def _owned(problem: Problem, support: frozenset[int]) -> list[bool]:
    """Whether each item can lie in no bin outside a set."""
    return [not any(any(ways) and b not in support for b, ways in enumerate(item.ways)) for item in problem.items]


def asked(problem: Problem, support: frozenset[int], weights: Sequence[int]) -> int:
    """Return the least total weight that bins of a set must hold, runs at their lightest."""
    counted = [weight if own else 0 for weight, own in zip(weights, _owned(problem, support), strict=True)]
    fixed = sum(weight * item.demand for weight, item in zip(counted, problem.items, strict=True))
    return fixed + least(problem.runs, counted)


def _area(problem: Problem, support: frozenset[int]) -> Need:
    total = asked(problem, support, [item.length * item.width for item in problem.items])
    offers = tuple(stock.length * stock.width if b in support else 0 for b, stock in enumerate(problem.bins))
    return Need(offers, total, "area")


def exclusion(problem: Problem, support: frozenset[int]) -> Need | None:
    """Return the largest set of mutually exclusive parts that a greedy search finds (None below 2).

    Two parts exclude one another if they fit side by side in no bin, whichever way they lie.
    """
    demands = np.array(_within(problem, support))
    apart = np.ones((demands.size, demands.size), dtype=bool)
    fits = np.zeros(len(problem.bins), dtype=bool)
    most = roomy(problem)
    for b in sorted(support):
        lies = enlarged(most, b)
        for one in (0, 1):
            for two in (0, 1):
                both = lies.able[:, one, None] & lies.able[None, :, two]
                beside = (lies.x[:, one, None] + lies.x[None, :, two] <= lies.length) | (
                    lies.y[:, one, None] + lies.y[None, :, two] <= lies.width
                )
                apart &= ~(both & beside)
    copies = np.where(np.diag(apart), demands, np.minimum(demands, 1))
    order = np.argsort(-(apart @ copies), kind="stable")
    best: list[int] = []
    for start in order[:8]:
        members: list[int] = []
        able = apart[start].copy()
        able[start] = True
        for i in [start, *order]:
            if copies[i] and able[i] and i not in members:
                members.append(int(i))
                able &= apart[i]
                able[i] = True
        if copies[members].sum() > (copies[best].sum() if best else 1):
            best = members
    if not best:
        return None
    for b in support:
        fits[b] = any(any(problem.items[i].ways[b]) for i in best)
    return Need(tuple(int(fit) for fit in fits), int(copies[best].sum()), "exclusion")


def weigh(
    problem: Problem,
    helds: dict[int, Scaled],
    pairs: dict[int, tuple[int, int]],
    worth: dict[int, int],
    support: frozenset[int],
) -> Need:
    """Return the need of one pair of functions for each bin: an item weighs its least worth over the bins."""
    rows = {b: helds[b].weights(*pairs[b]) for b in pairs}
    weights, used = [0] * len(problem.items), set()
    for i, demand in enumerate(_within(roomy(problem), support)):
        shares = {b: share for b in pairs if (share := rows[b][i]) is not None}
        if demand and shares:
            weights[i] = min(worth[b] * share[0] // share[1] for b, share in shares.items())
            if weights[i]:
                used |= set(shares)
    offers = tuple(worth[b] if b in used else 0 for b in range(len(problem.bins)))
    return Need(offers, asked(problem, support, weights), "dual-feasible")


def _worths(bins: Sequence[Bin], support: frozenset[int]) -> list[dict[int, int]]:
    """Ways to value the bins: by area, and by price where all that matter have one."""
    area = {b: bins[b].length * bins[b].width for b in support}
    largest = max(area.values())
    worths = [{b: max(1, UNIT * area[b] // largest) for b in support}]
    dear = max((bins[b].cost for b in support), default=0)
    priced = [b for b in support if bins[b].cost > 0]
    if priced and len(support) > 1:
        cheap = min(bins[b].cost / area[b] for b in priced)
        price = {b: float(bins[b].cost) if bins[b].cost else cheap * area[b] for b in support}
        worths.append({b: max(1, int(UNIT * (price[b] / dear))) for b in support})
    return worths


def _climb(
    problem: Problem, usual: Problem, helds: dict[int, Scaled], worth: dict[int, int], support: frozenset[int]
) -> list[Need]:
    """Choose pairs of functions bin by bin, from the areas, until the total weight of the usual parts grows no more."""
    demands = np.array(_within(usual, support), dtype=np.float64)
    pairs = dict.fromkeys(support, (0, 0))
    value = {b: worth[b] / UNIT for b in support}

    def least(b: int) -> Floats:
        f, g = pairs[b]
        weight = (helds[b].shares_x[f] * helds[b].shares_y[g]).min(axis=1)
        return np.where(helds[b].lying.able.any(axis=1), weight * value[b], np.inf)

    best = 0.0
    for _ in range(3):
        before = best
        for b in sorted(support, key=lambda b: -value[b]):
            others = [least(other) for other in support if other != b]
            other = np.min(others, axis=0) if others else np.full(demands.size, np.inf)
            lies = helds[b].lying.able.any(axis=1)
            outside = float(demands[~lies & np.isfinite(other)] @ other[~lies & np.isfinite(other)])
            total = totals(helds[b], np.where(lies, demands, 0.0), other, value[b]) + outside
            f, g = divmod(int(total.argmax()), total.shape[1])
            if total[f, g] > best + 1e-12:
                best, pairs[b] = float(total[f, g]), (f, g)
        if best <= before + 1e-9:
            break
    if not problem.runs:
        return [weigh(problem, helds, pairs, worth, support)]
    plain = {b: (0, int(totals(helds[b], demands, np.full(demands.size, np.inf), 1.0)[0].argmax())) for b in support}
    return [weigh(problem, helds, pairs, worth, support) for pairs in (pairs, plain)]
