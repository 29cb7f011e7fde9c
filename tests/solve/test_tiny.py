"""Tiny jobs solved outright."""

from __future__ import annotations

import pytest

from nesting.solve.columns import cost_of
from nesting.solve.pattern import contents
from nesting.solve.problem import Bar, Bin, BlankWidth, Item, Problem
from nesting.solve.stop import Stop
from nesting.solve.tiny import cheapest_tiny, compositions

ROW = (BlankWidth(0, None, 4), BlankWidth(0, 0, 6))


def _job(*demands: int, bins: tuple[Bin, ...] = (Bin(20, 12, 5),)) -> Problem:
    return Problem(bins, (), 1, tuple(Bar(0, 6, n) for n in demands), (ROW,) * len(bins))


@pytest.mark.parametrize(
    ("demand", "ways"),
    [
        (1, {(1,)}),
        (2, {(1, 1), (2,), ("1+1",)}),
        (3, {(1, 1, 1), (1, 2), (3,), ("1+1", 1), ("1+2",)}),
    ],
)
def test_every_way_of_gathering_like_cleats(demand: int, ways: set[tuple[object, ...]]) -> None:
    """A blank of one bar is the number of its cleats, a blank of two bars both numbers."""
    found = set()
    for composition in compositions(_job(demand), (0,) * demand):
        blanks: list[object] = []
        for content, item in zip(composition.contents, composition.problem.items, strict=True):
            numbers = sorted((len(content.low), len(content.high or ())))
            blanks += [numbers[1] if not numbers[0] else f"{numbers[0]}+{numbers[1]}"] * item.demand
        found.add(tuple(sorted(blanks, key=str)))
    assert found == {tuple(sorted(way, key=str)) for way in ways}


def test_the_cheapest_gathering_and_packing_together() -> None:
    # 12 wide: two blanks of 6 with two bars of three cleats each: twelve cleats a sheet, here six on one blank
    plan = cheapest_tiny(_job(6), Stop.after(60))
    assert plan is not None
    assert len(plan) == 1
    assert contents(plan[0].pattern)[1] == {0: 6}


def test_stocks_of_other_thickness_need_other_blanks() -> None:
    rows = (ROW, (BlankWidth(0, None, 4), BlankWidth(0, 0, 8)))
    # the cheap stock takes the pair of 6, the other one asks for 8: as wide as the widest it would fit neither
    job = Problem((Bin(20, 6, 3), Bin(20, 8, 9)), (), 1, (Bar(0, 6, 2), Bar(0, 20, 2)), rows)
    plan = cheapest_tiny(job, Stop.after(60))
    assert plan is not None
    assert cost_of(job, plan) == 6


def test_what_is_not_tiny_or_limited_with_cleats_is_left_alone() -> None:
    assert cheapest_tiny(_job(7), Stop.after(60)) is None
    limited = Problem((Bin(20, 12, 5),), (), 1, (Bar(0, 6, 2),), (ROW,), max_stages=3)
    assert cheapest_tiny(limited, Stop.after(60)) is None
    assert cheapest_tiny(_job(6), Stop.after(0)) is None


def test_limits_are_kept_where_there_are_only_panels() -> None:
    item = Item(5, 4, 2, ((True, False),))
    job = Problem((Bin(10, 10, 1),), (item,), max_stages=2, first_cut="rip")
    plan = cheapest_tiny(job, Stop.after(60))
    assert plan is not None
    assert len(plan) == 1


def test_a_job_that_cannot_be_done_has_no_plan() -> None:
    assert cheapest_tiny(_job(6, bins=(Bin(5, 12, 5),)), Stop.after(60)) is None
