"""Ruin and recreate of a few sheets: jittable code, on the same lists or arrays as the insertion.

Schrimpf, Schneider, Stamm-Wilbrandt & Dueck 2000, "Record breaking optimization results using the
ruin and recreate principle" (from memory). Here a ruin takes one to a few sheets, with a bias to the
emptier ones, and a recreation is the best of some noisy constructions. The measure after the cost is
the sum of squared fills, as in Falkenauer 1996, "A hybrid grouping genetic algorithm for bin packing"
(from memory): it gathers the waste in few sheets until one falls away.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from nesting.solve.kernels import (
    WEIGHTS,
    Floats,
    Ints,
    Job,
    Work,
    bell,
    change_order,
    construct,
    cost_of,
    draw_order,
    draw_weights,
    uniform,
)

CURRENT, BEST = 2, 3
"""Banks of sheets beside the two under construction."""

SHEETS, COST, BEST_SHEETS, BEST_COST, TARGET, POOLED, SEEN = 0, 1, 2, 3, 4, 5, 6
"""Places in ``Search.tally``."""
TRIES, MOST_SHEETS, HEAT, FILLED, FRESH, BIAS = 0, 1, 2, 3, 4, 5
"""Places in ``Search.knobs``, see :class:`nesting.solve.improve.Knobs`."""


class Search(NamedTuple):
    """The state of a search beside the banks of sheets, and the pool of well-filled sheets seen."""

    tally: Ints
    knobs: Floats
    chosen: Ints
    used: Ints  # bins in use by kind
    mark: Ints  # a random number for each part, equal for equal parts
    seen: Ints  # hash table of the sheets pooled
    pool_bin: Ints
    pool_count: Ints
    pool_record: Ints


def draw_prefer(work: Work, rng: Ints) -> None:
    """Draw the noise in the prices of the bins."""
    kinds = len(work.prefer)
    noise = 0.0 if kinds == 1 or uniform(rng) < 0.2 else 0.6 * uniform(rng)
    for b in range(kinds):
        work.prefer[b] = math.exp(noise * bell(rng)) if noise > 0.0 else 1.0


def copy_sheet(work: Work, n: int, source: int, target: int) -> None:
    """Copy one sheet between places of the banks (index bank * n + sheet)."""
    work.sheet_bin[target] = work.sheet_bin[source]
    work.sheet_count[target] = work.sheet_count[source]
    work.sheet_area[target] = work.sheet_area[source]
    for k in range(work.sheet_count[source]):
        work.record[target * n + k] = work.record[source * n + k]


def square_of(job: Job, work: Work, first: int, sheets: int) -> float:
    """Add up the squared fills of ``sheets`` sheets from index ``first`` on, weighted by the area of their bins."""
    total = 0.0
    for s in range(first, first + sheets):
        fill = work.sheet_area[s] / job.bin_area[work.sheet_bin[s]]
        total += fill * fill * job.bin_share[work.sheet_bin[s]]
    return total


def recreate(job: Job, work: Work, search: Search, count: int, most: int, goal: float, tries: int) -> int:
    """Construct sheets for ``work.parts[:count]`` some times; leave the best in bank 1, return its number or -1.

    Stops early at a cost below ``most`` or a sum of squares above ``goal``. New orders and weights
    alternate with small changes of the best so far.
    """
    n, kinds, rng = len(job.length), len(job.bin_area), work.rng
    best_sheets, best_cost, best_square = -1, most, -1.0
    for _ in range(tries):
        if best_sheets < 0 or uniform(rng) < search.knobs[FRESH]:
            draw_weights(work.weights, rng)
            draw_order(job, work, count, rng)
            draw_prefer(work, rng)
        else:
            change_order(work, count, rng)
            for b in range(kinds):
                work.prefer[b] = work.kept_prefer[b]
        for b in range(kinds):
            work.stock[b] = job.bin_limit[b] - search.used[b]
        sheets = construct(job, work, 0, count, best_cost)
        if sheets < 0:
            continue
        cost = cost_of(job, work, 0, sheets)
        square = square_of(job, work, 0, sheets)
        if best_sheets < 0 or cost < best_cost or square >= best_square:
            best_sheets, best_cost, best_square = sheets, cost, square
            for s in range(sheets):
                copy_sheet(work, n, s, n + s)
            for k in range(count):
                work.kept_order[k] = work.order[k]
            for k in range(WEIGHTS):
                work.kept_weights[k] = work.weights[k]
            for b in range(kinds):
                work.kept_prefer[b] = work.prefer[b]
            if cost < most or square > goal:
                break
    return best_sheets


def choose_sheets(job: Job, work: Work, search: Search) -> int:
    """Choose the sheets to ruin, each the emptier of a few drawn; return how many."""
    n, rng, sheets, chosen = len(job.length), work.rng, search.tally[SHEETS], search.chosen
    least = 1 if len(job.bin_area) > 1 else 2
    wanted = least + int((search.knobs[MOST_SHEETS] + 1 - least) * uniform(rng))
    number: int = min(wanted, sheets)
    for k in range(number):
        draws = 1
        while draws < 4 and uniform(rng) < search.knobs[BIAS]:
            draws += 1
        pick, least_fill = k, 9.0
        for _ in range(draws):
            s = k + int(uniform(rng) * (sheets - k))
            t = CURRENT * n + chosen[s]
            fill = work.sheet_area[t] / job.bin_area[work.sheet_bin[t]]
            if fill < least_fill:
                pick, least_fill = s, fill
        chosen[k], chosen[pick] = chosen[pick], chosen[k]
    return number


def pool_sheet(job: Job, work: Work, search: Search, s: int) -> None:
    """Add the sheet at index ``s`` to the pool if it is well filled and its contents are new, while there is room."""
    n, tally, size, room = len(job.length), search.tally, len(search.seen), len(search.pool_bin)
    b = work.sheet_bin[s]
    if tally[POOLED] >= room or 2 * tally[SEEN] >= size or work.sheet_area[s] < search.knobs[FILLED] * job.bin_area[b]:
        return
    mark = 1 + b * 1000003
    for k in range(work.sheet_count[s]):
        mark += search.mark[work.record[s * n + k] % n]
    at = mark % size
    while search.seen[at] != 0:
        if search.seen[at] == mark:
            return
        at = (at + 1) % size
    search.seen[at] = mark
    tally[SEEN] += 1
    p = tally[POOLED]
    tally[POOLED] = p + 1
    search.pool_bin[p], search.pool_count[p] = b, work.sheet_count[s]
    for k in range(work.sheet_count[s]):
        search.pool_record[p * n + k] = work.record[s * n + k]


def accept(job: Job, work: Work, search: Search, ruined: int, made: int) -> None:
    """Replace the ruined sheets of the current plan by the ``made`` sheets of bank 1; keep the best plan."""
    n, tally, chosen = len(job.length), search.tally, search.chosen
    current = CURRENT * n
    sheets = tally[SHEETS]
    for k in range(made):
        target = chosen[k] if k < ruined else sheets
        if k >= ruined:
            chosen[sheets] = sheets
            sheets += 1
        copy_sheet(work, n, n + k, current + target)
        search.used[work.sheet_bin[n + k]] += 1
    for k in range(made, ruined):
        sheets -= 1
        gap = chosen[k]
        if gap != sheets:
            copy_sheet(work, n, current + sheets, current + gap)
            for j in range(k + 1, ruined):
                if chosen[j] == sheets:
                    chosen[j] = gap
    if made < ruined:
        for k in range(sheets):
            chosen[k] = k
    tally[SHEETS] = sheets
    tally[COST] = cost_of(job, work, current, sheets)
    if tally[COST] < tally[BEST_COST]:
        tally[BEST_COST], tally[BEST_SHEETS] = tally[COST], sheets
        for s in range(sheets):
            copy_sheet(work, n, current + s, BEST * n + s)


def ruin_and_recreate(job: Job, work: Work, search: Search, iterations: int) -> int:
    """Run so many iterations on the current plan; return how many ran (fewer when the target cost is reached)."""
    n, rng, tally, chosen = len(job.length), work.rng, search.tally, search.chosen
    for done in range(iterations):
        if tally[BEST_COST] <= tally[TARGET]:
            return done
        ruined = choose_sheets(job, work, search)
        count, cost, square = 0, 0, 0.0
        for k in range(ruined):
            s = CURRENT * n + chosen[k]
            b = work.sheet_bin[s]
            cost += job.bin_cost[b]
            search.used[b] -= 1
            square += square_of(job, work, s, 1)
            for j in range(work.sheet_count[s]):
                work.parts[count] = work.record[s * n + j] % n
                count += 1
        made = recreate(job, work, search, count, cost, square, int(search.knobs[TRIES]))
        if made > 0:
            for s in range(n, n + made):
                pool_sheet(job, work, search, s)
            heat = search.knobs[HEAT] * math.log(uniform(rng))
            if cost_of(job, work, n, made) < cost or square_of(job, work, n, made) >= square + heat:
                accept(job, work, search, ruined, made)
                continue
        for k in range(ruined):
            search.used[work.sheet_bin[CURRENT * n + chosen[k]]] += 1
    return iterations


def construct_all(job: Job, work: Work, search: Search, most: int) -> int:
    """Construct a plan at random into the current bank; return its number of sheets, -1 if dearer than ``most``."""
    n, rng = len(job.length), work.rng
    for i in range(n):
        work.parts[i] = i
    for b in range(len(job.bin_area)):
        work.stock[b] = job.bin_limit[b]
    draw_weights(work.weights, rng)
    draw_order(job, work, n, rng)
    draw_prefer(work, rng)
    sheets = construct(job, work, 0, n, most)
    if sheets < 0:
        return -1
    for s in range(sheets):
        copy_sheet(work, n, s, CURRENT * n + s)
        pool_sheet(job, work, search, s)
    search.tally[SHEETS], search.tally[COST] = sheets, cost_of(job, work, 0, sheets)
    return sheets
