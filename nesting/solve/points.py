"""Normal patterns: the only coordinates at which a cut need be considered.

Any guillotine pattern can be pushed towards its lower left corner until every cut lies at a sum of
part sides (Herz 1972, "A recursive computing procedure for two-dimensional stock cutting"; Christofides
& Whitlock 1977, from memory). Kept as sorted arrays and searched, never one entry per unit of the grid.
"""

from __future__ import annotations

from collections.abc import Iterable

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


def floor_index(points: NDArray[np.int64], at: NDArray[np.int64] | int) -> NDArray[np.int64]:
    """Return the index of the greatest point not above ``at`` (``points`` starts at 0, ``at`` >= 0).

    >>> floor_index(normal_points([4, 6], 11), 9).item()
    3
    """
    return np.asarray(np.searchsorted(points, at, side="right") - 1, dtype=np.int64)
