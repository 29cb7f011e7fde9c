"""How many stages a pattern is cut in, so that plans found without a limit can be kept where they meet it.

A stage is a run of cuts in one direction: rips, then crosscuts of what they gave, then rips again. What a piece lacks
of its space in the direction of the last cut is cut off in the same stage; in the other direction that is a stage more.
"""

from __future__ import annotations

from nesting.solve.pattern import Cut, Pattern, Put, Strip
from nesting.solve.problem import Problem
from nesting.solve.rests import extent


def stages_of(problem: Problem, kind: int, pattern: Pattern) -> tuple[Cut | None, int]:
    """Return the direction of the first cut of a bin, if there is one, and the stages of its pattern.

    Cuts lie as low as the pieces below allow; those that bring pieces to size count too.

    >>> from nesting.solve.pattern import Split
    >>> from nesting.solve.problem import Bin, Item
    >>> job = Problem((Bin(10, 10, 1),), (Item(10, 4, 1, ((True, False),)), Item(5, 6, 1, ((True, False),))))
    >>> stages_of(job, 0, Split("rip", 4, Put(0), Put(1)))
    ('rip', 2)
    """
    stock = problem.bins[kind]
    return _stages(problem, kind, pattern, stock.length, stock.width, None)


def keeps_stages(problem: Problem, kind: int, pattern: Pattern) -> bool:
    """Whether a pattern of a bin meets the limit on stages and the direction asked of the first cut."""
    first, count = stages_of(problem, kind, pattern)
    return problem.first_cut in ("any", first or problem.first_cut) and count <= (problem.max_stages or count)


def _stages(
    problem: Problem, kind: int, pattern: Pattern, length: int, width: int, last: Cut | None
) -> tuple[Cut | None, int]:
    """Say the same of a space whose own sides were cut in direction ``last``."""
    need_x, need_y = extent(problem, kind, pattern)
    if last == "rip":
        width = need_y
    elif last == "crosscut":
        length = need_x
    if pattern is None:
        return None, 0
    if isinstance(pattern, Put):
        first: Cut | None = "crosscut" if need_x < length else "rip" if need_y < width else None
        return first, (need_x < length) + (need_y < width)
    if isinstance(pattern, Strip):  # the bevel rip, then its bars, unless each is one cleat as long as the strip
        rows = [row for row in (pattern.low, pattern.high or ()) if row]
        whole = all(len(row) == 1 and problem.bars[row[0]].length == length for row in rows)
        return "rip", (last != "rip") + (not whole)
    low, high = pattern.low or pattern.high, pattern.high if pattern.low else None
    low_x, low_y = extent(problem, kind, low)
    if pattern.cut == "rip":
        near, far = (length, low_y), (length, width - low_y)
    else:
        near, far = (low_x, width), (length - low_x, width)
    if high is None and near == (length, width):  # nothing is left to cut off
        return _stages(problem, kind, low, length, width, last)
    below = _stages(problem, kind, low, *near, pattern.cut)[1], _stages(problem, kind, high, *far, pattern.cut)[1]
    return pattern.cut, (pattern.cut != last) + max(below)
