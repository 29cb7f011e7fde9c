"""Constructive insertion of rectangles into guillotine sheets with a delayed split: jittable code.

Free space is a list of *cells*. A cell is an empty rectangle, or a rectangle with a part in its lower
left corner whose guillotine split is still open: the *next* part put there decides it. Source of
that idea: Fleszar 2013, "Three insertion heuristics and a justification improvement heuristic for
two-dimensional bin packing with guillotine cuts" (from memory); the choice of part and place by a
random mixture of slack terms departs from it. Earlier: Charalambous & Fleszar 2011, "A constructive
bin-oriented heuristic for the two-dimensional bin packing problem with guillotine cuts".

Every function here works on plain lists as well as on numpy arrays, so that the same source runs
uncompiled and compiled (see :mod:`nesting.solve.compiled`), number for number.

A part ``b`` (w × h) meets the cell W × H holding a part ``a`` (p × q) in one of four ways:

====== ================= ==============================================================
option first cut         where
====== ================= ==============================================================
1      crosscut max(p,w) on top of ``a`` in one column with it
2      rip at q          on top of ``a``, free to run past it
3      crosscut at p     to the right of ``a``, free to run past it
4      rip at max(q,h)   to the right of ``a`` in one row with it
====== ================= ==============================================================

Option 0 is an empty cell. Options 1–4 make three cells numbered in this order: first rest, second
rest (options 1 and 4 only; empty otherwise), the cell of ``b``. A cell filled in one direction is
replaced by its rest at once, which takes a number too. These numbers, the option and the turn are the
*decision record* of a part: ``part + n * (turn + 2 * (option + 5 * cell))``.
"""

from __future__ import annotations

import math
from typing import Any, NamedTuple

from nesting.solve.kernels_stages import ANY, count_stages, options_within

Ints = Any
"""A list of int, or a one-dimensional int64 array."""
Floats = Any
"""A list of float, or a one-dimensional float64 array."""

WEIGHTS = 7
"""Smaller slack, larger slack, waste of the cell, area cut off, index of the sheet, exact fit, dead area."""
FAR = 1e300


class Job(NamedTuple):
    """The problem with every copy of a part by itself; turn 1 swaps the sides."""

    length: Ints
    width: Ints
    kind: Ints
    log_length: Floats
    log_width: Floats
    reach_length: Ints  # least extent along x over the ways it may lie
    reach_width: Ints
    ways: Ints  # bit 0: as it is, bit 1: turned; index bin * n + part
    bin_length: Ints
    bin_width: Ints
    bin_cost: Ints
    bin_limit: Ints
    bin_area: Floats
    bin_share: Floats  # of the largest area
    blank: Ints  # 1 for a blank, whose bevel rip and crosscuts are stages too
    limits: Ints  # the most stages, the direction of the first cut; both 0 where nothing is limited


class Work(NamedTuple):
    """Room to work in: cells, two banks of sheets under construction, the order of the parts."""

    cell_sheet: Ints
    cell_number: Ints
    cell_length: Ints
    cell_width: Ints
    cell_p: Ints  # sides of the part in the corner, 0 for an empty cell
    cell_q: Ints
    cell_blank: Ints  # whether that part is a blank
    cell_depth: Ints  # stages that cut the cell out, and the direction of the last
    cell_last: Ints
    cell_able: Ints  # options by which the part at hand may join the cell, as bits; index 2 * cell + turn
    stages: Ints  # the same of the cells a part is about to make: its own, the first rest, the second
    lasts: Ints
    sheet_bin: Ints  # index bank * n + sheet
    sheet_count: Ints
    sheet_next: Ints
    sheet_area: Floats
    sheet_scale: Floats
    record: Ints  # index (bank * n + sheet) * n + k
    least_length: Ints
    least_width: Ints
    parts: Ints
    order: Ints
    kept_order: Ints
    keys: Floats
    weights: Floats
    kept_weights: Floats
    prefer: Floats
    kept_prefer: Floats
    stock: Ints
    rng: Ints


