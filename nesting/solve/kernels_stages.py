"""Stages of an insertion: how deep the cuts around a part would go, jittable code.

A stage is a run of cuts in one direction. A *cell* (see :mod:`nesting.solve.kernels`) was cut out by so many stages,
the last of them rips or crosscuts; a further cut in that direction is in the same stage, one in the other a stage more.
A part that stays in the corner of a cell must be brought to size there. A blank still needs its bevel rip, with which
its own rip shares a stage, and crosscuts of its bars, which cut off what it lacks along x too.
"""

from __future__ import annotations

from typing import Any

ANY, RIP, CROSSCUT = 0, 1, 2
"""Direction of the last cut (``ANY``: none yet, the cell is the whole bin), or that asked of the first one."""
NEVER = 1 << 20
"""More stages than any limit: no such cut can be made, or there is no limit."""


EVERY = 0b11111
"""All options, as bits."""
DEEPER = 6
"""Stages that a cell takes at most to hold two parts by any option, blanks included."""


def cut_again(depth: int, last: int, cut: int, first: int) -> int:
    """Return the stages after one more cut; :data:`NEVER` if it were the first and has the wrong direction."""
    if last == ANY and first not in (ANY, cut):
        return NEVER
    return depth if last == cut else depth + 1


def brought_to_size(depth: int, last: int, spare_x: int, spare_y: int, blank: int, first: int) -> int:
    """Return the stages after a part is cut out of a space longer and wider by these spares.

    >>> brought_to_size(1, RIP, 5, 3, 0, ANY), brought_to_size(1, RIP, 0, 3, 0, ANY)
    (2, 1)
    """
    if blank:
        if spare_x > 0 and (spare_y == 0 or (last == ANY and first == CROSSCUT)):
            return cut_again(depth, last, CROSSCUT, first) + 2
        return cut_again(depth, last, RIP, first) + 1
    if spare_x > 0 and spare_y > 0:
        return depth + 2 if last == ANY else depth + 1
    if spare_x > 0:
        return cut_again(depth, last, CROSSCUT, first)
    if spare_y > 0:
        return cut_again(depth, last, RIP, first)
    return depth


def cell_beside(
    depth: int, last: int, length: int, width: int, p: int, q: int, w: int, h: int, option: int, first: int
) -> tuple[int, int, int, int]:
    """Return stages, last cut, length and width of the cell that options 1 to 4 leave for a part w × h."""
    if option == 1 or option == 2:  # noqa: PLR1714 - compiled
        if option == 1 and max(p, w) < length:
            depth, last, length = cut_again(depth, last, CROSSCUT, first), CROSSCUT, max(p, w)
        return cut_again(depth, last, RIP, first), RIP, length, width - q
    if option == 4 and max(q, h) < width:
        depth, last, width = cut_again(depth, last, RIP, first), RIP, max(q, h)
    return cut_again(depth, last, CROSSCUT, first), CROSSCUT, length - p, width


def deepest(
    depth: int,
    last: int,
    length: int,
    width: int,
    p: int,
    q: int,
    held: int,
    w: int,
    h: int,
    blank: int,
    option: int,
    first: int,
) -> int:
    """Return the stages of a cell of this size once a part w × h joins the part p × q in its corner by an option.

    ``held`` and ``blank`` say whether the one and the other are blanks.
    """
    if option == 0:
        return brought_to_size(depth, last, length - w, width - h, blank, first)
    depth, last, length, width = cell_beside(depth, last, length, width, p, q, w, h, option, first)
    over_x, over_y = (length - p, 0) if last == RIP else (0, width - q)
    corner = brought_to_size(depth, last, over_x, over_y, held, first)
    return max(corner, brought_to_size(depth, last, length - w, width - h, blank, first))


def options_within(
    depth: int,
    last: int,
    length: int,
    width: int,
    p: int,
    q: int,
    held: int,
    w: int,
    h: int,
    blank: int,
    most: int,
    first: int,
) -> int:
    """Return the options by which a part w × h may join a cell under the limits, as bits."""
    if depth + DEEPER <= most and (last != ANY or first == ANY):
        return EVERY
    able = 0
    for option in range(1 if p else 0, 5 if p else 1):
        if deepest(depth, last, length, width, p, q, held, w, h, blank, option, first) <= most:
            able |= 1 << option
    return able


def count_stages(
    stages: Any,
    lasts: Any,
    depth: int,
    last: int,
    length: int,
    width: int,
    p: int,
    q: int,
    w: int,
    h: int,
    option: int,
) -> None:
    """Note stages and last cut of the cells that a part w × h makes of a cell: its own, the first and second rest."""
    if option:
        depth, last, length, width = cell_beside(depth, last, length, width, p, q, w, h, option, ANY)
        lasts[1] = lasts[2] = CROSSCUT if last == RIP else RIP
        stages[1] = depth - 1 if option == 1 or option == 4 else depth + 1  # noqa: PLR1714 - cut off before it, or below
        stages[2] = depth + 1
    if w == length:
        depth, last = cut_again(depth, last, RIP, ANY), RIP
    elif h == width:
        depth, last = cut_again(depth, last, CROSSCUT, ANY), CROSSCUT
    stages[0], lasts[0] = depth, last
