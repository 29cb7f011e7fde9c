"""Parts as they may lie in one bin, enlarged by what no other part can use beside them.

If the longest row of other parts that fits beside a part leaves a gap, the part may as well be wider by the
gap: the same sets fit. Boschetti & Mingozzi 2003; Carlier, Clautiaux & Moukrim 2007. Only parts above half the
side are enlarged: two of them never share a row, so all may be enlarged at once.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from nesting.solve.problem import Problem

Ints = NDArray[np.int64]
MOST_BITS = 1 << 20
"""Sides of more units than this (after the common divisor) are not enlarged by sums, only where nothing fits beside."""


@dataclass(frozen=True, slots=True)
class Lying:
    """Sides along x and y of every item in both ways ``[item, way]``, and whether it may lie so."""

    length: int
    width: int
    x: Ints
    y: Ints
    able: NDArray[np.bool_]


def lying(problem: Problem, bin_index: int) -> Lying:
    """Return how the items of a problem may lie in a bin, as they are and turned, without enlarging.

    >>> from nesting.solve.problem import Bin, Item
    >>> lying(Problem((Bin(10, 6, 1),), (Item(7, 3, 1, ((True, True),)),)), 0).able.tolist()
    [[True, False]]
    """
    stock = problem.bins[bin_index]
    x = np.array([(item.length, item.width) for item in problem.items], dtype=np.int64).reshape(-1, 2)
    y = np.ascontiguousarray(x[:, ::-1])
    able = np.array([item.ways[bin_index] for item in problem.items], dtype=bool).reshape(-1, 2)
    able = able & (x <= stock.length) & (y <= stock.width)
    able[:, 1] &= (x[:, 0] != y[:, 0]) | ~able[:, 0]
    return Lying(stock.length, stock.width, x, y, able)


def fitted(problem: Problem) -> Problem:
    """Drop the ways in which an item is larger than the bin, and the turn of a square."""
    items = []
    for item in problem.items:
        ways = tuple(
            (
                as_is and item.length <= stock.length and item.width <= stock.width,
                turned
                and item.width <= stock.length
                and item.length <= stock.width
                and not (as_is and item.length == item.width),
            )
            for (as_is, turned), stock in zip(item.ways, problem.bins, strict=True)
        )
        items.append(replace(item, ways=ways))
    return replace(problem, items=tuple(items))


def enlarged(problem: Problem, bin_index: int) -> Lying:
    """Return how items lie in a bin, with sides above one half enlarged along both axes."""
    plain = lying(problem, bin_index)
    demands = [item.demand for item in problem.items]
    x = _enlarged_side(plain.length, plain.x, plain.able, demands)
    y = _enlarged_side(plain.width, plain.y, plain.able, demands)
    return Lying(plain.length, plain.width, x, y, plain.able)


def _enlarged_side(side: int, sizes: Ints, able: NDArray[np.bool_], demands: list[int]) -> Ints:
    common = math.gcd(side, *(int(size) for size in sizes[able]))
    whole = side // common
    big = able & (2 * sizes > side)
    room = whole - sizes // common
    result = sizes.copy()
    if whole > MOST_BITS:
        least = int(sizes[able].min()) if able.any() else side
        result[big & (room * common < least)] = side
        return result
    most = int(room[big].max()) if big.any() else 0
    reach, mask = 1, (1 << (most + 1)) - 1
    for (a, b), (can_a, can_b), demand in zip(sizes.tolist(), able.tolist(), demands, strict=True):
        steps = {size // common for size, can in ((a, can_a), (b, can_b)) if can and 0 < size // common <= most}
        if not steps:
            continue
        for _ in range(min(demand, most // min(steps))):
            fresh = reach
            for step in steps:
                fresh |= reach << step
            fresh &= mask
            if fresh == reach:
                break
            reach = fresh
    for i, way in zip(*np.nonzero(big), strict=True):
        fits = (reach & ((1 << (int(room[i, way]) + 1)) - 1)).bit_length() - 1
        result[i, way] = (whole - fits) * common
    return result