def uniform(rng: Ints) -> float:
    """Return a number in (0, 1) and step the two-word state: L'Ecuyer 1988, combined generator (from memory)."""
    first = (40014 * rng[0]) % 2147483563
    second = (40692 * rng[1]) % 2147483399
    rng[0] = first
    rng[1] = second
    return float((first - second) % 2147483562 + 1) * 4.656613057391769e-10


def bell(rng: Ints) -> float:
    """Return a number of mean 0 and variance 1, nearly normal: three uniform numbers added."""
    return (uniform(rng) + uniform(rng) + uniform(rng) - 1.5) * 2.0


def draw_weights(weights: Floats, rng: Ints) -> None:
    """Draw the weights of one construction; many are zero so that single terms rule now and then."""
    for k in range(WEIGHTS):
        weights[k] = 0.0 if uniform(rng) < 0.3 else 4.0 * uniform(rng) ** 2
    weights[4] = 0.0 if uniform(rng) < 0.3 else 10.0 * uniform(rng) ** 3


def draw_order(job: Job, work: Work, count: int, rng: Ints) -> None:
    """Sort ``work.parts[:count]`` into ``work.order`` by a random mixture of sides, with log-normal noise."""
    log_length, log_width, keys, order, parts = job.log_length, job.log_width, work.keys, work.order, work.parts
    mode = uniform(rng)
    long_side, short_side, level, upright = 1.0, 1.0, 0.0, 0.0
    if mode < 0.25:
        long_side, short_side = 1.0, 2.0 * uniform(rng)
    elif mode < 0.4:
        short_side = 0.1
    elif mode < 0.5:
        level, upright = uniform(rng), uniform(rng)
    elif mode < 0.6:
        long_side = 0.3
    draw = uniform(rng)
    noise = 0.0 if draw < 0.1 else 0.6 * uniform(rng) ** 2 if draw < 0.9 else 2.0
    for k in range(count):
        i = parts[k]
        a, b = log_length[i], log_width[i]
        keys[k] = level * a + upright * b + noise * bell(rng)
        keys[k] += long_side * a + short_side * b if a > b else long_side * b + short_side * a
        order[k] = i
    gap = 1
    while gap < count // 3:
        gap = 3 * gap + 1
    while gap > 0:
        for k in range(gap, count):
            key, i, j = keys[k], order[k], k
            while j >= gap and keys[j - gap] < key:
                keys[j] = keys[j - gap]
                order[j] = order[j - gap]
                j -= gap
            keys[j] = key
            order[j] = i
        gap //= 3


def change_order(work: Work, count: int, rng: Ints) -> None:
    """Take the kept order and weights with a few swaps or moves of parts and, often, a change of weights."""
    order, kept = work.order, work.kept_order
    for k in range(count):
        order[k] = kept[k]
    for k in range(WEIGHTS):
        work.weights[k] = work.kept_weights[k]
    if uniform(rng) < 0.4:
        k = int(uniform(rng) * WEIGHTS)
        work.weights[k] = work.weights[k] * math.exp(0.7 * bell(rng)) + 0.2 * uniform(rng)
    steps = 1 + int(3.0 * uniform(rng) ** 2)
    for _ in range(steps):
        a, b = int(uniform(rng) * count), int(uniform(rng) * count)
        if uniform(rng) < 0.5:
            order[a], order[b] = order[b], order[a]
        else:
            i = order[a]
            while a < b:
                order[a] = order[a + 1]
                a += 1
            while a > b:
                order[a] = order[a - 1]
                a -= 1
            order[b] = i


def fit(
    weights: Floats, x: float, y: float, w: float, h: float, lost: float, dead: float, dead_x: int, dead_y: int
) -> float:
    """Score a part w × h in a space that leaves it the slack x and y, all as shares of the bin; smaller is better."""
    a, b = (x, y) if x < y else (y, x)
    if dead_x:
        dead += x * h
    if dead_y:
        dead += y * w
    score: float = (
        weights[0] * a + weights[1] * b + weights[2] * (x * (y + h) + y * w) + weights[3] * lost + weights[6] * dead
    )
    return score - weights[5] if a <= 0.0 else score


