"""Very many pieces: the linear program's patterns as often as they come out whole, the rest by insertion.

Columns are generated at few points; their amounts in the linear program are rounded down, and what is then still
wanted, some pieces of each type at most, goes to construction and ruin and recreate (residual problems: Wäscher & Gau
1996, "Heuristics for the integer one-dimensional cutting stock problem", from memory; here the residual is cut in two
dimensions by another method). Afterwards portions of the plan, the emptier sheets first, are cut anew as often as time
allows (large neighbourhood search: Shaw 1998, from memory). Nothing here grows with the square of the whole job.
"""

from __future__ import annotations

import random
from dataclasses import replace

from nesting.solve.bars import compose, decomposed
from nesting.solve.beam import fill
from nesting.solve.columns import Amounts, cost_of, remaining, without_surplus
from nesting.solve.compiled import Kernels
from nesting.solve.construct import first_plans
from nesting.solve.improve import improve
from nesting.solve.pattern import Plan, Sheet, contents
from nesting.solve.problem import Problem
from nesting.solve.splices import pieces_wanted
from nesting.solve.stop import Stop

PORTION = 1_200
"""Pieces that are improved together; ruin and recreate keeps a square of them in memory."""
FIRST_PORTION, FIRST_TRIES = 250, 2
AGAIN_TRIES = 6
AGAIN_ITERATIONS = 3_000
"""Iterations of one improvement of a portion: some 0.5 s compiled, on one core."""
AGAIN_PLAIN = 20
MOST_BEAMED, BEAM_WIDTH = 3_000, 32
"""Pieces up to which a beam is tried, 0.4 s for each 1,000, and layouts a level that it keeps."""


