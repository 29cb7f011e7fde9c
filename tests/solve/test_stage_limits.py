"""Insertion under limits: every plan keeps them, read by a second counter; limits that bind nothing change nothing."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.solve.bars import compose, decomposed
from nesting.solve.columns import cost_of
from nesting.solve.compiled import PLAIN, load, ready
from nesting.solve.construct import first_plans
from nesting.solve.improve import improve
from nesting.solve.kernels_stages import NEVER
from nesting.solve.pattern import Pattern, Plan, Put, Sheet, Split, Strip
from nesting.solve.problem import Bar, Bin, BlankWidth, Item, Problem
from nesting.solve.search import solve
from nesting.solve.stage_count import keeps_stages, stages_of
from nesting.solve.stop import Stop
from tests.solve.cuttable import stages
from tests.solve.test_shelves import job

LIMITS = (1, 2, 3, 4, 5, None)


def plans_of(problem: Problem, seed: int) -> list[Plan]:
    """Return plans constructed, and the last of them improved a little."""
    composition = compose(problem, seed)
    packed = list(first_plans(composition.problem, seed, 6, Stop.after(60)))
    if packed:
        packed.append(improve(composition.problem, packed[-1], seed, Stop.after(60), iterations=4))
    return [decomposed(problem, composition, plan) for plan in packed]


@settings(max_examples=150, deadline=None)
@given(st.integers(0, 10**6))
def test_insertion_keeps_every_limit(seed: int) -> None:
    rng = random.Random(seed)
    problem = replace(job(rng), max_stages=rng.choice(LIMITS))
    for plan in plans_of(problem, seed):
        for sheet in plan:
            stock = problem.bins[sheet.bin]
            depth = stages(problem, sheet.bin, sheet.pattern, stock.length, stock.width)
            assert problem.max_stages is None or depth <= problem.max_stages
            first, count = stages_of(problem, sheet.bin, sheet.pattern)
            assert count == depth
            assert first in (None, problem.first_cut) or problem.first_cut == "any"
            assert keeps_stages(problem, sheet.bin, sheet.pattern)


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10**6))
def test_a_limit_that_binds_nothing_changes_no_choice(seed: int) -> None:
    problem = replace(job(random.Random(seed)), max_stages=None, first_cut="any")
    wide = replace(problem, max_stages=NEVER - 1)
    free, limited = ([cost_of(problem, plan) for plan in plans_of(job, seed)] for job in (problem, wide))
    assert free == limited


STRAIGHT = ((True, False),)
ITEMS = (Item(10, 4, 1, STRAIGHT), Item(5, 6, 1, STRAIGHT), Item(3, 6, 1, STRAIGHT), Item(3, 2, 9, STRAIGHT))
SHEET = Problem((Bin(10, 10, 1),), ITEMS, bars=(Bar(0, 10, 9), Bar(0, 4, 9)), blanks=((BlankWidth(0, 0, 6),),))


@pytest.mark.parametrize(
    ("pattern", "first", "count"),
    [
        (None, None, 0),
        (Put(0), "rip", 1),
        (Put(1), "crosscut", 2),
        (Split("rip", 4, Put(0), None), "rip", 1),
        (Split("rip", 4, Put(0), Put(1)), "rip", 2),
        (Split("rip", 4, Put(0), Split("crosscut", 5, Put(1), Put(2))), "rip", 2),
        (Split("rip", 4, Put(0), Split("crosscut", 5, Put(1), Put(3))), "rip", 3),  # the last is ripped to its height
        (Split("rip", 6, Split("crosscut", 5, Put(1), Put(3)), Put(0)), "rip", 3),
        (Split("rip", 6, Strip(0, (0,), (0,)), None), "rip", 1),  # one cleat in each half, as long as the sheet
        (Split("rip", 6, Strip(0, (0,), (1, 1)), None), "rip", 2),
        (Split("crosscut", 8, Strip(0, (1, 1), (1,)), None), "crosscut", 3),
        (Split("crosscut", 10, Split("rip", 4, Put(0), None), None), "rip", 1),  # nothing to cut off at ten
    ],
)
def test_stages_counted_by_hand(pattern: Pattern, first: str | None, count: int) -> None:
    assert stages_of(SHEET, 0, pattern) == (first, count)


def test_a_first_cut_that_is_not_made_binds_nothing() -> None:
    whole = Problem((Bin(10, 4, 1),), ITEMS, first_cut="crosscut", max_stages=1)
    assert keeps_stages(whole, 0, Put(0))
    assert not keeps_stages(replace(whole, bins=(Bin(10, 5, 1),)), 0, Put(0))


def test_a_full_sheet_of_three_stages_is_found_where_three_are_allowed() -> None:
    """A crosscut at 4, rips at 3 and at 5, a crosscut of the lower right at 2: shelves leave some of 10 by 10."""
    items = tuple(Item(x, y, 1, STRAIGHT) for x, y in ((4, 3), (4, 7), (2, 5), (4, 5), (6, 5)))
    sheet = Problem((Bin(10, 10, 1),), items, max_stages=3)
    assert [len(plan) for plan in first_plans(sheet, 1, 100, Stop.after(60))][-1] == 1
    assert [len(plan) for plan in first_plans(replace(sheet, first_cut="crosscut"), 1, 100, Stop.after(60))][-1] == 1
    for limit in (replace(sheet, max_stages=2), replace(sheet, first_cut="rip")):
        found = solve(limit, Stop.after(20))
        assert (found.cost, found.proven) == (2, True)


def test_every_combination_gives_no_plan_beyond_the_limit() -> None:
    """Two of each in a sheet twice as wide fill it in three stages; that all multisets say they fit is not enough."""
    items = tuple(Item(x, y, 2, STRAIGHT) for x, y in ((4, 3), (4, 7), (2, 5), (4, 5), (6, 5)))
    sheet = Problem((Bin(10, 20, 1),), items, max_stages=2)
    found = solve(sheet, Stop.after(2))
    assert found.plan is not None
    assert found.cost > 1
    assert all(keeps_stages(sheet, made.bin, made.pattern) for made in found.plan)
    assert solve(replace(sheet, max_stages=3), Stop.after(20)).cost == 1


def test_compiled_and_plain_insertion_keep_limits_alike() -> None:
    if not ready():
        pytest.skip("compiled kernels are not in the cache; fill it with: python -m nesting.solve.compiled")
    for seed in range(20):
        problem = replace(job(random.Random(seed)), max_stages=3)
        composition = compose(problem, seed)
        plain, fast = (list(first_plans(composition.problem, seed, 10, Stop.after(60), k)) for k in (PLAIN, load()))
        assert plain == fast


def test_a_sheet_that_breaks_a_limit_is_told() -> None:
    plan = (Sheet(0, Split("rip", 4, Put(0), Put(1))),)
    assert [keeps_stages(replace(SHEET, max_stages=n), s.bin, s.pattern) for n in (1, 2) for s in plan] == [False, True]