def choose_bin(job: Job, work: Work, i: int, area_left: float) -> int:
    """Return the bin to open for part ``i``: the least noisy price for the area it can fill; -1 if none."""
    n, best, chosen = len(job.length), FAR, -1
    for b in range(len(job.bin_length)):
        if work.stock[b] > 0 and job.ways[b * n + i] != 0:
            area = job.bin_area[b] if job.bin_area[b] < area_left else area_left
            price = (job.bin_cost[b] + 1e-6 * job.bin_area[b]) * work.prefer[b] / area
            if price < best:
                best, chosen = price, b
    return chosen


def construct(job: Job, work: Work, bank: int, count: int, most: int) -> int:  # noqa: PLR0915 - whole, for speed
    """Place ``work.order[:count]`` in sheets of ``bank``; return their number, -1 if dearer than ``most``.

    ``work.stock`` says how many bins of each kind may be opened (and is used up); ``work.prefer``
    multiplies their prices in the choice of the bin to open.
    """
    n = len(job.length)
    first = bank * n
    length, width, ways, order, weights = job.length, job.width, job.ways, work.order, work.weights
    cell_sheet, cell_number = work.cell_sheet, work.cell_number
    cell_length, cell_width, cell_p, cell_q = work.cell_length, work.cell_width, work.cell_p, work.cell_q
    cell_able = work.cell_able
    sheet_bin, sheet_next, sheet_scale = work.sheet_bin, work.sheet_next, work.sheet_scale
    least_length, least_width = work.least_length, work.least_width
    least_l, least_w, area_left = 1 << 60, 1 << 60, 0.0
    for k in range(count - 1, -1, -1):
        least_length[k] = least_l if k < count - 1 else job.reach_length[order[k]]
        least_width[k] = least_w if k < count - 1 else job.reach_width[order[k]]
        i = order[k]
        least_l = min(least_l, job.reach_length[i])
        least_w = min(least_w, job.reach_width[i])
        area_left += float(length[i]) * width[i]
    free = job.limits[0] == 0
    cells, sheets, cost = 0, 0, 0
    for k in range(count):
        i = order[k]
        least_l, least_w = least_length[k], least_width[k]
        best, best_cell, best_option, best_turn = FAR, -1, 0, 0
        if not free:
            mark_options(job, work, cells, i)
        for c in range(cells):
            s = first + cell_sheet[c]
            way = ways[sheet_bin[s] * n + i]
            big_l, big_w, p, q = cell_length[c], cell_width[c], cell_p[c], cell_q[c]
            for turn in range(2):
                if not way >> turn & 1:
                    continue
                if turn:
                    w, h = width[i], length[i]
                else:
                    w, h = length[i], width[i]
                if w > big_l or h > big_w:
                    continue
                able = cell_able[2 * c + turn]
                x_scale, y_scale = sheet_scale[2 * s], sheet_scale[2 * s + 1]
                ww, hh = w * x_scale, h * y_scale
                start = weights[4] * cell_sheet[c]
                x, y = big_l - w, big_w - h
                if p == 0:
                    score = start + fit(weights, x * x_scale, y * y_scale, ww, hh, 0.0, 0.0, x < least_l, y < least_w)
                    if score < best and able & 1:
                        best, best_cell, best_option, best_turn = score, c, 0, turn
                    continue
                scale = x_scale * y_scale
                if q <= y:
                    over = y - q
                    m = max(p, w)
                    lost = float(m - p) * q * scale
                    dead = lost if m - p < least_l or q < least_w else 0.0
                    score = start + fit(
                        weights, (m - w) * x_scale, over * y_scale, ww, hh, lost, dead, m - w < least_l, over < least_w
                    )
                    if score < best and able & 2:
                        best, best_cell, best_option, best_turn = score, c, 1, turn
                    if w < big_l and m < big_l:
                        lost = float(big_l - p) * q * scale
                        dead = lost if big_l - p < least_l or q < least_w else 0.0
                        score = start + fit(
                            weights, x * x_scale, over * y_scale, ww, hh, lost, dead, x < least_l, over < least_w
                        )
                        if score < best and able & 4:
                            best, best_cell, best_option, best_turn = score, c, 2, turn
                if p <= x:
                    over = x - p
                    m = max(q, h)
                    lost = float(m - q) * p * scale
                    dead = lost if m - q < least_w or p < least_l else 0.0
                    score = start + fit(
                        weights, over * x_scale, (m - h) * y_scale, ww, hh, lost, dead, over < least_l, m - h < least_w
                    )
                    if score < best and able & 16:
                        best, best_cell, best_option, best_turn = score, c, 4, turn
                    if m < big_w:
                        lost = float(big_w - q) * p * scale
                        dead = lost if big_w - q < least_w or p < least_l else 0.0
                        score = start + fit(
                            weights, over * x_scale, y * y_scale, ww, hh, lost, dead, over < least_l, y < least_w
                        )
                        if score < best and able & 8:
                            best, best_cell, best_option, best_turn = score, c, 3, turn
        if best_cell < 0:
            b = choose_bin(job, work, i, area_left)
            if b < 0 or cost + job.bin_cost[b] > most:
                return -1
            cost += job.bin_cost[b]
            work.stock[b] -= 1
            s = first + sheets
            sheet_bin[s], work.sheet_count[s], sheet_next[s], work.sheet_area[s] = b, 0, 1, 0.0
            sheet_scale[2 * s], sheet_scale[2 * s + 1] = 1.0 / job.bin_length[b], 1.0 / job.bin_width[b]
            best_cell, best_option = cells, 0
            best_turn = 0 if ways[b * n + i] & 1 else 1
            if ways[b * n + i] == 3 and uniform(work.rng) < 0.5:
                best_turn = 1
            cell_sheet[cells], cell_number[cells], cell_p[cells], cell_q[cells] = sheets, 0, 0, 0
            cell_length[cells], cell_width[cells] = job.bin_length[b], job.bin_width[b]
            work.cell_depth[cells], work.cell_last[cells] = 0, ANY
            cells += 1
            sheets += 1
        if not free:
            note_stages(job, work, i, best_cell, best_option, best_turn)
        cells = place(job, work, first, cells, i, best_cell, best_option, best_turn, least_l, least_w)
        area_left -= float(length[i]) * width[i]
    return sheets