def portions(problem: Problem, most: int) -> list[Problem]:
    """Part a job into jobs of about ``most`` pieces, each with its share of every type.

    >>> from nesting.solve.problem import Bin, Item
    >>> job = Problem((Bin(9, 9, 1),), (Item(3, 3, 7, ((True, True),)), Item(2, 2, 1, ((True, True),))))
    >>> [[item.demand for item in part.items] for part in portions(job, 4)]
    [[4, 1], [3, 0]]
    """
    count = max(1, -(-pieces_wanted(problem) // most))

    def share(demand: int, place: int) -> int:
        return demand // count + (place < demand % count)

    return [
        replace(
            problem,
            items=tuple(replace(item, demand=share(item.demand, place)) for item in problem.items),
            bars=tuple(replace(bar, demand=share(bar.demand, place)) for bar in problem.bars),
        )
        for place in range(count)
    ]


def quick_plan(problem: Problem, seed: int, stop: Stop, kernels: Kernels, portion: int = FIRST_PORTION) -> Plan | None:
    """Return a plan put together from portions, each constructed by itself; None where a portion found none."""
    whole: list[Sheet] = []
    known: dict[Problem, Plan | None] = {}  # most portions are alike
    for part in portions(problem, portion):
        left = replace(part, bins=remaining(problem, whole).bins)
        if left not in known:
            known[left] = constructed(left, seed + len(known), stop, kernels, FIRST_TRIES)
        plan = known[left]
        if plan is None:
            return None
        whole += plan
    return tuple(whole)


def constructed(problem: Problem, seed: int, stop: Stop, kernels: Kernels, tries: int) -> Plan | None:
    """Return the cheapest of some constructions, None where there is none."""
    if not any(item.demand for item in problem.items) and not any(bar.demand for bar in problem.bars):
        return ()
    best: Plan | None = None
    composition = compose(problem, seed)
    for plan in first_plans(composition.problem, seed, tries, stop, kernels):
        best = decomposed(problem, composition, plan)
    return best


def rounded_down(problem: Problem, amounts: Amounts, spare: float) -> Plan:
    """Take columns as often as they come out whole in the linear program, and never beyond the demands.

    ``spare`` is added before rounding down: 0 takes whole ones only, 0.5 rounds.
    """
    items = [item.demand for item in problem.items]
    bars = [bar.demand for bar in problem.bars]
    limits = [stock.limit for stock in problem.bins]
    plan: list[Sheet] = []
    for amount, column in sorted(amounts, key=lambda entry: (-entry[0], entry[1].items, entry[1].bars)):
        times = int(amount + spare)
        times = min([times, *(items[i] // n for i, n in column.items), *(bars[i] // n for i, n in column.bars)])
        limit = limits[column.bin]
        if limit is not None:
            times = min(times, limit)
            limits[column.bin] = limit - times
        for i, n in column.items:
            items[i] -= n * times
        for i, n in column.bars:
            bars[i] -= n * times
        plan += [Sheet(column.bin, column.pattern)] * times
    return tuple(plan)


def improved_portion(problem: Problem, plan: Plan, seed: int, stop: Stop, kernels: Kernels) -> Plan:
    """Cut a portion of a plan anew, the emptier sheets before others, and return the plan with it, never dearer."""
    rng = random.Random(seed)
    fill = [_fill(problem, sheet) for sheet in plan]
    order = sorted(range(len(plan)), key=lambda s: fill[s] * rng.uniform(0.6, 1.0))
    chosen: list[int] = []
    pieces = 0
    for s in order:
        items, bars = contents(plan[s].pattern)
        here = items.total() + bars.total()
        if pieces + here > PORTION:
            break
        chosen.append(s)
        pieces += here
    if len(chosen) < 2:
        return plan
    picked = set(chosen)
    kept = tuple(sheet for s, sheet in enumerate(plan) if s not in picked)
    portion = tuple(plan[s] for s in chosen)
    left = remaining(problem, kept)
    if problem.bars:
        fresh = constructed(left, seed, stop, kernels, AGAIN_TRIES)
        cheaper = fresh is not None and cost_of(problem, fresh) < cost_of(problem, portion)
        return kept + fresh if fresh is not None and cheaper else plan
    iterations = AGAIN_ITERATIONS if kernels.compiled else AGAIN_PLAIN
    better = improve(left, portion, seed, stop, kernels=kernels, target=0, iterations=iterations)
    return kept + better


def completed(problem: Problem, amounts: Amounts, spare: float, seed: int, stop: Stop, kernels: Kernels) -> Plan | None:
    """Round the linear program's amounts and construct what is still wanted; None where that found no place."""
    part = rounded_down(problem, amounts, spare)
    rest = quick_plan(remaining(problem, part), seed, stop, kernels, PORTION)
    return None if rest is None else without_surplus(problem, part + rest)


def _fill(problem: Problem, sheet: Sheet) -> float:
    """Return the pieces' share of a sheet's area, cleats at half a blank's width."""
    stock = problem.bins[sheet.bin]
    items, bars = contents(sheet.pattern)
    used = float(sum(problem.items[i].length * problem.items[i].width * n for i, n in items.items()))
    if bars:
        used += sum(problem.bars[i].length * n for i, n in bars.items()) * _bar_width(problem, sheet.bin)
    return used / (stock.length * stock.width)


def _bar_width(problem: Problem, kind: int) -> float:
    return min((blank.width / (1 if blank.high is None else 2) for blank in problem.blanks[kind]), default=0.0)


def beamed(problem: Problem, plan: Plan, seed: int, stop: Stop, kernels: Kernels) -> Plan | None:
    """Return a plan of fewer sheets by one narrow beam, ``None`` where it finds none, or the job is not one for it.

    ``problem`` is one without bars.
    """
    sheets = len(plan) - 1
    pieces = sum(item.demand for item in problem.items)
    if len(problem.bins) > 1 or pieces > MOST_BEAMED or not sheets or not kernels.compiled:
        return None
    room = sheets * problem.bins[0].length * problem.bins[0].width
    found = fill(problem, [0] * sheets, BEAM_WIDTH, room, seed, stop, kernels)
    return found.plan if found is not None and found.whole else None
