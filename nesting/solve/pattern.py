"""Cutting patterns as the solver builds them: binary guillotine trees on the inflated integer grid."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

Cut: TypeAlias = Literal["rip", "crosscut"]
OTHER: dict[Cut, Cut] = {"rip": "crosscut", "crosscut": "rip"}


@dataclass(frozen=True, slots=True)
class Put:
    """An item filling its space exactly (to the kerf); ``turned``: its length lies along y."""

    item: int
    turned: bool = False


@dataclass(frozen=True, slots=True)
class Strip:
    """A blank filling its space's width exactly: bars ``low`` and ``high`` of the given kinds, in order along x.

    ``high`` is ``None`` for a lone cleat's strip; what the bars leave of the length is waste.
    """

    blank: int
    low: tuple[int, ...]
    high: tuple[int, ...] | None


@dataclass(frozen=True, slots=True)
class Split:
    """A cut ``at`` this inflated distance from the low edge of the space: rips part y, crosscuts part x."""

    cut: Cut
    at: int
    low: Pattern
    high: Pattern


Pattern: TypeAlias = "Put | Strip | Split | None"
"""``None`` is a rest: nothing is made of this space."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """One bin used and how it is cut."""

    bin: int
    pattern: Pattern


Plan: TypeAlias = tuple[Sheet, ...]


def leaves(pattern: Pattern) -> Iterator[Put | Strip]:
    """Yield the items and strips of a pattern, low side first."""
    stack = [pattern]
    while stack:
        node = stack.pop()
        if isinstance(node, Split):
            stack += (node.high, node.low)
        elif node is not None:
            yield node


def contents(pattern: Pattern) -> tuple[Counter[int], Counter[int]]:
    """Count the items and the bars of a pattern.

    >>> contents(Split("rip", 5, Put(0), Put(0, turned=True)))[0]
    Counter({0: 2})
    """
    items: Counter[int] = Counter()
    bars: Counter[int] = Counter()
    for leaf in leaves(pattern):
        if isinstance(leaf, Put):
            items[leaf.item] += 1
        else:
            bars.update(leaf.low)
            bars.update(leaf.high or ())
    return items, bars


def in_turn(cut: Cut, shares: Sequence[int], patterns: Sequence[Pattern], side: int) -> Pattern:
    """Cut a space into shares one after another, from the low edge of a side; what is left is a rest.

    >>> in_turn("rip", [3, 4], [Put(0), Put(1)], 7)
    Split(cut='rip', at=3, low=Put(item=0, turned=False), high=Put(item=1, turned=False))
    """
    pattern: Pattern = None
    left = side - sum(shares)
    for share, low in zip(reversed(shares), reversed(patterns), strict=True):
        pattern = Split(cut, share, low, pattern) if left else low
        left += share
    return pattern
