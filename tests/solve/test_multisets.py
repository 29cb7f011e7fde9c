"""Every multiset of a job's parts: against exact solutions of tiny jobs, by hand, and compiled against plain."""

from __future__ import annotations

import random
import runpy
import threading
from pathlib import Path
from types import SimpleNamespace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.solve.columns import cost_of
from nesting.solve.compiled import PLAIN, load, ready
from nesting.solve.multiset_plans import plan_of
from nesting.solve.multisets import Multisets
from nesting.solve.problem import Bar, Bin, BlankWidth, Item, Problem
from nesting.solve.proofs import solve_exactly
from nesting.solve.search import solve
from nesting.solve.stop import Stop
from nesting.solve.tiny import cheapest_tiny

checks = SimpleNamespace(**runpy.run_path(str(Path(__file__).with_name("layout_checks.py"))))
EITHER, STRAIGHT = ((True, True),), ((True, False),)


def tiny(rng: random.Random) -> Problem:
    """Up to eight parts of up to four types for 12 x 10 sheets."""
    items, left = [], 8
    for _ in range(rng.randint(1, 4)):
        copies = rng.randint(1, max(1, min(3, left)))
        left -= copies
        items.append(Item(rng.randint(1, 10), rng.randint(1, 10), copies, rng.choice((EITHER, STRAIGHT))))
    return Problem((Bin(12, 10, 1),), tuple(items))


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10**6))
def test_the_fewest_sheets_hold_the_parts_and_one_fewer_does_not(seed: int) -> None:
    problem = tiny(random.Random(seed))
    plan = solve_exactly(problem, Stop.after(60))
    assert plan is not None
    fewest = cost_of(problem, plan)
    sets = Multisets.of(problem, [(fewest,)])
    assert sets is not None
    assert sets.holds((fewest - 1,), Stop.after(60), PLAIN) is False
    assert plan_of(sets, (fewest - 1,), Stop.after(60), PLAIN) is None
    assert sets.holds((fewest,), Stop.after(60), PLAIN) is True
    found = plan_of(sets, (fewest,), Stop.after(60), PLAIN)
    assert found is not None
    assert len(found) == fewest
    assert checks.faults_of_plan(problem, found) == []


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 10**6))
def test_choices_of_two_stocks_agree_with_the_cheapest_plan(seed: int) -> None:
    """A plan's counts are held; no counts that cost less than the cheapest plan are."""
    one = tiny(random.Random(seed))
    bins = (Bin(12, 10, 7), Bin(10, 6, 4))
    ways = tuple(
        tuple(
            (w and i.length <= b.length and i.width <= b.width, t and i.width <= b.length and i.length <= b.width)
            for b in bins
        )
        for i in one.items
        for w, t in i.ways
    )
    problem = Problem(
        bins, tuple(Item(i.length, i.width, i.demand, way) for i, way in zip(one.items, ways, strict=True))
    )
    plan = solve_exactly(problem, Stop.after(60))
    assert plan is not None
    used = tuple(sum(sheet.bin == b for sheet in plan) for b in (0, 1))
    sets = Multisets.of(problem, [used, (3, 3)])
    assert sets is not None
    assert sets.holds(used, Stop.after(60), PLAIN) is True
    cost = cost_of(problem, plan)
    for large in range(4):
        for small in range(4):
            if 7 * large + 4 * small < cost:
                assert sets.holds((large, small), Stop.after(60), PLAIN) is False


def with_cleats(rng: random.Random) -> Problem:
    """Up to four cleats of two heights, or parts in their place, in sheets of two sizes."""
    pairs = (BlankWidth(0, 0, 5), BlankWidth(0, 1, 6), BlankWidth(1, 1, 7))
    row = (*pairs, BlankWidth(0, None, 3), BlankWidth(1, None, 4))
    copies = rng.choice(((2,), (2, 1), (1, 1, 1), (3,), (2, 2)))
    bars = tuple(Bar(rng.randrange(2), rng.randint(2, 12), n) for n in copies)
    room = range(rng.randint(0, 4 - sum(copies)))
    parts = tuple(Item(rng.randint(2, 8), rng.randint(1, 8), 1, ((True, True),) * 2) for _ in room)
    return Problem((Bin(16, 13, 5), Bin(12, 8, 3)), parts, 1, bars, (row, row))


@settings(max_examples=12, deadline=None)
@given(st.integers(0, 10**6))
def test_jobs_with_cleats_agree_with_every_way_of_gathering_them(seed: int) -> None:
    problem = with_cleats(random.Random(seed))
    best = cheapest_tiny(problem, Stop.after(60))
    assert best
    cost = cost_of(problem, best)
    used = tuple(sum(sheet.bin == b for sheet in best) for b in (0, 1))
    sets = Multisets.of(problem, [used, (2, 2)])
    assert sets is not None
    for large in range(3):
        for small in range(3):
            if 5 * large + 3 * small < cost:
                assert sets.holds((large, small), Stop.after(60), PLAIN) is False
    assert sets.holds(used, Stop.after(60), PLAIN) is True
    plan = plan_of(sets, used, Stop.after(60), PLAIN)
    assert plan is not None
    assert checks.faults_of_plan(problem, plan) == []
    assert cost_of(problem, plan) == cost


