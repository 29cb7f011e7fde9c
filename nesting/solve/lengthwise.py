"""Jobs of one dimension: every piece is too wide for another beside it, as where boards are only cut to length.

The longest pieces first, then bars as full as can be, without waste where the lengths ask for that
(``length_cover.py``); then the linear program over patterns (``length_program.py``), whose value rounded up is the
bound, its amounts rounded, the patterns within the gap (``length_gap.py``) and dives (``length_dives.py``) until the
plan is proven or time is up.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence

import numpy as np

from nesting.solve.boxes import OutOfTime
from nesting.solve.length_cover import without_waste
from nesting.solve.length_dives import dive
from nesting.solve.length_fits import best_fit, fullest
from nesting.solve.length_gap import MOST_LISTED, within
from nesting.solve.length_program import Cuts, Program, grid_of
from nesting.solve.pattern import Pattern, Put, Sheet, Split
from nesting.solve.problem import Bound, Problem
from nesting.solve.standing import Standing

ROUNDINGS = (0.5, 0.7, 0.3, 0.9)
DIVES_FIRST, WHOLE_SHARE = 10, 0.5
"""Dives before the integer program is asked about the whole job, and its share of the time left."""
COVER_SHARE = 0.75
"""Of the time, for bars without waste, where these come into question."""
LONGEST = 200_000
"""Longest bar, in grid units, whose knapsack is solved here."""
MOST_CELLS = 3 * 10**7
"""Most cells of that knapsack, four bytes each."""


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


def search(standing: Standing) -> None:
    """Fit the longest first, then prove and search until the standing is closed or stopped."""
    problem, stop = standing.problem, standing.stop
    stock = problem.bins[0]
    lengths = sorted({item.length for item in problem.items if item.demand}, reverse=True)
    wanted = [sum(item.demand for item in problem.items if item.length == length) for length in lengths]
    sizes, room = grid_of(lengths, stock.length)

    def offer(found: Sequence[Cuts] | None, phase: str) -> None:
        standing.offer(None if found is None else _plan(problem, lengths, found), phase)

    first = best_fit(sizes, room, wanted)
    offer(first, "first plans")
    if standing.over():
        return
    program = Program(sizes, room, np.array(wanted, dtype=np.int64), standing.kernels(patient=True))
    full = fullest(program, wanted, stop)
    offer(full, "fullest bins")
    if standing.over():
        return
    _cover(standing, program, offer)
    if standing.over():
        return
    program.meet([*first, *(full or ())])
    rng = random.Random(standing.seed)
    if not program.quick and program.generate_roughly(stop):
        start = program.state()
        offer(dive(program, standing.cost // stock.cost - 1, rng, stop, greedy=True), "dives")
        if standing.over():
            return
        program.back_to(start)
    program.generate(stop)
    _raise(standing, program)
    for least in ROUNDINGS:
        if standing.over():
            return
        part, left = _rounded(program, least)
        rest = fullest(program, left, stop)
        if rest is not None:
            offer([*part, *rest], "rounding")
    if not standing.over():
        program.generate(stop, fully=True)  # dives fail from anything less, and the best prices leave fewest patterns
        _raise(standing, program)
    start, number = program.state(), 0
    while not standing.over() and program.solved:
        program.back_to(start)
        if number == DIVES_FIRST:
            _decide(standing, program, offer)
        else:
            most = standing.cost // stock.cost - 1
            offer(dive(program, most, rng, stop, greedy=number == 0), "dives")
        number += 1


def _cover(standing: Standing, program: Program, offer: Callable[[Sequence[Cuts] | None, str], None]) -> None:
    """Ask for a plan without waste, or for a proof that there is none."""
    try:
        bars, found = without_waste(program, standing.seed, standing.stop.within(COVER_SHARE * standing.stop.left()))
    except OutOfTime:
        return
    offer(found, "exact cover")
    if found is None:
        told = f"no {bars} bars as full as they would have to be give all pieces"
        standing.raise_bound(Bound((bars + 1) * standing.problem.bins[0].cost, "exact cover", told), "exact cover")


def _raise(standing: Standing, program: Program) -> None:
    """Take the bound of the linear program."""
    told = f"{program.bound - 1} pieces of stock cannot do it, whatever is cut from each"
    standing.raise_bound(Bound(program.bound * standing.problem.bins[0].cost, "patterns", told), "columns")


def _decide(standing: Standing, program: Program, offer: Callable[[Sequence[Cuts] | None, str], None]) -> None:
    """Ask for a plan of as many bars as the bound, or for a proof that there is none."""
    cost, bars = standing.problem.bins[0].cost, program.bound
    try:
        found = within(program, bars, MOST_LISTED, standing.stop.within(WHOLE_SHARE * standing.stop.left()))
    except OutOfTime:
        return
    offer(found, "gap")
    if found is None:
        told = f"no {bars} of the patterns that waste little enough give all pieces"
        standing.raise_bound(Bound((bars + 1) * cost, "gap", told), "gap")


def _rounded(program: Program, least: float) -> tuple[list[Cuts], list[int]]:
    """Cut patterns as often as they come out whole, and once more where the rest is at least ``least``.

    Nothing is made beyond what is wanted; what is left of that is returned too.
    """
    left, made = program.wanted.tolist(), list[Cuts]()
    for amount, row in program.patterns():
        cuts = program.cuts(row)
        times = min([int(amount + 1 - least), *(left[i] // pieces for i, pieces in cuts)])
        made += [cuts] * times
        for i, pieces in cuts:
            left[i] -= pieces * times
    return made, left


def _plan(problem: Problem, lengths: Sequence[int], bars: Sequence[Cuts]) -> tuple[Sheet, ...]:
    """Return the plan of these bars; pieces of one length are taken item by item."""
    waiting = {length: list[int]() for length in lengths}
    for index, item in enumerate(problem.items):
        waiting.get(item.length, []).extend([index] * item.demand)
    return tuple(
        Sheet(0, _pattern(problem, [waiting[lengths[i]].pop() for i, n in cuts for _ in range(n)])) for cuts in bars
    )


def _pattern(problem: Problem, items: Sequence[int]) -> Pattern:
    """Return the pattern that crosscuts a bar into its pieces, one after another."""
    pattern: Pattern = None
    for item in reversed(items):
        piece: Pattern = Put(item)
        if problem.items[item].width < problem.bins[0].width:
            piece = Split("rip", problem.items[item].width, piece, None)
        pattern = Split("crosscut", problem.items[item].length, piece, pattern)
    return pattern
