"""The knapsack under limited stages against plain recursion: values, patterns, stages counted strictly, first cuts."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.solve.columns import thinned_to_demand
from nesting.solve.compiled import load, ready
from nesting.solve.knapsack import pieces_of, points_of
from nesting.solve.pattern import Pattern, Put, Split, Strip, contents
from nesting.solve.problem import Bar, Bin, BlankWidth, Item, Problem
from nesting.solve.staged import StagedTable
from tests.solve.cuttable import size, stages, worth
from tests.solve.test_knapsack import best_bar, bins_with_bars, by_recursion

OTHER = {"rip": "crosscut", "crosscut": "rip"}


def staged_by_recursion(problem: Problem, items: list[int], bars: list[int], first: str, limit: int | None) -> int:
    """Return the best value of the first bin under the limits; every cut counts, every whole number is tried."""

    def exact(length: int, width: int) -> int:
        most = 0
        for item, value in zip(problem.items, items, strict=True):
            as_is, turned = item.ways[0]
            if (as_is and (item.length, item.width) == (length, width)) or (
                turned and (item.width, item.length) == (length, width)
            ):
                most = max(most, value)
        return most

    def bar(kind: int, length: int, left: int) -> int:
        if left > 1:
            return best_bar(problem, bars, kind, length)
        whole = [v for b, v in zip(problem.bars, bars, strict=True) if b.kind == kind and b.length == length]
        return max(whole, default=0)

    def blank(length: int, width: int, left: int) -> int:
        found = [
            bar(b.low, length, left) + (0 if b.high is None else bar(b.high, length, left))
            for b in (problem.blanks[0] if problem.bars else ())
            if b.width == width
        ]
        return max(found, default=0)

    @cache
    def strip(length: int, width: int, left: int, cut: str) -> int:
        """One strip of a stage, as it comes from the saw."""
        most = max(exact(length, width), blank(length, width, left) if cut == "rip" else 0)
        return max(most, stage(length, width, left - 1, OTHER[cut]) if left > 1 else 0)

    @cache
    def stage(length: int, width: int, left: int, cut: str) -> int:
        side = width if cut == "rip" else length
        one = (lambda s: strip(length, s, left, cut)) if cut == "rip" else (lambda s: strip(s, width, left, cut))
        filled = [0] * (side + 1)
        for room in range(1, side + 1):
            filled[room] = max(filled[room - s] + one(s) for s in range(1, room + 1))
        return filled[side]

    length, width = problem.bins[0].length, problem.bins[0].width
    most = exact(length, width)
    left = 9 if limit is None else limit  # more than these small bins can make use of
    if not left:
        return most
    for cut in OTHER if first == "any" else (first,):
        side = width if cut == "rip" else length
        one, rest = (
            (lambda s: strip(length, s, left, "rip"), lambda s: stage(length, s, left, "rip"))
            if cut == "rip"
            else (lambda s: strip(s, width, left, "crosscut"), lambda s: stage(s, width, left, "crosscut"))
        )
        if cut == "rip":
            most = max(most, blank(length, width, left))
        most = max([most, *(one(s) + rest(side - s) for s in range(1, side))])
    return most


def _table(
    problem: Problem,
    items: list[int],
    bars: list[int],
    first: Any,
    limit: int | None,
    kernels: Any,
    *,
    few: bool = False,
) -> Any:
    stock = problem.bins[0]
    pieces = pieces_of(problem, 0)
    points = points_of(pieces, stock.length, stock.width)
    if few:  # no sums of sides, only the sides
        alone = [r[0] for r in pieces.rectangles] + [b[1] for b in pieces.bars], [r[1] for r in pieces.rectangles]
        across = [*alone[1], *(b[0] for b in pieces.blanks)]
        points = np.unique([0, *alone[0]]), np.unique([0, *across])
    return StagedTable(pieces, *points, (stock.length, stock.width), (items, bars), (first, limit), kernels)


def _first_direction(pattern: Pattern) -> str | None:
    if isinstance(pattern, Strip):
        return "rip"
    return pattern.cut if isinstance(pattern, Split) else None


@given(bins_with_bars(), st.sampled_from(["any", "rip", "crosscut"]), st.sampled_from([1, 2, 3, 4, None]))
@settings(max_examples=100, deadline=None)
def test_it_is_as_good_as_recursion_and_keeps_its_limits(job: Any, first: Any, limit: int | None) -> None:
    problem, items, bars = job
    stock = problem.bins[0]
    kernels = [None, load()] if ready() else [None]
    for which in kernels:
        table = _table(problem, items, bars, first, limit, which)
        assert table.best == staged_by_recursion(problem, items, bars, first, limit)
        pattern = table.pattern()
        assert worth(pattern, items, bars) == table.best
        if limit is not None:
            assert stages(problem, 0, pattern, stock.length, stock.width) <= limit
        if first != "any":
            assert _first_direction(pattern) in (None, first)


@given(bins_with_bars())
@settings(max_examples=60, deadline=None)
def test_many_stages_are_as_good_as_no_limit(job: Any) -> None:
    problem, items, bars = job
    free = by_recursion(problem, items, bars)
    deep = _table(problem, items, bars, "any", problem.bins[0].length + problem.bins[0].width, None)
    assert deep.best == free


@given(bins_with_bars(), st.sampled_from(["any", "rip", "crosscut"]), st.sampled_from([2, 3, None]), st.data())
@settings(max_examples=150, deadline=None)
def test_filling_again_keeps_what_there_is_and_the_limits(job: Any, first: Any, limit: int | None, data: Any) -> None:
    problem, items, bars = job
    stock = problem.bins[0]
    few = [value if data.draw(st.booleans()) else 0 for value in items]
    few_bars = [value if data.draw(st.booleans()) else 0 for value in bars]
    asked = replace(problem, items=tuple(replace(i, demand=data.draw(st.integers(0, 3))) for i in problem.items))
    pattern = thinned_to_demand(asked, _table(problem, few, few_bars, first, limit, None).pattern())
    sparse = data.draw(st.booleans())
    fuller = _table(problem, items, bars, first, limit, None, few=sparse).refilled(pattern)
    had, has = contents(pattern), contents(fuller)
    assert had[0] <= has[0]
    assert had[1] <= has[1]
    length, width = size(problem, 0, fuller)
    assert length <= stock.length
    assert width <= stock.width
    depth = stages(problem, 0, fuller, stock.length, stock.width)
    assert limit is None or depth <= limit
    if first != "any":
        assert _first_direction(fuller) in (None, first)


@pytest.mark.parametrize(("limit", "values", "best"), [(1, [1, 0, 0], 3), (2, [1, 2, 0], 8), (3, [0, 2, 1], 10)])
def test_each_stage_more_allows_one_turn_more(limit: int, values: list[int], best: int) -> None:
    # 10 x 10: one rip gives three full strips; then crosscuts part them; then a short part is ripped to its width
    items = (Item(10, 3, 9, ((True, False),)), Item(5, 5, 9, ((True, False),)), Item(5, 2, 9, ((True, False),)))
    problem = Problem((Bin(10, 10, 1),), items)
    table = _table(problem, values, [], "rip", limit, None)
    assert table.best == best
    assert worth(table.pattern(), values, []) == best


def test_a_bevel_rip_needs_the_rip_stage_and_its_bars_a_crosscut_stage() -> None:
    blanks = ((BlankWidth(0, None, 4), BlankWidth(0, 0, 7)),)
    problem = Problem((Bin(10, 7, 1),), (), 1, (Bar(0, 10, 5), Bar(0, 5, 5)), blanks)
    assert _table(problem, [], [3, 2], "rip", 1, None).pattern() == Strip(1, (0,), (0,))
    assert _table(problem, [], [3, 2], "rip", 2, None).pattern() == Strip(1, (1, 1), (1, 1))
    assert _table(problem, [], [3, 2], "crosscut", 1, None).pattern() is None
    assert _table(problem, [], [3, 2], "crosscut", 2, None).best == 8  # crosscut in two, each ripped into two


def test_a_part_as_wide_as_the_stock_cannot_be_ripped_out_first() -> None:
    problem = Problem((Bin(10, 7, 1),), (Item(6, 7, 1, ((True, False),)),))
    assert _table(problem, [5], [], "rip", None, None).pattern() is None
    assert _table(problem, [5], [], "crosscut", None, None).pattern() == Split("crosscut", 6, Put(0), None)