def mark_options(job: Job, work: Work, cells: int, i: int) -> None:
    """Mark for every cell the options by which part ``i`` may join it under the limits."""
    for c in range(cells):
        depth, last, p, q = work.cell_depth[c], work.cell_last[c], work.cell_p[c], work.cell_q[c]
        length, width, held, blank = work.cell_length[c], work.cell_width[c], work.cell_blank[c], job.blank[i]
        for turn in range(2):
            w, h = (job.width[i], job.length[i]) if turn else (job.length[i], job.width[i])
            work.cell_able[2 * c + turn] = options_within(
                depth, last, length, width, p, q, held, w, h, blank, job.limits[0], job.limits[1]
            )


def note_stages(job: Job, work: Work, i: int, c: int, option: int, turn: int) -> None:
    """Note the stages of the cells that part ``i`` is about to make of cell ``c``."""
    depth, last, p, q = work.cell_depth[c], work.cell_last[c], work.cell_p[c], work.cell_q[c]
    w, h = (job.width[i], job.length[i]) if turn else (job.length[i], job.width[i])
    length, width = work.cell_length[c], work.cell_width[c]
    count_stages(work.stages, work.lasts, depth, last, length, width, p, q, w, h, option)


def place(
    job: Job, work: Work, first: int, cells: int, i: int, c: int, option: int, turn: int, least_l: int, least_w: int
) -> int:
    """Put part ``i`` into cell ``c`` and replace the cell by what is left of it; return the number of cells.

    Cells that take none of the parts to come, which are at least ``least_l`` long and ``least_w`` wide, are dropped.
    """
    n = len(job.length)
    w, h = (job.width[i], job.length[i]) if turn else (job.length[i], job.width[i])
    t = work.cell_sheet[c]
    s = first + t
    big_l, big_w, p, q = work.cell_length[c], work.cell_width[c], work.cell_p[c], work.cell_q[c]
    number = work.sheet_next[s]
    work.record[s * n + work.sheet_count[s]] = i + n * (turn + 2 * (option + 5 * work.cell_number[c]))
    work.sheet_count[s] += 1
    work.sheet_area[s] += float(w) * h
    l1, w1, l2, w2, l3, w3 = 0, 0, 0, 0, big_l, big_w
    if option == 0:
        own = work.cell_number[c]
    else:
        own = number + 2
        if option == 1:
            m = max(p, w)
            l1, w1, l2, w2, l3, w3 = big_l - m, big_w, m - p, q, m, big_w - q
        elif option == 2:
            l1, w1, l3, w3 = big_l - p, q, big_l, big_w - q
        elif option == 3:
            l1, w1, l3, w3 = p, big_w - q, big_l - p, big_w
        else:
            m = max(q, h)
            l1, w1, l2, w2, l3, w3 = big_l, big_w - m, p, m - q, big_l - p, m
        number += 3
        cells = add_cell(work, cells, t, own - 2, l1, w1, 1, least_l, least_w)
        cells = add_cell(work, cells, t, own - 1, l2, w2, 2, least_l, least_w)
    part_l, part_w = w, h
    if w == l3 or h == w3:
        own, part_l, part_w = number, 0, 0
        number += 1
        if w == l3:
            w3 -= h
        else:
            l3 -= w
    work.sheet_next[s] = number
    beside = part_l + least_l <= l3 and least_w <= w3  # a part to come may lie there, or above
    if beside or (part_w + least_w <= w3 and least_l <= l3):
        work.cell_number[c], work.cell_length[c], work.cell_width[c] = own, l3, w3
        work.cell_p[c], work.cell_q[c] = part_l, part_w
        work.cell_blank[c], work.cell_depth[c], work.cell_last[c] = job.blank[i], work.stages[0], work.lasts[0]
        return cells
    cells -= 1
    work.cell_sheet[c], work.cell_number[c] = work.cell_sheet[cells], work.cell_number[cells]
    work.cell_length[c], work.cell_width[c] = work.cell_length[cells], work.cell_width[cells]
    work.cell_p[c], work.cell_q[c] = work.cell_p[cells], work.cell_q[cells]
    work.cell_blank[c] = work.cell_blank[cells]
    work.cell_depth[c], work.cell_last[c] = work.cell_depth[cells], work.cell_last[cells]
    return cells


def add_cell(
    work: Work,
    cells: int,
    sheet: int,
    number: int,
    length: int,
    width: int,
    rest: int,
    least_l: int,
    least_w: int,
) -> int:
    """Add an empty cell unless it can take none of the parts to come; return the number of cells."""
    if length < least_l or width < least_w:
        return cells
    work.cell_sheet[cells], work.cell_number[cells] = sheet, number
    work.cell_length[cells], work.cell_width[cells] = length, width
    work.cell_p[cells], work.cell_q[cells] = 0, 0
    work.cell_depth[cells], work.cell_last[cells] = work.stages[rest], work.lasts[rest]
    return cells + 1


def cost_of(job: Job, work: Work, first: int, sheets: int) -> int:
    """Add up the prices of ``sheets`` sheets from index ``first`` on."""
    cost = 0
    for s in range(first, first + sheets):
        cost += job.bin_cost[work.sheet_bin[s]]
    return cost
