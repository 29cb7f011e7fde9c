"""What a pattern leaves, and filling it: every rest becomes the most valuable cut of what is still wanted.

Used for fillers once the cost is settled, and to complete sheets that a bounded demand left half empty.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from nesting.solve.columns import thinned_to_demand
from nesting.solve.compiled import PLAIN, Kernels
from nesting.solve.knapsack import Table, fill, pattern_of, pieces_of, points_of, trimmed
from nesting.solve.pattern import Pattern, Plan, Put, Sheet, Split, Strip, contents
from nesting.solve.pricing import MOST_POINTS
from nesting.solve.problem import Problem


def extent(problem: Problem, bin_index: int, pattern: Pattern) -> tuple[int, int]:
    """Return the inflated length and width that the pieces of a pattern take.

    >>> from nesting.solve.problem import Bin, Item
    >>> job = Problem((Bin(10, 10, 1),), (Item(4, 3, 2, ((True, True),)),))
    >>> extent(job, 0, Split("rip", 5, Put(0), Put(0, turned=True)))
    (4, 7)
    """
    if pattern is None:
        return 0, 0
    if isinstance(pattern, Put):
        item = problem.items[pattern.item]
        return (item.width, item.length) if pattern.turned else (item.length, item.width)
    if isinstance(pattern, Strip):
        bars = [sum(problem.bars[index].length for index in bar) for bar in (pattern.low, pattern.high or ())]
        return max(bars), problem.blanks[bin_index][pattern.blank].width
    low, high = extent(problem, bin_index, pattern.low), extent(problem, bin_index, pattern.high)
    if pattern.cut == "rip":
        return max(low[0], high[0]), low[1] + high[1]
    return low[0] + high[0], max(low[1], high[1])


def opened(problem: Problem, bin_index: int, pattern: Pattern, length: int, width: int) -> Pattern:
    """Return the same pieces with every cut as low as they allow and every rest in the open.

    Leaves then fill their spaces exactly, and what surrounds them stands as ``None`` beside a cut.
    """
    if pattern is None:
        return None
    if not isinstance(pattern, Split):
        leaf_length, leaf_width = extent(problem, bin_index, pattern)
        return trimmed(pattern, leaf_length, leaf_width, length, width)
    low, high = (pattern.low, pattern.high) if pattern.low is not None else (pattern.high, None)
    along = extent(problem, bin_index, low)
    if pattern.cut == "rip":
        at = along[1]
        return Split(
            "rip",
            at,
            opened(problem, bin_index, low, length, at),
            opened(problem, bin_index, high, length, width - at),
        )
    at = along[0]
    return Split(
        "crosscut",
        at,
        opened(problem, bin_index, low, at, width),
        opened(problem, bin_index, high, length - at, width),
    )


def largest_rest(pattern: Pattern, length: int, width: int) -> int:
    """Return the area of the largest single rest of an opened pattern, on the inflated grid."""
    if pattern is None:
        return length * width
    if not isinstance(pattern, Split):
        return 0
    if pattern.cut == "rip":
        parts = (pattern.low, length, pattern.at), (pattern.high, length, width - pattern.at)
    else:
        parts = (pattern.low, pattern.at, width), (pattern.high, length - pattern.at, width)
    return max(largest_rest(*part) for part in parts)


Tables = dict[tuple[int, tuple[int, ...]], Table | None]
"""Knapsack tables by bin and values, shared between plans of the same problem."""


def filled(
    problem: Problem,
    plan: Plan,
    wanted: Sequence[int],
    values: Sequence[int],
    kernels: Kernels = PLAIN,
    known: Tables | None = None,
) -> Plan:
    """Fill the rests of a plan with items, at most ``wanted[i]`` of item i, worth ``values[i]`` each.

    Rests are filled in the order of their worth; each is cut by the exact knapsack over what is still
    wanted, so only the limits on numbers keep the whole from being the best for these rests. ``known`` keeps
    the tables for the next plan.
    """
    known = {} if known is None else known
    left = Counter({i: n for i, n in enumerate(wanted) if n > 0})
    free = replace(problem, bars=(), max_stages=None, first_cut="any")
    sheets = [_opened_sheet(problem, sheet) for sheet in plan]
    while +left:
        worth = tuple(value if left[i] > 0 else 0 for i, value in enumerate(values))
        for sheet in sheets:
            if (sheet.bin, worth) not in known:
                known[sheet.bin, worth] = _table(free, sheet.bin, worth, kernels)
        tables = {sheet.bin: known[sheet.bin, worth] for sheet in sheets}
        spots = [
            (_worth(tables[sheet.bin], length, width), number, length, width)
            for number, sheet in enumerate(sheets)
            for length, width in _spaces(sheet.pattern, problem.bins[sheet.bin].length, problem.bins[sheet.bin].width)
        ]
        best = max(spots, default=None)
        if best is None or best[0] <= 0:
            break
        _, number, length, width = best
        sheet = sheets[number]
        table = tables[sheet.bin]
        bounded = replace(
            problem, items=tuple(replace(item, demand=max(0, left[i])) for i, item in enumerate(problem.items))
        )
        piece = thinned_to_demand(bounded, pattern_of(table, length, width) if table else None)
        left.subtract(contents(piece)[0])
        stock = problem.bins[sheet.bin]
        pattern = _placed(sheet.pattern, stock.length, stock.width, (length, width), piece)
        sheets[number] = _opened_sheet(problem, Sheet(sheet.bin, pattern))
    return tuple(sheets)


def _opened_sheet(problem: Problem, sheet: Sheet) -> Sheet:
    stock = problem.bins[sheet.bin]
    return Sheet(sheet.bin, opened(problem, sheet.bin, sheet.pattern, stock.length, stock.width))


def _table(problem: Problem, bin_index: int, worth: Sequence[int], kernels: Kernels) -> Table | None:
    stock = problem.bins[bin_index]
    pieces = pieces_of(problem, bin_index)
    pieces = replace(pieces, rectangles=tuple(r for r in pieces.rectangles if worth[r[2]]), blanks=(), bars=())
    xs, ys = points_of(pieces, stock.length, stock.width)
    if xs.size * ys.size > MOST_POINTS:
        return None
    return fill(pieces, xs, ys, worth, (), kernels.best_splits)


def _worth(table: Table | None, length: int, width: int) -> int:
    if table is None:
        return 0
    i = int(table.xs.searchsorted(length, side="right")) - 1
    j = int(table.ys.searchsorted(width, side="right")) - 1
    return int(table.value[i, j])


def _spaces(pattern: Pattern, length: int, width: int) -> list[tuple[int, int]]:
    if pattern is None:
        return [(length, width)]
    if not isinstance(pattern, Split):
        return []
    if pattern.cut == "rip":
        low, high = (length, pattern.at), (length, width - pattern.at)
    else:
        low, high = (pattern.at, width), (length - pattern.at, width)
    return _spaces(pattern.low, *low) + _spaces(pattern.high, *high)


def _placed(pattern: Pattern, length: int, width: int, at: tuple[int, int], piece: Pattern) -> Pattern:
    """Put ``piece`` into the first rest of just this size."""
    done = False

    def place(node: Pattern, length: int, width: int) -> Pattern:
        nonlocal done
        if node is None:
            if not done and (length, width) == at:
                done = True
                return piece
            return None
        if not isinstance(node, Split):
            return node
        if node.cut == "rip":
            low, high = (length, node.at), (length, width - node.at)
        else:
            low, high = (node.at, width), (length - node.at, width)
        return Split(node.cut, node.at, place(node.low, *low), place(node.high, *high))

    return place(pattern, length, width)
