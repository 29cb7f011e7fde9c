"""From the decision records of an insertion back to the cutting pattern they describe.

Where stages are limited, a part is brought to size first by the cut that is in the stage of the cut before, and a blank
by a rip alone: the crosscuts of its bars take off what it lacks along x.
"""

from __future__ import annotations

from dataclasses import dataclass

from nesting.solve.kernels import Job
from nesting.solve.kernels_stages import ANY, CROSSCUT, RIP
from nesting.solve.pattern import Cut, Pattern, Put, Split

FOREIGN = 1 << 20
"""Cell numbers from here on point to a pattern that no insertion made: FOREIGN + its place in a list."""


@dataclass(slots=True)
class _Space:
    """A rectangle of the sheet; cut into two, or holding a part in its lower left corner, or empty."""

    length: int
    width: int
    last: int = ANY  # the cut that made it
    cut: tuple[Cut, int, int, int] | None = None  # at, spaces low and high
    part: _Part | None = None


@dataclass(frozen=True, slots=True)
class _Part:
    put: Put
    w: int
    h: int
    blank: bool


class _Sheet:
    """Spaces in the order of their making: a parent before its pieces."""

    def __init__(self, job: Job, kind: int) -> None:
        self.job = job
        self.limited = job.limits[0] > 0
        self.spaces = [_Space(int(job.bin_length[kind]), int(job.bin_width[kind]))]

    def split(self, at: int, cut: Cut, distance: int) -> tuple[int, int]:
        """Cut a space at ``distance``; return its pieces. A piece of no size is a space all the same."""
        space = self.spaces[at]
        low, high = len(self.spaces), len(self.spaces) + 1
        if cut == "rip":
            last = space.last if distance in (0, space.width) else RIP
            self.spaces += [_Space(space.length, distance, last), _Space(space.length, space.width - distance, last)]
        else:
            last = space.last if distance in (0, space.length) else CROSSCUT
            self.spaces += [_Space(distance, space.width, last), _Space(space.length - distance, space.width, last)]
        space.cut = (cut, distance, low, high)
        return low, high

    def insert(self, at: int, option: int, part: _Part) -> tuple[int, int, int, int]:
        """Put a part into space ``at``; return first rest, second rest, its cell, its own rest (0: none)."""
        first, second, cell, w, h = 0, 0, at, part.w, part.h
        space = self.spaces[at]
        if option and space.part is not None:
            held = space.part
            p, q, space.part = held.w, held.h, None
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
            self.spaces[corner].part = held
        own = 0
        target = self.spaces[cell]
        if w == target.length:
            corner, own = self.split(cell, "rip", h)
            target = self.spaces[corner]
        elif h == target.width:
            corner, own = self.split(cell, "crosscut", w)
            target = self.spaces[corner]
        target.part = part
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
                made[at] = self.close(space, space.part)
        return made[0]

    def close(self, space: _Space, part: _Part) -> Pattern:
        """Cut a part out of a space: first what leaves the larger rest, or as the limits want it."""
        cuts: list[tuple[Cut, int, bool]] = [
            ("rip", part.h, part.h < space.width),
            ("crosscut", part.w, part.w < space.length),
        ]
        if self.limited:
            first = int(self.job.limits[1]) if space.last == ANY else ANY
            crosscut_first = (space.last or first) == CROSSCUT
            if part.blank and part.h < space.width and first != CROSSCUT:
                del cuts[1]  # its bars' crosscuts take that off
        else:
            crosscut_first = space.length * (space.width - part.h) < (space.length - part.w) * space.width
        if not crosscut_first:
            cuts.reverse()
        pattern: Pattern = part.put
        for cut, at, needed in cuts:  # innermost first
            if needed:
                pattern = Split(cut, at, pattern, None)
        return pattern


def pattern_of(job: Job, kind: int, records: list[int]) -> Pattern:
    """Replay the decision records of a sheet of bin ``kind``, see :mod:`nesting.solve.kernels`."""
    n = len(job.length)
    sheet = _Sheet(job, kind)
    cells, number = {0: 0}, 1
    for record in records:
        rest, i = divmod(record, n)
        rest, turn = divmod(rest, 2)
        cell, option = divmod(rest, 5)
        w, h = int(job.length[i]), int(job.width[i])
        if turn:
            w, h = h, w
        part = _Part(Put(int(job.kind[i]), bool(turn)), w, h, bool(job.blank[i]))
        first, second, place, own = sheet.insert(cells[cell], option, part)
        if option:
            cells[number], cells[number + 1], cells[number + 2] = first, second, place
            number += 3
        if own:
            cells[number] = own
            number += 1
    return sheet.pattern()
