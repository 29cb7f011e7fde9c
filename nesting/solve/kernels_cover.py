"""Exact cover of pieces by patterns in jittable code: a search in depth, the scarcest size first.

Algorithm X of Knuth 2000, "Dancing links", from memory, for pieces wanted several times: always the size that the
fewest patterns left can give is served next, and a pattern tried in vain is left out as long as what was fixed before
it stands. Departures: counts instead of links, since a pattern goes out by what is left of a size, not by its touch
alone; and a budget of waste.

``starts[p]`` to ``starts[p + 1]`` are the places of pattern p in ``inside`` (sizes) and ``copies`` (pieces of each);
``holds[i]`` to ``holds[i + 1]`` those of size i in ``holders`` (patterns, in the order they are tried) and ``held``
(pieces in each).
"""

from __future__ import annotations

from typing import Any

import numpy as np

NONE, UNDECIDED = -1, -2
"""What :func:`cover` returns where no choice of patterns will do, and where its steps were over."""


def bar(pattern: int, starts: Any, inside: Any, barred: Any, free: Any) -> None:
    """Bar a pattern once more; barred for the first time it is one less for each of its sizes."""
    barred[pattern] += 1
    if barred[pattern] == 1:
        for at in range(starts[pattern], starts[pattern + 1]):
            free[inside[at]] -= 1


def unbar(pattern: int, starts: Any, inside: Any, barred: Any, free: Any) -> None:
    """Take one :func:`bar` back."""
    barred[pattern] -= 1
    if barred[pattern] == 0:
        for at in range(starts[pattern], starts[pattern + 1]):
            free[inside[at]] += 1


def cover(
    starts: Any, inside: Any, copies: Any, holds: Any, holders: Any, held: Any, waste: Any,
    wanted: Any, ranks: Any, spare: int, most_steps: int, chosen: Any,
) -> int:  # fmt: skip
    """Choose patterns that give exactly what is wanted and waste ``spare`` in all at most; return how many.

    ``chosen`` takes them and says how many there may be. Of sizes equally scarce that of the lowest rank is served.
    """
    left = wanted.copy()
    barred = np.zeros(starts.size - 1, dtype=np.int64)
    free = holds[1:] - holds[:-1]
    for i in range(left.size):
        for h in range(holds[i], holds[i + 1]):
            if held[h] > left[i]:
                bar(holders[h], starts, inside, barred, free)
    trail = np.zeros(starts.size, dtype=np.int64)
    served, place, below = np.zeros((3, chosen.size + 1), dtype=np.int64)
    top, depth, fresh = 0, 0, True
    for _ in range(most_steps):
        if fresh:
            scarcest = -1
            for i in range(left.size):
                if left[i] > 0 and (
                    scarcest < 0
                    or free[i] < free[scarcest]
                    or (free[i] == free[scarcest] and ranks[i] < ranks[scarcest])
                ):
                    scarcest = i
            if scarcest < 0:
                return depth
            served[depth], place[depth], below[depth] = scarcest, holds[scarcest], top
            fresh = False
        end = holds[served[depth] + 1]
        h = place[depth]
        if free[served[depth]] == 0 or depth == chosen.size:
            h = end
        while h < end and (barred[holders[h]] > 0 or waste[holders[h]] > spare):
            h += 1
        if h < end:
            pattern = holders[h]
            place[depth], chosen[depth] = h, pattern
            depth, fresh = depth + 1, True
            spare -= waste[pattern]
            for at in range(starts[pattern], starts[pattern + 1]):
                i = inside[at]
                left[i] -= copies[at]
                for k in range(holds[i], holds[i + 1]):
                    if left[i] < held[k] <= left[i] + copies[at]:
                        bar(holders[k], starts, inside, barred, free)
            continue
        while top > below[depth]:
            top -= 1
            unbar(trail[top], starts, inside, barred, free)
        if depth == 0:
            return NONE
        depth -= 1
        pattern = chosen[depth]
        spare += waste[pattern]
        for at in range(starts[pattern], starts[pattern + 1]):
            i = inside[at]
            for k in range(holds[i], holds[i + 1]):
                if left[i] < held[k] <= left[i] + copies[at]:
                    unbar(holders[k], starts, inside, barred, free)
            left[i] += copies[at]
        bar(pattern, starts, inside, barred, free)
        trail[top] = pattern
        top += 1
    return UNDECIDED
