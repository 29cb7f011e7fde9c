"""Sequential value correction: sheet after sheet, each the most valuable cut of what is still wanted.

After each sheet the value of what it used is corrected by how much of the sheet was wasted for it, so that
parts that are hard to combine rise and come earlier in the next pass (Mukhacheva, Belov, Kartak & Mukhacheva
2000, "Linear one-dimensional cutting-packing problems: numerical experiments with the sequential value
correction method"; Belov & Scheithauer 2007, from memory). Here the cut is the two-dimensional guillotine
knapsack. It serves jobs of many parts, and limited stages beside insertion.
"""

from __future__ import annotations

import random
from dataclasses import replace

from nesting.solve.columns import Pool, without_surplus
from nesting.solve.compiled import PLAIN, Kernels
from nesting.solve.pattern import Pattern, Plan, Sheet, contents
from nesting.solve.pricing import MOST_POINTS_PLAIN, Place, places_of, price_within
from nesting.solve.problem import Problem
from nesting.solve.stop import Stop

SCALE = 1000.0


def value_corrected(
    problem: Problem,
    stop: Stop,
    seed: int,
    pool: Pool,
    *,
    passes: int = 5,
    kernels: Kernels = PLAIN,
    most: int | None = None,
) -> Plan | None:
    """Return the cheapest plan of several passes, or None where time is up before the first is through.

    Every sheet cut also enters ``pool``. ``most`` sub-rectangles a bin (None: the usual) make rough plans fast.
    """
    if not kernels.compiled:
        most = min(most or MOST_POINTS_PLAIN, MOST_POINTS_PLAIN)
    places = places_of(problem, most)
    rng = random.Random(seed)
    areas = [item.length * item.width for item in problem.items]
    largest = max(stock.length * stock.width for stock in problem.bins)
    thinnest = [min((blank.width for row in problem.blanks for blank in row), default=0)] * len(problem.bars)
    areas += [bar.length * width for bar, width in zip(problem.bars, thinnest, strict=True)]
    values = [SCALE * (area / largest) ** 1.02 * largest for area in areas]
    best: tuple[int, Plan] | None = None
    for _ in range(passes):
        plan = _one_pass(problem, places, values, areas, stop, rng, kernels)
        if plan is None:
            break
        pool.add_plan(plan)
        cost = sum(problem.bins[sheet.bin].cost for sheet in plan)
        if best is None or cost < best[0]:
            best = cost, plan
    return None if best is None else best[1]


def _one_pass(
    problem: Problem,
    places: list[Place],
    values: list[float],
    areas: list[int],
    stop: Stop,
    rng: random.Random,
    kernels: Kernels,
) -> Plan | None:
    left = problem
    stock_left = [stock.limit for stock in problem.bins]
    sheets: list[Sheet] = []
    split = len(problem.items)
    while any(item.demand for item in left.items) or any(bar.demand for bar in left.bars):
        wanted = [item.demand for item in left.items] + [bar.demand for bar in left.bars]
        whole = [max(1, round(value)) if demand else 0 for value, demand in zip(values, wanted, strict=True)]
        choices: list[tuple[float, int, Pattern]] = []
        for place in places:
            if stop.reached():
                return None
            if stock_left[place.index] == 0:
                continue
            kept = price_within(left, place, whole, kernels, stop)
            worth = sum(whole[i] * n for i, n in contents(kept)[0].items())
            worth += sum(whole[split + i] * n for i, n in contents(kept)[1].items())
            if worth:
                choices.append((worth / (problem.bins[place.index].cost + 1e-3), place.index, kept))
        if not choices:
            return None
        _, bin_index, pattern = max(choices, key=lambda choice: choice[0])
        items, bars = contents(pattern)
        stock = problem.bins[bin_index]
        used = sum(areas[i] * n for i, n in items.items()) + sum(areas[split + i] * n for i, n in bars.items())
        times = min(
            [left.items[i].demand // n for i, n in items.items()] + [left.bars[i].demand // n for i, n in bars.items()]
        )
        limit = stock_left[bin_index]
        times = times if limit is None else min(times, limit)
        sheets += [Sheet(bin_index, pattern)] * times
        stock_left[bin_index] = None if limit is None else limit - times
        for index, n in [*items.items(), *((split + i, n) for i, n in bars.items())]:
            dear = areas[index] * SCALE * stock.length * stock.width / max(1, used)
            share = n * times / (n * times + wanted[index])
            values[index] = (1 - share) * values[index] + share * dear**1.02 * rng.uniform(0.95, 1.05)
        left = replace(
            left,
            items=tuple(replace(item, demand=item.demand - times * items[i]) for i, item in enumerate(left.items)),
            bars=tuple(replace(bar, demand=bar.demand - times * bars[i]) for i, bar in enumerate(left.bars)),
        )
    return without_surplus(problem, tuple(sheets))
