"""Reading knapsack patterns strictly, for tests: sizes, bars, what they are worth, how many stages they need."""

from __future__ import annotations

from collections.abc import Sequence

from nesting.solve.pattern import Pattern, Put, Split, Strip
from nesting.solve.problem import Problem


class Misfit(AssertionError):
    """A piece that does not fill its space, or may not lie so."""


def size(problem: Problem, kind: int, node: Pattern) -> tuple[int, int]:
    """Return what the pieces below take along x and y."""
    if node is None:
        return 0, 0
    if isinstance(node, Put):
        item = problem.items[node.item]
        return (item.width, item.length) if node.turned else (item.length, item.width)
    if isinstance(node, Strip):
        bars = [sum(problem.bars[c].length for c in bar) for bar in (node.low, node.high or ())]
        return max(bars), problem.blanks[kind][node.blank].width
    (l1, w1), (l2, w2) = size(problem, kind, node.low), size(problem, kind, node.high)
    return (max(l1, l2), w1 + w2) if node.cut == "rip" else (l1 + l2, max(w1, w2))


def stages(problem: Problem, kind: int, node: Pattern, length: int, width: int, last: str | None = None) -> int:
    """Return the stages a pattern needs in a space whose own sides were cut in direction ``last``.

    What a piece lacks in that direction is cut off in the same stage; what it lacks in the other one is not allowed to
    a leaf, which has to fill its space. Raises :class:`Misfit`.
    """
    need_length, need_width = size(problem, kind, node)
    if need_length > length or need_width > width:
        raise Misfit(f"{node} in {length} x {width}")
    if node is None:
        return 0
    if last == "rip":
        width = need_width
    elif last == "crosscut":
        length = need_length
    if isinstance(node, Split):
        rip = node.cut == "rip"
        if node.low is None or node.high is None:
            only = node.high if node.low is None else node.low
            near = (length, need_width) if rip else (need_length, width)
            if near == (length, width):
                return stages(problem, kind, only, length, width, last)
            return (node.cut != last) + stages(problem, kind, only, *near, node.cut)
        at = size(problem, kind, node.low)[1 if rip else 0]  # as low as the pieces allow
        near, far = ((length, at), (length, width - at)) if rip else ((at, width), (length - at, width))
        low = stages(problem, kind, node.low, *near, node.cut)
        high = stages(problem, kind, node.high, *far, node.cut)
        return (node.cut != last) + max(low, high)
    if isinstance(node, Put):
        if (need_length, need_width) != (length, width) or not problem.items[node.item].ways[kind][node.turned]:
            raise Misfit(f"{node} in {length} x {width}")
        return 0
    blank = problem.blanks[kind][node.blank]
    if need_width != width or (node.high is not None) != (blank.high is not None):
        raise Misfit(f"{node} in {length} x {width}")
    halves = [(node.low, blank.low), (node.high or (), blank.high)]
    if any(problem.bars[c].kind != height for bar, height in halves for c in bar):
        raise Misfit(f"a cleat of another height in {node}")
    whole = all(not bar or (len(bar) == 1 and problem.bars[bar[0]].length == length) for bar, _ in halves)
    return (last != "rip") + (not whole)


def worth(node: Pattern, items: Sequence[int], bars: Sequence[int]) -> int:
    """Add up the values of all that a pattern yields."""
    if isinstance(node, Split):
        return worth(node.low, items, bars) + worth(node.high, items, bars)
    if isinstance(node, Put):
        return items[node.item]
    if isinstance(node, Strip):
        return sum(bars[c] for c in (*node.low, *(node.high or ())))
    return 0