def test_bars_of_a_blank_have_one_height_each_and_lie_side_by_side() -> None:
    """Two cleats of 10 and one of 20 come from one blank of 20; where each had half its width they could lie apart."""
    rows = ((BlankWidth(0, 0, 6),),)
    cleats = (Bar(0, 10, 2), Bar(0, 20, 1))
    for sheet, held in ((Bin(20, 6, 1), True), (Bin(30, 3, 1), False), (Bin(30, 5, 1), False)):
        sets = Multisets.of(Problem((sheet,), (), 1, cleats, rows), [(1,)])
        assert sets is not None
        assert sets.holds((1,), Stop.after(60), PLAIN) is held


def test_where_a_blank_is_wider_in_one_stock_its_plan_is_not_told() -> None:
    """Held by the narrowest blank of any stock, which proves nothing here: the only sheet used asks for a wider one."""
    rows = ((BlankWidth(0, None, 4),), (BlankWidth(0, None, 5),))
    problem = Problem((Bin(9, 4, 1), Bin(20, 5, 1)), (), 1, (Bar(0, 9, 1),), rows)
    sets = Multisets.of(problem, [(0, 1)])
    assert sets is not None
    assert sets.holds((0, 1), Stop.after(60), PLAIN) is True
    assert plan_of(sets, (0, 1), Stop.after(60), PLAIN) is None
    assert plan_of(sets, (1, 0), Stop.after(60), PLAIN) is not None


def test_by_hand() -> None:
    """Seven 4 x 3 have less area than 9 x 10, but all lying alike only two by three go in; turned as need be all do."""
    upright = Multisets.of(Problem((Bin(9, 10, 1),), (Item(4, 3, 7, STRAIGHT),)), [(2,)])
    either = Multisets.of(Problem((Bin(10, 9, 1),), (Item(4, 3, 7, EITHER),)), [(1,)])
    assert upright is not None
    assert either is not None
    assert upright.holds((1,), Stop.after(60), PLAIN) is False
    assert upright.holds((2,), Stop.after(60), PLAIN) is True
    assert either.holds((1,), Stop.after(60), PLAIN) is True  # two rows of two lying, and a column of three upright


def test_nothing_is_said_where_there_is_no_time_or_room() -> None:
    problem = Problem((Bin(12, 10, 1),), (Item(4, 3, 7, EITHER),))
    told = threading.Event()
    told.set()
    sets = Multisets.of(problem, [(1,)])
    assert sets is not None
    assert sets.holds((1,), Stop(Stop.after(9).deadline, told), PLAIN) is None
    assert sets.holds((0,), Stop.after(9), PLAIN) is False
    assert sets.holds((2,), Stop.after(9), PLAIN) is None  # more waste than was reckoned with
    many = Problem((Bin(99, 99, 1),), tuple(Item(k, k, 1, EITHER) for k in range(1, 30)))
    assert Multisets.of(many, [(1,)]) is None
    assert Multisets.of(problem, [(1,)], most=35) is None
    assert Multisets.of(problem, [(1,)], most=36) is not None  # eight times nine halves: seven alike in two parts
    fine = Problem((Bin(1 << 31, 1 << 31, 1),), (Item(1, 1, 1, EITHER),))
    assert Multisets.of(fine, [(1,)]) is None


def test_compiled_and_plain_say_the_same() -> None:
    if not ready():
        pytest.skip("compiled kernels are not in the cache; fill it with: python -m nesting.solve.compiled")
    fast = load()
    for seed in range(8):
        problem = tiny(random.Random(seed))
        both = [Multisets.of(problem, [(3,)]) for _ in range(2)]
        for counts in ((1,), (2,), (3,)):
            said = [sets and sets.holds(counts, Stop.after(60), k) for sets, k in zip(both, (PLAIN, fast), strict=True)]
            assert said[0] is not None
            assert said[0] == said[1]
            assert plan_of(both[0], counts, Stop.after(60), PLAIN) == plan_of(both[1], counts, Stop.after(60), fast)
        assert (both[0].sets.where == both[1].sets.where).all()
        assert (both[0].sets.boxes == both[1].sets.boxes).all()
        assert (both[0].sets.least == both[1].sets.least).all()


def test_a_job_of_few_types_is_proven_whatever_its_number_of_parts() -> None:
    """Twelve 5 x 3 have less area than a sheet of 17 x 11, but only eleven are cut from it: 24 need three sheets."""
    part = Item(5, 3, 24, EITHER)
    for copies, held in ((11, True), (12, False)):
        sets = Multisets.of(Problem((Bin(17, 11, 1),), (Item(5, 3, copies, EITHER),)), [(1,)])
        assert sets is not None
        assert sets.holds((1,), Stop.after(60), PLAIN) is held
    found = solve(Problem((Bin(17, 11, 1),), (part,)), Stop.after(20))
    assert found.proven
    assert found.cost == 3
