"""From the decision records of an insertion back to the cutting pattern they describe."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from nesting.solve.kernels import Job
from nesting.solve.pattern import Pattern, Put, Split

FOREIGN = 1 << 20
"""Cell numbers from here on point to a pattern that no insertion made: FOREIGN + its place in a list."""


@dataclass(slots=True)
class _Space:
    """A rectangle of the sheet; cut into two, or holding a part in its lower left corner, or empty."""

    length: int
    width: int
    cut: tuple[Literal["rip", "crosscut"], int, int, int] | None = None  # at, spaces low and high
    part: tuple[Put, int, int] | None = None


class _Sheet:
    """Spaces in the order of their making: a parent before its pieces."""

    def __init__(self, length: int, width: int) -> None:
        self.spaces = [_Space(length, width)]

    def split(self, at: int, cut: Literal["rip", "crosscut"], distance: int) -> tuple[int, int]:
        """Cut a space at ``distance``; return its pieces. A piece of no size is a space all the same."""
        space = self.spaces[at]
        low, high = len(self.spaces), len(self.spaces) + 1
        if cut == "rip":
            self.spaces += [_Space(space.length, distance), _Space(space.length, space.width - distance)]
        else:
            self.spaces += [_Space(distance, space.width), _Space(space.length - distance, space.width)]
        space.cut = (cut, distance, low, high)
        return low, high

    def insert(self, at: int, option: int, put: Put, w: int, h: int) -> tuple[int, int, int, int]:
        """Put a part w × h into space ``at``; return first rest, second rest, its cell, its own rest (0: none)."""
        first, second, cell = 0, 0, at
        space = self.spaces[at]
        if option and space.part is not None:
            held, p, q = space.part
            space.part = None
            if option == 1:
                column, first = self.split(at, "crosscut", max(p, w))
                below, cell = self.split(column, "rip", q)
                corner, second = self.split(below, "crosscut", p)
            elif option == 2:
                below, cell = self.split(at, "rip", q)
                corner, first = self.split(below, "crosscut", p)
            elif option == 3:
                column, cell = self.split(at, "crosscut", p)
                corner, first = self.split(column, "rip", q)
            else:
                row, first = self.split(at, "rip", max(q, h))
                left, cell = self.split(row, "crosscut", p)
                corner, second = self.split(left, "rip", q)
            self.spaces[corner].part = (held, p, q)
        own = 0
        target = self.spaces[cell]
        if w == target.length:
            corner, own = self.split(cell, "rip", h)
            target = self.spaces[corner]
        elif h == target.width:
            corner, own = self.split(cell, "crosscut", w)
            target = self.spaces[corner]
        target.part = (put, w, h)
        return first, second, cell, own

    def pattern(self) -> Pattern:
        """Close open splits so that the larger rest stays whole, drop cuts with a piece of no size, return the tree."""
        made: list[Pattern] = [None] * len(self.spaces)
        for at in range(len(self.spaces) - 1, -1, -1):
            space = self.spaces[at]
            if space.cut is not None:
                cut, distance, low, high = space.cut
                whole = distance == (space.width if cut == "rip" else space.length)
                if whole or distance == 0:
                    made[at] = made[low] if whole else made[high]
                elif made[low] is not None or made[high] is not None:
                    made[at] = Split(cut, distance, made[low], made[high])
            elif space.part is not None:
                made[at] = _close(space, *space.part)
        return made[0]


def _close(space: _Space, put: Put, w: int, h: int) -> Pattern:
    if space.length * (space.width - h) >= (space.length - w) * space.width:
        inner: Pattern = Split("crosscut", w, put, None) if w < space.length else put
        return Split("rip", h, inner, None) if h < space.width else inner
    inner = Split("rip", h, put, None) if h < space.width else put
    return Split("crosscut", w, inner, None)


def pattern_of(job: Job, kind: int, records: list[int]) -> Pattern:
    """Replay the decision records of a sheet of bin ``kind``, see :mod:`nesting.solve.kernels`."""
    n = len(job.length)
    sheet = _Sheet(int(job.bin_length[kind]), int(job.bin_width[kind]))
    cells, number = {0: 0}, 1
    for record in records:
        rest, i = divmod(record, n)
        rest, turn = divmod(rest, 2)
        cell, option = divmod(rest, 5)
        w, h = int(job.length[i]), int(job.width[i])
        if turn:
            w, h = h, w
        first, second, place, own = sheet.insert(cells[cell], option, Put(int(job.kind[i]), bool(turn)), w, h)
        if option:
            cells[number], cells[number + 1], cells[number + 2] = first, second, place
            number += 3
        if own:
            cells[number] = own
            number += 1
    return sheet.pattern()
