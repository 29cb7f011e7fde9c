"""Blocks for the beam search: parts alone, copies on top of one another, and pairs of parts of nearly the same width.

Blocks of several pieces as units of a search: Eley 2002, "Solving container loading problems by block arrangement"
(from memory, there for boxes in containers). Here a block's parts are stacked across the direction in which a bin's
columns follow one another, so that a row of blocks holds at most one further cut within each.
"""

from __future__ import annotations

import random
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np

from nesting.solve.kernels_beam import FIRST_COPIES, SECOND_COPIES
from nesting.solve.problem import Item, Problem

MOST_PAIRS = 1500
"""Pairs of a direction at most; those that waste least."""
MOST_STACKED = 6


@dataclass(frozen=True, slots=True)
class Piece:
    """An item as it lies in the frame of a direction: sides along and across."""

    item: int
    turned: bool
    along: int
    across: int


@dataclass(frozen=True, slots=True)
class Blocks:
    """Blocks as the kernels want them, see :mod:`nesting.solve.kernels_beam`, and what each is made of.

    ``spans[b, d]`` are those of bin b in direction d, ``sides[b, d]`` the sides of that bin along and across;
    ``lowest[k]`` and ``highest[k]`` say which of ``parts`` is at the bottom and at the top of block k.
    """

    fields: Any
    worth: Any
    spans: Any
    sides: Any
    parts: tuple[Piece, ...]
    lowest: Any
    highest: Any

    def stack(self, block: int) -> tuple[Piece, ...]:
        """Return the parts of a block from low to high."""
        low, high = self.parts[self.lowest[block]], self.parts[self.highest[block]]
        return (low,) * int(self.fields[block, FIRST_COPIES]) + (high,) * int(self.fields[block, SECOND_COPIES])


def blocks_of(problem: Problem, bins: Iterable[int], seed: int, noise: float, pair_waste: float) -> Blocks:
    """Return the blocks for some bins of a problem without bars; worths are areas with log-normal noise.

    ``noise``: its deviation; ``pair_waste``: share of a pair that may be wasted beside its narrower part.

    >>> from nesting.solve.problem import Bin
    >>> job = Problem((Bin(10, 9, 1),), (Item(4, 3, 2, ((True, False),)), Item(4, 5, 1, ((True, False),))))
    >>> found = blocks_of(job, [0], 1, 0.0, 0.1)
    >>> [tuple((part.along, part.across) for part in found.stack(block)) for block in range(len(found.worth))]
    [((4, 3),), ((4, 5),), ((4, 3), (4, 3)), ((4, 3), (4, 5)), ((3, 4),), ((5, 4),), ((3, 4), (3, 4))]
    """
    rng = random.Random(seed)
    largest = max(stock.length * stock.width for stock in problem.bins)
    worths = np.array([item.length * item.width / largest * rng.lognormvariate(0.0, noise) for item in problem.items])
    demands = np.array([item.demand for item in problem.items], dtype=np.int64)
    spans = np.zeros((len(problem.bins), 2, 2), dtype=np.int64)
    sides = np.zeros((len(problem.bins), 2, 2), dtype=np.int64)
    parts: list[Piece] = []
    made: list[Any] = []
    total = 0
    for b in sorted(set(bins)):
        stock = problem.bins[b]
        for direction, (length, width) in enumerate(((stock.length, stock.width), (stock.width, stock.length))):
            sides[b, direction] = length, width
            lying = [
                part
                for index, item in enumerate(problem.items)
                if item.demand
                for part in _ways(index, item, b, direction)
                if part.along <= length and part.across <= width
            ]
            found = _stacks(lying, demands, width, pair_waste)
            found[:, :2] += len(parts)
            parts += lying
            made.append(found)
            spans[b, direction] = total, total + len(found)
            total += len(found)
    rows = np.concatenate(made)
    items = np.array([part.item for part in parts], dtype=np.int64)
    along = np.array([part.along for part in parts], dtype=np.int64)
    across = np.array([part.across for part in parts], dtype=np.int64)
    low, top, first, second = rows.T
    area, worth = along * across, worths[items]
    fields = np.stack(
        [
            along[low],
            first * across[low] + second * across[top],
            items[low],
            first,
            items[top],
            second,
            first * area[low] + second * area[top],
        ],
        axis=1,
    )
    return Blocks(fields, first * worth[low] + second * worth[top], spans, sides, tuple(parts), low, top)


def _ways(index: int, item: Item, bin_index: int, direction: int) -> list[Piece]:
    """List how an item may lie in a bin, in the frame of a direction."""
    straight, turned = item.ways[bin_index]
    ways = [False] * straight + [True] * (turned and (item.length != item.width or not straight))
    return [
        Piece(index, way, *((item.width, item.length) if way != bool(direction) else (item.length, item.width)))
        for way in ways
    ]


def _stacks(lying: list[Piece], demands: Any, width: int, pair_waste: float) -> Any:
    """List blocks that a width takes: bottom and top part, and copies of each; of pairs the wider one below."""
    along = np.array([part.along for part in lying], dtype=np.int64)
    across = np.array([part.across for part in lying], dtype=np.int64)
    item = np.array([part.item for part in lying], dtype=np.int64)
    found = []
    for copies in range(1, MOST_STACKED + 1):
        some = np.flatnonzero((demands[item] >= copies) & (copies * across <= width))
        found.append(np.stack([some, some, np.full(some.size, copies), np.zeros_like(some)], axis=1))
    if pair_waste >= 0:
        high = across[:, None] + across[None, :]
        wasted = (along[:, None] - along[None, :]) * across[None, :] / (along[:, None] * high)
        wider = (along[:, None] > along[None, :]) | np.tri(len(lying), k=-1, dtype=bool).T & (
            along[:, None] == along[None, :]
        )
        able = wider & (item[:, None] != item[None, :]) & (high <= width) & (wasted <= pair_waste)
        low, top = np.nonzero(able)
        best = np.argsort(wasted[low, top], kind="stable")[:MOST_PAIRS]
        ones = np.ones_like(best)
        found.append(np.stack([low[best], top[best], ones, ones], axis=1))
    return np.concatenate(found)
