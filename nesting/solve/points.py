"""Normal patterns: the only coordinates at which a cut need be considered.

Any guillotine pattern can be pushed towards its lower left corner until every cut lies at a sum of
part sides (Herz 1972, "A recursive computing procedure for two-dimensional stock cutting"; Christofides
& Whitlock 1977, from memory). Kept as sorted arrays and searched, never one entry per unit of the grid.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np
from numpy.typing import NDArray


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


def bounded_points(copies: Mapping[int, int], limit: int, terms: int | None = None) -> NDArray[np.int64]:
    """Return the sums of sides, each at most as often as there are copies, from 0 to ``limit``, sorted.

    Enough for every pattern that keeps to the demands. ``terms`` (None: any) also limits how many sides a sum may
    have; then good cuts may be missing, and what is computed on the points bounds nothing.

    >>> bounded_points({4: 1, 6: 2}, 20).tolist(), bounded_points({4: 1, 6: 2}, 20, terms=2).tolist()
    ([0, 4, 6, 10, 12, 16], [0, 4, 6, 10, 12])
    """
    fewest = {0: 0}
    for side in sorted(copies):
        for point, used in list(fewest.items()):
            for times in range(1, copies[side] + 1):
                at = point + times * side
                if at > limit or (terms is not None and used + times > terms):
                    break
                if used + times < fewest.get(at, limit + 1):
                    fewest[at] = used + times
    return np.array(sorted(fewest), dtype=np.int64)


def floor_index(points: NDArray[np.int64], at: NDArray[np.int64] | int) -> NDArray[np.int64]:
    """Return the index of the greatest point not above ``at`` (``points`` starts at 0, ``at`` >= 0).

    >>> floor_index(normal_points([4, 6], 11), 9).item()
    3
    """
    return np.asarray(np.searchsorted(points, at, side="right") - 1, dtype=np.int64)
