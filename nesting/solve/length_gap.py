"""One bar fewer or not: every pattern that such a plan can use, and an integer program that decides.

With prices that prove a bound close below a number of bars, each pattern of a plan of so many wastes no more worth than
the gap between the two (reduced cost fixing; Scheithauer & Terno 1995, Baldacci & Mingozzi 2008, from memory). Of bars
that gap is mostly some thousandths, and the patterns are some hundreds.
"""

from __future__ import annotations

from collections.abc import Sequence

from nesting.solve.boxes import OutOfTime
from nesting.solve.covering import Column, cover
from nesting.solve.length_fits import best_fit
from nesting.solve.length_program import Cuts, Program
from nesting.solve.stop import Stop

MOST_LISTED = 1_000
"""Patterns at most that the integer program is asked about."""
LISTING = 10**6
"""Steps of listing at most: some 20 ms."""


def within(program: Program, bars: int, most: int, stop: Stop) -> list[Cuts] | None:
    """Return a plan of at most so many bars for what the program wants now, ``None`` where there is provably none.

    Raises :class:`OutOfTime` where more than ``most`` patterns come into question or it was not decided in time. Call
    it when the program is solved.
    """
    listed = program.listed(bars, most, LISTING)
    if listed is None:
        raise OutOfTime
    left = [int(pieces) if worth else 0 for pieces, worth in zip(program.wanted, program.whole, strict=True)]
    made: list[Cuts] = []
    for cuts, times in decided(listed, left, bars, stop):
        for _ in range(times):
            made.append(tuple((i, min(pieces, left[i])) for i, pieces in cuts if left[i]))
            for i, pieces in made[-1]:
                left[i] -= pieces
    if not made:
        return None
    worthless = [0 if worth else int(pieces) for pieces, worth in zip(program.wanted, program.whole, strict=True)]
    whole = best_fit(program.sizes, program.room, worthless, made)
    if len(whole) > bars:
        raise OutOfTime
    return whole


def decided(listed: Sequence[Cuts], wanted: Sequence[int], bars: int, stop: Stop) -> list[tuple[Cuts, int]]:
    """Return patterns and how often each is cut so that at most ``bars`` cover what is wanted; none if none do.

    Raises :class:`OutOfTime` where that was not decided in time.

    >>> decided([((0, 2),), ((0, 1), (1, 1))], [3, 1], 2, Stop.after(9))
    [(((0, 2),), 1), (((0, 1), (1, 1)), 1)]
    """
    columns = [Column(1, max(-(-wanted[i] // pieces) for i, pieces in cuts), cuts) for cuts in listed]
    counts = cover(wanted, columns, bars, stop)
    return [] if counts is None else [(cuts, times) for cuts, times in zip(listed, counts, strict=True) if times]
