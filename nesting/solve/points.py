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


def bounded_points(copies: Mapping[int, int], limit: int, most: int = MOST_SUMS) -> tuple[NDArray[np.int64], bool]:
    """Return the sums of sides, each at most as often as there are copies, up to ``limit``, sorted; and if it is all.

    All of them are enough for every pattern that keeps to the demands. Where there are more than about ``most``, some
    are left out, evenly (see :func:`thinned`).

    >>> points, every = bounded_points({4: 1, 6: 2}, 20)
    >>> points.tolist(), every
    ([0, 4, 6, 10, 12, 16], True)
    """
    points, every = np.zeros(1, dtype=np.int64), True
    for side in sorted(copies):
        times = np.arange(min(copies[side], limit // side) + 1, dtype=np.int64)
        sums = np.unique(points + side * times[:, None])
        points = sums[sums <= limit]
        if points.size > most:
            points, every = thinned(points, (), most), False
    sides = [side for side in copies if side <= limit]
    return (points, True) if every else (np.union1d(points, sides).astype(np.int64), False)


def thinned(points: NDArray[np.int64], kept: Iterable[int], most: int) -> NDArray[np.int64]:
    """Return about ``most`` of the points, evenly chosen, the first and the last and all of ``kept`` among them.

    Patterns at fewer points are patterns all the same, a little more wasteful; what they are worth bounds nothing.

    >>> thinned(np.arange(0, 90, 10), [30, 95], 3).tolist()
    [0, 30, 40, 80]
    """
    if points.size > most:
        chosen = points[np.linspace(0, points.size - 1, max(2, most)).round().astype(np.int64)]
        points = np.union1d(chosen, [at for at in kept if at <= points[-1]]).astype(np.int64)
    return points


def floor_index(points: NDArray[np.int64], at: NDArray[np.int64] | int) -> NDArray[np.int64]:
    """Return the index of the greatest point not above ``at`` (``points`` starts at 0, ``at`` >= 0).

    >>> floor_index(normal_points([4, 6], 11), 9).item()
    3
    """
    return np.asarray(np.searchsorted(points, at, side="right") - 1, dtype=np.int64)
