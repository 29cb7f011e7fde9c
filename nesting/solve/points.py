"""Normal patterns: the only coordinates at which a cut need be considered.

Any guillotine pattern can be pushed towards its lower left corner until every cut lies at a sum of
part sides (Herz 1972, "A recursive computing procedure for two-dimensional stock cutting"; Christofides
& Whitlock 1977, from memory). Kept as sorted arrays and searched, never one entry per unit of the grid.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np
from numpy.typing import NDArray

MOST_SUMS = 200_000
FEW_TERMS = 3


def normal_points(sides: Iterable[int], limit: int) -> NDArray[np.int64]:
    """Return all sums of ``sides`` (each any number of times) from 0 to ``limit``, sorted.

    >>> normal_points([4, 6], 11).tolist()
    [0, 4, 6, 8, 10]
    """
    reached = {0}
    for side in sorted(set(sides)):
        fresh = reached
        while fresh:
            fresh = {point + side for point in fresh if point + side <= limit} - reached
            reached |= fresh
    return np.array(sorted(reached), dtype=np.int64)


def bounded_points(
    copies: Mapping[int, int], limit: int, most: int = MOST_SUMS
) -> tuple[NDArray[np.int64], NDArray[np.int64], bool]:
    """Return the sums of sides, each at most as often as there are copies, up to ``limit``, sorted; and their terms.

    All of them are enough for every pattern that keeps to the demands. The second array holds the fewest sides that
    make each sum, so that sums of few sides can be picked out. Where there are more than ``most`` sums, those of more
    than :data:`FEW_TERMS` sides are left out, and the third value is false.

    >>> points, terms, every = bounded_points({4: 1, 6: 2}, 20)
    >>> points.tolist(), terms.tolist(), every
    ([0, 4, 6, 10, 12, 16], [0, 1, 1, 2, 2, 3], True)
    """
    every = True
    points, terms = np.zeros(1, dtype=np.int64), np.zeros(1, dtype=np.int64)
    for side in sorted(copies):
        times = np.arange(min(copies[side], limit // side) + 1, dtype=np.int64)
        sums, used = (points + side * times[:, None]).ravel(), (terms + times[:, None]).ravel()
        kept = sums <= limit
        sums, used = sums[kept], used[kept]
        order = np.lexsort((used, sums))
        sums, used = sums[order], used[order]
        fresh = np.append(True, sums[1:] != sums[:-1])
        points, terms = sums[fresh], used[fresh]
        if points.size > most:
            few, every = terms <= FEW_TERMS, False
            points, terms = points[few], terms[few]
    return points, terms, every


def floor_index(points: NDArray[np.int64], at: NDArray[np.int64] | int) -> NDArray[np.int64]:
    """Return the index of the greatest point not above ``at`` (``points`` starts at 0, ``at`` >= 0).

    >>> floor_index(normal_points([4, 6], 11), 9).item()
    3
    """
    return np.asarray(np.searchsorted(points, at, side="right") - 1, dtype=np.int64)
