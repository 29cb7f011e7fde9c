"""Pairs of pieces by length, for bars that hold four at most (``kernels_pairs.py``)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from nesting.solve.kernels_pairs import NOTHING, PLACES

PAIRED = 40
"""Bars of four pieces at most come from pairs if their room, in units of the grid, is more than so often the pieces."""


@dataclass(frozen=True, slots=True)
class Pairs:
    """Pieces of one bar, copies of a size beside each other, then those of no length, and pairs of them by length."""

    parts: Any
    lengths: Any
    ranks: Any

    @classmethod
    def of(cls, sizes: Any, copies: Any, room: int) -> Pairs:
        """Return all pairs, none where a bar holds more pieces or is not long enough for pairs to pay."""
        shortest = np.cumsum(np.repeat(sizes[::-1], copies[::-1]))
        if (shortest <= room).sum() > PLACES or room <= PAIRED * shortest.size:
            nothing = np.zeros(0, dtype=np.int64)
            return cls(nothing, nothing, nothing.reshape(0, 0))
        parts = np.repeat(np.arange(sizes.size), np.minimum(copies, PLACES))
        length = np.concatenate((sizes[parts], np.zeros(NOTHING, dtype=np.int64)))
        first, second = np.triu_indices(length.size, 1)
        order = np.argsort(length[first] + length[second], kind="stable")
        ranks = np.zeros((length.size, length.size), dtype=np.int64)
        ranks[first[order], second[order]] = np.arange(order.size)
        return cls(np.concatenate((parts, np.full(NOTHING, -1))), np.sort(length[first] + length[second]), ranks)
