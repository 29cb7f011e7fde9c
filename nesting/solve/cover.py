"""Buying enough: the cheapest counts of stocks that meet several needs at once.

A need says how much of something every stock offers and how much is asked for in all. Prices and counts are
integers, so the answer is a total that a purchase can really have, not a fraction of a sheet.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from nesting.solve.problem import Bin

GRID = 1_000_000
"""Most combinations of counts looked at; beyond, each need is relaxed to fractions of stocks."""
FINE = 2**31


@dataclass(frozen=True, slots=True)
class Need:
    """``offers[b]`` of bin b at most, ``asked`` in all; ``kind`` names the method it comes from."""

    offers: tuple[int, ...]
    asked: int
    kind: str

    def share(self) -> Fraction:
        """How many of the largest offer are asked for."""
        return Fraction(self.asked, max(1, *self.offers))


def cheapest(bins: Sequence[Bin], needs: Sequence[Need]) -> int | None:
    """Return the least total cost of counts within the limits that meet all needs, or a bound of it if many.

    ``None`` where no counts meet them.

    >>> bins = (Bin(96, 48, 60), Bin(48, 48, 35))
    >>> cheapest(bins, [Need((2, 1), 5, "area")])
    155
    """
    needs = [need for need in needs if need.asked > 0]
    most = []
    for b, stock in enumerate(bins):
        useful = max((-(-need.asked // need.offers[b]) for need in needs if need.offers[b] > 0), default=0)
        most.append(useful if stock.limit is None else min(useful, stock.limit))
    if any(sum(o * m for o, m in zip(need.offers, most, strict=True)) < need.asked for need in needs):
        return None
    if not needs:
        return 0
    last = max(range(len(bins)), key=lambda b: most[b])
    others = [b for b in range(len(bins)) if b != last]
    if math.prod(most[b] + 1 for b in others) > GRID:
        return max(_relaxed(bins, most, need) for need in needs)
    axes = np.meshgrid(*(np.arange(most[b] + 1) for b in others), indexing="ij", sparse=True)
    shape = tuple(most[b] + 1 for b in others)
    counts = np.zeros(shape, dtype=np.int64)
    short = np.zeros(shape, dtype=bool)
    for need in map(_coarse, needs):
        left = np.full(shape, need.asked, dtype=np.int64)
        for b, axis in zip(others, axes, strict=True):
            left = left - need.offers[b] * axis
        if need.offers[last] > 0:
            counts = np.maximum(counts, -(-left // need.offers[last]))
        else:
            short |= left > 0
    cost = counts * bins[last].cost
    for b, axis in zip(others, axes, strict=True):
        cost = cost + bins[b].cost * axis
    able = ~short & (counts <= most[last])
    return int(cost[able].min()) if able.any() else None


def _coarse(need: Need) -> Need:
    """Scale a need so that products with counts fit in 64 bits; offers are rounded up, so it stays valid."""
    largest = max(need.offers)
    if largest <= FINE:
        return need
    offers = tuple(-(-offer * FINE // largest) for offer in need.offers)
    return Need(offers, need.asked * FINE // largest, need.kind)


def _relaxed(bins: Sequence[Bin], most: Sequence[int], need: Need) -> int:
    """Buy fractions of stocks, the cheapest by what they offer first; round up to what prices can add up to."""
    usable = [b for b in range(len(bins)) if need.offers[b] > 0 and most[b] > 0]
    left, cost = Fraction(need.asked), Fraction(0)
    for b in sorted(usable, key=lambda b: Fraction(bins[b].cost, need.offers[b])):
        bought = min(Fraction(most[b]), left / need.offers[b])
        cost += bought * bins[b].cost
        left -= bought * need.offers[b]
        if left <= 0:
            break
    return reachable(bins, math.ceil(cost))


def reachable(bins: Sequence[Bin], cost: int) -> int:
    """Round a cost up to a multiple of what all prices have in common.

    >>> reachable((Bin(1, 1, 60), Bin(1, 1, 35)), 71)
    75
    """
    common = math.gcd(*(stock.cost for stock in bins))
    return -(-cost // common) * common if common else cost
