"""Cleats gathered into blanks, and what blanks are worth at least."""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.solve.bars import (
    Content,
    as_items,
    compose,
    decomposed,
    kind_pair,
    narrowest,
    relaxed,
    widths_of,
)
from nesting.solve.pattern import Put, Sheet, Split, Strip
from nesting.solve.problem import Bar, Bin, BlankWidth, Item, Problem

ROW = (
    BlankWidth(0, None, 4),
    BlankWidth(0, 0, 6),
    BlankWidth(1, 0, 7),
    BlankWidth(1, None, 5),
    BlankWidth(1, 1, 8),
)
JOB = Problem((Bin(96, 48, 9),), (Item(20, 10, 2, ((True, False),)),), 1, (Bar(0, 30, 5), Bar(1, 20, 4)), (ROW,))


@st.composite
def jobs(draw: st.DrawFn) -> Problem:
    bars = tuple(
        Bar(draw(st.integers(0, 1)), draw(st.integers(5, 40)), draw(st.integers(1, 6)))
        for _ in range(draw(st.integers(1, 4)))
    )
    wide = tuple(BlankWidth(b.low, b.high, b.width + draw(st.integers(0, 1))) for b in ROW)
    bins = (Bin(40, 30, 9), Bin(draw(st.integers(40, 99)), draw(st.integers(5, 9)), 3))
    return Problem(bins, (), 1, bars, (ROW, wide))


@given(jobs(), st.integers(0, 50))
@settings(max_examples=150)
def test_a_composition_holds_every_cleat_once_in_blanks_that_fit(job: Problem, seed: int) -> None:
    found = compose(job, seed)
    cleats: Counter[int] = Counter()
    for content, item in zip(found.contents, found.problem.items[found.first :], strict=True):
        assert any(any(ways) for ways in item.ways)
        for bar, kind in ((content.low, content.low_kind), (content.high or (), content.high_kind)):
            assert all(job.bars[c].kind == kind for c in bar)
            assert sum(job.bars[c].length for c in bar) <= item.length
            cleats.update({c: item.demand * n for c, n in Counter(bar).items()})
        for (as_is, turned), row, stock in zip(item.ways, job.blanks, job.bins, strict=True):
            assert not turned
            if as_is:
                own = next(
                    b.width for b in row if kind_pair(b.low, b.high) == kind_pair(content.low_kind, content.high_kind)
                )
                assert own <= item.width <= stock.width
    assert cleats == Counter({c: bar.demand for c, bar in enumerate(job.bars)})
    assert compose(job, seed) == found


def test_bars_are_not_paired_where_no_stock_takes_the_blank() -> None:
    narrow = Problem((Bin(96, 5, 9),), (), 1, (Bar(0, 30, 6),), (ROW,))
    assert narrowest(narrow) == {(0, None): 4, (1, None): 5}
    for seed in range(30):
        assert {content.high for content in compose(narrow, seed).contents} == {None}


def test_blanks_are_as_wide_as_the_widest_stock_asks_or_as_their_content_says() -> None:
    rows = ((BlankWidth(0, None, 4), BlankWidth(0, 0, 6)), (BlankWidth(0, None, 4), BlankWidth(0, 0, 7)))
    job = Problem((Bin(96, 48, 9), Bin(96, 48, 9)), (), 1, (Bar(0, 30, 2),), rows)
    assert widths_of(job, (0, 0)) == (6, 7)
    for width, ways in ((None, ((True, False),) * 2), (7, ((True, False),) * 2), (6, ((True, False), (False, False)))):
        (item,) = as_items(job, [Content(0, 0, (0,), (0,), width)]).problem.items
        assert (item.length, item.width, item.ways) == (30, width or 7, ways)


def test_packed_blanks_become_strips_with_the_bars_on_the_sides_the_blank_wants_them() -> None:
    composition = as_items(JOB, [Content(0, 1, (0,), (1, 1)), Content(1, None, (1,), None)])
    assert composition.first == 1
    plan = (Sheet(0, Split("rip", 7, Put(1), Split("rip", 5, Put(2), Put(0)))),)
    (sheet,) = decomposed(JOB, composition, plan)
    assert sheet.pattern == Split("rip", 7, Strip(2, (1, 1), (0,)), Split("rip", 5, Strip(3, (1,), None), Put(0)))


def test_a_job_without_bars_is_its_own_composition() -> None:
    job = Problem((Bin(9, 9, 1),), (Item(3, 3, 1, ((True, True),)),))
    assert compose(job, 7).problem is job
    assert relaxed(job) is job


def test_rectangles_for_bounds_are_no_wider_than_any_blank_allows() -> None:
    easy = relaxed(JOB)
    assert easy.bins[0] == Bin(192, 96, 9)
    assert (easy.items[0].length, easy.items[0].width) == (40, 20)
    shares = {bar.kind: item.width for bar, item in zip(JOB.bars, easy.items[1:], strict=True)}
    assert shares[0] <= 6
    assert shares[1] <= 8
    assert shares[0] + shares[1] <= 14
    assert shares == {0: 6, 1: 8}


@given(jobs())
def test_two_shares_never_exceed_a_blank(job: Problem) -> None:
    easy = relaxed(job)
    share = {bar.kind: item.width for bar, item in zip(job.bars, easy.items, strict=True)}
    for stock, row in zip(job.bins, job.blanks, strict=True):
        for blank in row:
            if blank.width <= stock.width:
                high = 0 if blank.high is None else share.get(blank.high, 0)
                assert share.get(blank.low, 0) + high <= 2 * blank.width
    assert all(item.length == 2 * bar.length for item, bar in zip(easy.items, job.bars, strict=True))


@pytest.mark.parametrize(("low", "high", "key"), [(1, 0, (0, 1)), (0, 1, (0, 1)), (1, None, (1, None))])
def test_the_order_of_two_kinds_does_not_matter(low: int, high: int | None, key: object) -> None:
    assert kind_pair(low, high) == key
