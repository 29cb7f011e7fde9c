"""What a pattern leaves, and filling it."""

from __future__ import annotations

import pytest
from hypothesis import given, settings

from nesting.solve.knapsack import pattern_of
from nesting.solve.pattern import Put, Sheet, Split, Strip, contents
from nesting.solve.problem import Bar, Bin, BlankWidth, Item, Problem
from nesting.solve.rests import extent, filled, largest_rest, opened
from tests.solve.cuttable import stages
from tests.solve.test_knapsack import _solved, bins_with_bars

ANY = ((True, True),)
JOB = Problem((Bin(10, 10, 1),), (Item(4, 3, 2, ANY), Item(2, 2, 0, ANY)))


def test_the_extent_of_a_pattern_is_that_of_its_pieces() -> None:
    assert extent(JOB, 0, None) == (0, 0)
    assert extent(JOB, 0, Split("crosscut", 9, Put(0), Put(0, turned=True))) == (7, 4)
    cleats = Problem((Bin(30, 10, 1),), (), 1, (Bar(0, 7, 9),), ((BlankWidth(0, 0, 6),),))
    assert extent(cleats, 0, Strip(0, (0, 0), (0,))) == (14, 6)


def test_cuts_move_down_and_rests_come_into_the_open() -> None:
    loose = Split("rip", 8, Put(0), None)
    assert opened(JOB, 0, loose, 10, 10) == Split("rip", 3, Split("crosscut", 4, Put(0), None), None)
    assert opened(JOB, 0, Split("rip", 2, None, Put(0)), 10, 10) == opened(JOB, 0, loose, 10, 10)


@pytest.mark.parametrize(
    ("pattern", "largest"),
    [
        (None, 100),
        (Put(0), 0),
        (Split("rip", 3, Split("crosscut", 4, Put(0), None), None), 70),
        (Split("crosscut", 4, Split("rip", 3, Put(0), None), None), 60),
    ],
)
def test_the_largest_rest_is_one_piece(pattern: object, largest: int) -> None:
    assert largest_rest(pattern, 10, 10) == largest  # type: ignore[arg-type]


@given(bins_with_bars())
@settings(max_examples=80, deadline=None)
def test_opening_keeps_the_pieces_and_lets_every_leaf_fill_its_space(job: object) -> None:
    problem, items, bars = job  # type: ignore[misc]
    stock = problem.bins[0]
    pattern = pattern_of(_solved(problem, items, bars), stock.length, stock.width)
    open_one = opened(problem, 0, pattern, stock.length, stock.width)
    assert contents(open_one) == contents(pattern)
    stages(problem, 0, open_one, stock.length, stock.width)
    assert opened(problem, 0, open_one, stock.length, stock.width) == open_one


def test_rests_are_filled_with_no_more_than_is_wanted() -> None:
    plan = (Sheet(0, Split("rip", 3, Put(0), None)),)
    for wanted in (3, 99):
        # beside the part lies a rest of 6 x 3 that holds three, above it one of 10 x 7 that holds fifteen
        (sheet,) = filled(JOB, plan, [0, wanted], [12, 4])
        assert contents(sheet.pattern)[0] == {0: 1, 1: min(wanted, 18)}


def test_nothing_wanted_changes_nothing_but_the_opening() -> None:
    plan = (Sheet(0, Split("rip", 8, Put(0), None)),)
    (sheet,) = filled(JOB, plan, [0, 0], [12, 4])
    assert contents(sheet.pattern)[0] == {0: 1}


def test_the_most_valuable_rest_comes_first() -> None:
    plan = (Sheet(0, Split("crosscut", 4, Put(0), None)), Sheet(0, None))
    one, other = filled(JOB, plan, [0, 25], [12, 4])
    assert contents(other.pattern)[0] == {1: 25}
    assert contents(one.pattern)[0] == {0: 1}
