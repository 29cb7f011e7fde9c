"""Bars that waste next to nothing: all patterns as full as that, and an exact cover of the pieces by them.

Where the bars that the lengths alone ask for hold hardly more than the pieces (the triplets of Falkenauer 1996, "A
hybrid grouping genetic algorithm for bin packing", nothing more), every bar of such a plan is full but for the waste
there is in all. Those patterns are few, and a piece that hardly any of them hold says what to cut next. The search is
begun anew with other ties and orders before it loses itself in an unlucky start (Gomes, Selman & Kautz 1998, "Boosting
combinatorial search through randomization", from memory).
"""

from __future__ import annotations

from collections import Counter

import numpy as np

from nesting.solve.boxes import OutOfTime
from nesting.solve.kernels_cover import NONE, UNDECIDED
from nesting.solve.length_program import Cuts, Program
from nesting.solve.stop import Stop

MOST_FULL, LISTING = 5_000, 10**6
"""Patterns at most, and steps of listing them, some 20 ms."""
STEPS, STEPS_PLAIN, GROWTH, MOST_STEPS = 1_000, 300, 1.1, 5_000
"""Steps of the first search, compiled or not, how these grow from one to the next, and the most of a search."""


def without_waste(program: Program, seed: int, stop: Stop) -> tuple[int, list[Cuts] | None]:
    """Return the bars that the lengths alone ask for and a plan of as many, ``None`` where there is provably none.

    Raises :class:`OutOfTime` where these leave room for another piece, where too many patterns come into question,
    and where time is up.
    """
    sizes, room, wanted = program.sizes, program.room, program.wanted
    bars = -int(-(sizes * wanted).sum() // room)
    spare = bars * room - int((sizes * wanted).sum())
    if spare >= sizes[wanted > 0].min():
        raise OutOfTime
    found = program.worth_at_least(sizes.astype(np.int32), room - spare, MOST_FULL, LISTING)
    if found is None:
        raise OutOfTime
    patterns = [tuple(sorted(Counter(pieces).items())) for pieces in found]
    lengths = [len(cuts) for cuts in patterns]
    starts = np.concatenate(([0], np.cumsum(lengths))).astype(np.int64)
    inside, copies = np.array([entry for cuts in patterns for entry in cuts], dtype=np.int64).reshape(-1, 2).T.copy()
    owner = np.repeat(np.arange(len(patterns)), lengths)
    waste = room - np.bincount(owner, sizes[inside] * copies, len(patterns)).astype(np.int64)
    holds = np.searchsorted(np.sort(inside), np.arange(sizes.size + 1))
    chosen = np.zeros(bars, dtype=np.int64)
    rng, steps = np.random.default_rng(seed), float(STEPS if program.kernels.compiled else STEPS_PLAIN)
    while not stop.reached():
        order = np.lexsort((rng.random(len(patterns))[owner], inside))
        count = program.kernels.cover(
            starts, inside, copies, holds, owner[order], copies[order], waste,
            wanted, rng.random(sizes.size), spare, int(steps), chosen,
        )  # fmt: skip
        if count == NONE:
            return bars, None
        if count != UNDECIDED:
            return bars, [patterns[p] for p in chosen[:count]]
        if program.kernels.compiled:
            steps = min(GROWTH * steps, MOST_STEPS)
    raise OutOfTime
