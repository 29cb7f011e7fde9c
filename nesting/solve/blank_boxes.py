"""The boxes of blanks: how long and wide the blank of every multiset of cleats is, and what its halves hold."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from nesting.solve.bars import narrowest
from nesting.solve.problem import Problem

MOST_BLANKS = 200_000
"""Pairs of bars at most."""


@dataclass(frozen=True, slots=True)
class Cleats:
    """Cleats alike: a type's number, the kind and inflated length of its cleats, and how many there are."""

    type: int
    kind: int
    length: int
    copies: int


@dataclass(frozen=True, slots=True)
class Halves:
    """A blank's sides, and the types of the cleats in its bars; ``high`` is ``None`` where there is but one."""

    length: int
    width: int
    low: tuple[int, ...]
    high: tuple[int, ...] | None


def blanks_held(problem: Problem, cleats: Sequence[Cleats]) -> list[Halves] | None:
    """List the blanks that some of the cleats may come from, each multiset in all its divisions into two bars.

    A blank is as wide as where it may be narrowest. ``None`` where there are too many.

    >>> from nesting.solve.problem import Bin, BlankWidth
    >>> rows = ((BlankWidth(0, None, 4), BlankWidth(0, 0, 6)),)
    >>> for halves in blanks_held(Problem((Bin(50, 48, 1),), (), blanks=rows), [Cleats(7, 0, 20, 2)]):
    ...     print(halves)
    Halves(length=20, width=4, low=(7,), high=None)
    Halves(length=40, width=4, low=(7, 7), high=None)
    Halves(length=20, width=6, low=(7,), high=(7,))
    """
    widths = narrowest(problem) if cleats else {}
    longest = max(stock.length for stock in problem.bins)
    copies = {some.type: some.copies for some in cleats}
    kinds = sorted({some.kind for some in cleats})
    bars = {kind: list(_bars([some for some in cleats if some.kind == kind], longest)) for kind in kinds}
    if any(len(bars[one]) * len(bars[two]) > MOST_BLANKS for one in kinds for two in kinds):
        return None
    alone = [kind for kind in kinds if (kind, None) in widths]
    found = [Halves(long, widths[kind, None], bar, None) for kind in alone for long, bar in bars[kind]]
    for (low, high), width in widths.items():
        if high is None or low not in bars or high not in bars:
            continue
        for long, one in bars[low]:
            for short, two in bars[high]:
                if low == high and (short, two) > (long, one):
                    continue
                both = one + two
                if low != high or all(both.count(each) <= copies[each] for each in set(both)):
                    found.append(Halves(max(long, short), width, one, two))
    return found


def _bars(cleats: Sequence[Cleats], longest: int) -> Iterator[tuple[int, tuple[int, ...]]]:
    """Yield the length and the types of every bar that some cleats of one kind make, none empty."""
    stack: list[tuple[int, int, tuple[int, ...]]] = [(0, 0, ())]
    while stack:
        at, length, bar = stack.pop()
        if at == len(cleats):
            if bar:
                yield length, bar
            continue
        some = cleats[at]
        for copies in range(some.copies, -1, -1):
            if length + copies * some.length <= longest:
                stack.append((at + 1, length + copies * some.length, bar + (some.type,) * copies))
