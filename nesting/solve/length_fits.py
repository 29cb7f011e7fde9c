"""Plans of bars without a linear program: each piece into the fullest bar, or bar after bar as full as can be."""

from __future__ import annotations

from bisect import bisect_left, insort
from collections import Counter
from collections.abc import Sequence
from typing import Any

import numpy as np

from nesting.solve.length_program import Cuts, Program
from nesting.solve.stop import Stop

LONGER = 1.05
"""Power of a piece's length in what it is worth where bars are filled one after another."""


def best_fit(sizes: Any, room: int, wanted: Sequence[int], begun: Sequence[Cuts] = ()) -> list[Cuts]:
    """Cut the longest piece first, each from the bar it fills most (best fit decreasing), bars ``begun`` among them.

    >>> best_fit([6, 4], 10, [1, 2], [((0, 1),)])
    [((0, 1), (1, 1)), ((0, 1), (1, 1))]
    """
    contents = [Counter(dict(cuts)) for cuts in begun]
    rooms = sorted(
        (room - sum(int(sizes[i]) * pieces for i, pieces in cuts), at) for at, cuts in enumerate(begun)
    )  # room left and bar, by room
    for i in sorted(range(len(wanted)), key=lambda i: -int(sizes[i])):
        size = int(sizes[i])
        for _ in range(wanted[i]):
            place = bisect_left(rooms, (size, -1))
            if place < len(rooms):
                left, at = rooms.pop(place)
            else:
                left, at = room, len(contents)
                contents.append(Counter())
            insort(rooms, (left - size, at))
            contents[at][i] += 1
    return [tuple(sorted(content.items())) for content in contents]


def fullest(program: Program, wanted: Sequence[int], stop: Stop) -> list[Cuts] | None:
    """Fill bar after bar as full as can be, longer pieces preferred; ``None`` where time was up.

    After Gupta & Ho 1999, "A new heuristic algorithm for the one-dimensional bin-packing problem", from memory; here
    the fullest bar comes from the knapsack, and longer pieces count a little more.
    """
    worths = (program.unit * (program.sizes / program.room) ** LONGER).round().astype(np.int32)
    left, made = np.array(wanted, dtype=np.int64), list[Cuts]()
    while left.any():
        if stop.reached():
            return None
        cuts = program.best(worths, left)
        times = min(int(left[i]) // pieces for i, pieces in cuts)
        made += [cuts] * times
        for i, pieces in cuts:
            left[i] -= pieces * times
    return made
