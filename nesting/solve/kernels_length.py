"""Column generation for bars in jittable code: simplex steps, knapsacks within demands, lists of patterns.

The linear program asks for patterns of one bar that cover the demands with as few bars as can be. It is solved by the
primal simplex method on a dense inverse of the basis, a column at a time (Gilmore & Gomory 1961, "A linear programming
approach to the cutting-stock problem"). Departures: of each knapsack not only the best pattern is kept, but the best
for each last piece too, and these are priced before the next knapsack is solved; demands are raised a little, each by
another amount, against steps that lead nowhere; and at first a piece may stand for the next shorter one, which keeps
prices in the order of lengths (Valerio de Carvalho 2005, "Using extra dual cuts to accelerate column generation", from
memory).

``tableau`` holds the inverse of the basis, as its last column how often each pattern of the basis is cut, as its last
row the prices of the pieces and in the corner the bars in all. ``basis[r]`` is the pattern of row r, ``costs[r]`` its
cost. The code works on arrays, compiled or not, number for number.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from nesting.solve.kernels_pairs import best_pairs

DONE, BOUND, POOLED, PRICED, BEST, SWAPS = range(6)
"""Places in ``tally``: whether no column improves, the best bound in bars, patterns pooled so far, knapsacks solved,
the most a bar is worth at the last whole prices, and whether a piece may stand for a shorter one."""
TINY = 1e-9
BETTER = 1.0 + 1e-7
"""Worth of a pattern from which on it improves the program."""
KEPT = 101
"""Patterns kept from one knapsack, the one that enters among them."""


def fill_table(sizes: Any, worths: Any, copies: Any, room: int, table: Any, rows: Any) -> int:
    """Solve the knapsack within ``copies``; return the pieces tried.

    ``table[k, x]`` is the most that the first k pieces are worth in a room x, ``rows[k]`` the size of piece k.
    """
    tried = 0
    table[0, :] = 0
    for i in range(sizes.size):
        if worths[i] > 0:
            for _ in range(min(room // sizes[i], copies[i])):
                table[tried + 1, : sizes[i]] = table[tried, : sizes[i]]
                taken = table[tried, : room + 1 - sizes[i]] + worths[i]
                table[tried + 1, sizes[i] :] = np.maximum(table[tried, sizes[i] :], taken)
                rows[tried] = i
                tried += 1
    return tried


def take(sizes: Any, table: Any, rows: Any, last: int, room: int, pieces: Any) -> int:
    """Write the best filling of a room by the first ``last`` pieces into ``pieces``; return how many these are."""
    count = 0
    for k in range(last, 0, -1):
        if table[k, room] != table[k - 1, room]:
            pieces[count] = rows[k - 1]
            count += 1
            room -= sizes[rows[k - 1]]
    return count


def enter(tableau: Any, basis: Any, costs: Any, column: Any, cost: float) -> None:
    """Take a column into the basis for the one that falls to nothing first."""
    m = costs.size
    ratio = np.zeros(m + 1)
    for i in range(m):
        if column[i] != 0:
            ratio += column[i] * tableau[:, i]
    out, least = -1, 0.0
    for r in range(m):
        if ratio[r] > TINY:
            quotient = tableau[r, m] / ratio[r]
            if out < 0 or quotient < least - 1e-12 or (quotient <= least + 1e-12 and ratio[r] > ratio[out]):
                out, least = r, quotient
    if out < 0:
        return
    tableau[out] /= ratio[out]
    ratio[m] -= cost
    for r in range(m + 1):
        if r != out and ratio[r] != 0.0:
            tableau[r] -= ratio[r] * tableau[out]
    basis[out] = column
    costs[out] = cost


def improving(prices: Any, copies: Any, pool: Any, count: int, most: float, column: Any) -> bool:
    """Put the best pattern of the pool worth more than ``most``, if there is one within ``copies``, into ``column``."""
    at = -1
    for q in range(count):
        worth = 0.0
        for j in range(1, pool[q, 0] + 1):
            worth += prices[pool[q, j]]
        if worth > most:
            column[:] = 0
            within = True
            for j in range(1, pool[q, 0] + 1):
                column[pool[q, j]] += 1
                within = within and column[pool[q, j]] <= copies[pool[q, j]]
            if within:
                at, most = q, worth
    if at < 0:
        return False
    column[:] = 0
    for j in range(1, pool[at, 0] + 1):
        column[pool[at, j]] += 1
    return True


def best_bars(sizes: Any, worths: Any, copies: Any, room: int, table: Any, rows: Any, least: int, bars: Any) -> int:
    """Write bars worth more than ``least`` into ``bars``, the best first; return what the best is worth.

    Besides the best bar of all there is one for each last piece. A bar begins with the number of its pieces, 0 after
    the last.
    """
    tried = fill_table(sizes, worths, copies, room, table, rows)
    bars[0, 0] = take(sizes, table, rows, tried, room, bars[0, 1:])
    count = 1
    for k in range(tried, 0, -1):
        item = rows[k - 1]
        if count == bars.shape[0] or (k < tried and rows[k] == item):
            continue
        rest = room - sizes[item]
        if table[k - 1, rest] + worths[item] > least:
            bars[count, 1] = item
            bars[count, 0] = 1 + take(sizes, table, rows, k - 1, rest, bars[count, 2:])
            count += 1
    if count < bars.shape[0]:
        bars[count, 0] = 0
    return int(table[tried, room])


def generate_bars(
    tableau: Any, basis: Any, costs: Any, sizes: Any, demands: Any, copies: Any, room: int, unit: int,
    table: Any, rows: Any, parts: Any, lengths: Any, ranks: Any, whole: Any, pool: Any, tally: Any, steps: int,
) -> None:  # fmt: skip
    """Take so many steps of the simplex method, fewer where no column improves; ``tally`` tells.

    With ``parts``, bars come from pairs (``kernels_pairs.py``), else from the table of the knapsack.
    ``whole`` are the prices in multiples of 1 / ``unit`` of a bar of the last knapsack, and bounds are from them.
    """
    m = sizes.size
    column = np.zeros(m, dtype=np.int64)
    least = int(unit * BETTER)
    bars = np.zeros((KEPT if parts.size == 0 else 2 * parts.size + 2, pool.shape[1]), dtype=np.int64)
    for _ in range(steps):
        low, at = -TINY, -1
        for i in range(m):
            if tableau[m, i] < low:
                low, at = tableau[m, i], i
        swap = False
        if tally[SWAPS] > 0:
            for i in range(m - 1):
                if tableau[m, i] - tableau[m, i + 1] < low:
                    low, at, swap = tableau[m, i] - tableau[m, i + 1], i, True
        most = max(BETTER, 1.0 - low)
        if improving(tableau[m], copies, pool, min(tally[POOLED], pool.shape[0]), most, column):
            enter(tableau, basis, costs, column, 1.0)
            continue
        if at >= 0:  # making more than is asked for costs nothing
            column[:] = 0
            column[at] = -1
            if swap:
                column[at + 1] = 1
            enter(tableau, basis, costs, column, 0.0)
            continue
        asked = 0
        for i in range(m):
            whole[i] = int(min(2.0, max(0.0, tableau[m, i])) * unit) if copies[i] > 0 else 0
            asked += demands[i] * whole[i]
        tally[PRICED] += 1
        if parts.size > 0:
            worth = best_pairs(sizes, whole, copies, room, parts, lengths, ranks, least, bars)
        else:
            worth = best_bars(sizes, whole, copies, room, table, rows, least, bars)
        tally[BEST] = max(worth, unit)
        tally[BOUND] = max(tally[BOUND], -(-asked // tally[BEST]))
        if worth <= least:
            tally[DONE] = 1
            return
        column[:] = 0
        for j in range(1, bars[0, 0] + 1):
            column[bars[0, j]] += 1
        enter(tableau, basis, costs, column, 1.0)
        for q in range(1, bars.shape[0]):
            if bars[q, 0] == 0:
                break
            pool[tally[POOLED] % pool.shape[0]] = bars[q]
            tally[POOLED] += 1


def list_bars(
    sizes: Any, worths: Any, copies: Any, room: int, table: Any, rows: Any, least: int, found: Any, most_steps: int
) -> int:
    """List every pattern worth at least ``least``, but those that one more piece of worth could be added to.

    Returns how many there are, -1 where they are more than fit ``found`` or the steps are over. ``found[k]`` begins
    with the number of its pieces. The table of the knapsack tells what the pieces to come are worth at most, so that
    no step is in vain.
    """
    width = found.shape[1]
    tried = fill_table(sizes, worths, copies, room, table, rows)
    path, at = np.zeros(width, dtype=np.int64), np.zeros(width + 1, dtype=np.int64)
    rooms, gained = np.zeros(width + 1, dtype=np.int64), np.zeros(width + 1, dtype=np.int64)
    used = np.zeros(sizes.size, dtype=np.int64)
    count, depth = 0, 0
    at[0], rooms[0] = tried, room
    for _ in range(most_steps):
        k, left, gain = at[depth], rooms[depth], gained[depth]
        taking = False
        while k > 0 and gain + table[k, left] >= least:
            item = rows[k - 1]
            if sizes[item] <= left and gain + worths[item] + table[k - 1, left - sizes[item]] >= least:
                taking = True
                break
            while k > 0 and rows[k - 1] == item:
                k -= 1
        if taking:
            item = rows[k - 1]
            next_other = k - 1
            while next_other > 0 and rows[next_other - 1] == item:
                next_other -= 1
            at[depth] = next_other
            path[depth] = item
            used[item] += 1
            depth += 1
            at[depth], rooms[depth], gained[depth] = k - 1, left - sizes[item], gain + worths[item]
            continue
        if k == 0 and gain >= least:
            full = True
            for i in range(sizes.size):
                if worths[i] > 0 and used[i] < copies[i] and sizes[i] <= left:
                    full = False
            if full:
                if count == found.shape[0]:
                    return -1
                found[count, 0] = depth
                found[count, 1 : depth + 1] = path[:depth]
                count += 1
        if depth == 0:
            return count
        depth -= 1
        used[path[depth]] -= 1
    return -1
