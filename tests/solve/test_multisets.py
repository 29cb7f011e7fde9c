"""Every multiset of a job's parts: against exact solutions of tiny jobs, by hand, and compiled against plain."""

from __future__ import annotations

import random
import threading

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.solve.columns import cost_of
from nesting.solve.compiled import PLAIN, load, ready
from nesting.solve.multisets import Multisets
from nesting.solve.problem import Bin, Item, Problem
from nesting.solve.proofs import solve_exactly
from nesting.solve.search import solve
from nesting.solve.stop import Stop

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
    sets = Multisets.of(problem)
    assert sets is not None
    assert sets.holds((fewest,), Stop.after(60), PLAIN) is True
    assert sets.holds((fewest - 1,), Stop.after(60), PLAIN) is False


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
    sets = Multisets.of(problem)
    assert sets is not None
    used = tuple(sum(sheet.bin == b for sheet in plan) for b in (0, 1))
    assert sets.holds(used, Stop.after(60), PLAIN) is True
    cost = cost_of(problem, plan)
    for large in range(4):
        for small in range(4):
            if 7 * large + 4 * small < cost:
                assert sets.holds((large, small), Stop.after(60), PLAIN) is False


def test_by_hand() -> None:
    """Seven 4 x 3 have less area than 9 x 10, but all lying alike only two by three go in; turned as need be all do."""
    upright = Multisets.of(Problem((Bin(9, 10, 1),), (Item(4, 3, 7, STRAIGHT),)))
    either = Multisets.of(Problem((Bin(10, 9, 1),), (Item(4, 3, 7, EITHER),)))
    assert upright is not None
    assert either is not None
    assert upright.holds((1,), Stop.after(60), PLAIN) is False
    assert upright.holds((2,), Stop.after(60), PLAIN) is True
    assert either.holds((1,), Stop.after(60), PLAIN) is True  # two rows of two lying, and a column of three upright


def test_nothing_is_said_where_there_is_no_time_or_room() -> None:
    problem = Problem((Bin(12, 10, 1),), (Item(4, 3, 7, EITHER),))
    told = threading.Event()
    told.set()
    sets = Multisets.of(problem)
    assert sets is not None
    assert sets.holds((1,), Stop(Stop.after(9).deadline, told), PLAIN) is None
    assert sets.holds((), Stop.after(9), PLAIN) is False
    assert Multisets.of(Problem((Bin(99, 99, 1),), tuple(Item(k, k, 1, EITHER) for k in range(1, 30)))) is None


def test_compiled_and_plain_say_the_same() -> None:
    if not ready():
        pytest.skip("compiled kernels are not in the cache; fill it with: python -m nesting.solve.compiled")
    fast = load()
    for seed in range(8):
        problem = tiny(random.Random(seed))
        both = [Multisets.of(problem) for _ in range(2)]
        for counts in ((1,), (2,), (3,)):
            said = [sets and sets.holds(counts, Stop.after(60), k) for sets, k in zip(both, (PLAIN, fast), strict=True)]
            assert said[0] is not None
            assert said[0] == said[1]
        assert (both[0].sets.count == both[1].sets.count).all()
        assert (both[0].sets.xs == both[1].sets.xs).all()


def test_a_job_of_few_types_is_proven_whatever_its_number_of_parts() -> None:
    """Twelve 5 x 3 have less area than a sheet of 17 x 11, but only eleven are cut from it: 24 need three sheets."""
    part = Item(5, 3, 24, EITHER)
    for copies, held in ((11, True), (12, False)):
        sets = Multisets.of(Problem((Bin(17, 11, 1),), (Item(5, 3, copies, EITHER),)))
        assert sets is not None
        assert sets.holds((1,), Stop.after(60), PLAIN) is held
    found = solve(Problem((Bin(17, 11, 1),), (part,)), Stop.after(20))
    assert found.proven
    assert found.cost == 3
