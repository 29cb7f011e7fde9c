"""Column generation: bounds from any prices, thresholds of limited bins, and good columns."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.solve.columns import Pool, column_of
from nesting.solve.pattern import Put, Split
from nesting.solve.pricing import (
    MOST_POINTS_PLAIN,
    UNIT,
    bound_from_prices,
    generate,
    limited,
    places_of,
    price,
    price_within,
)
from nesting.solve.problem import Bar, Bin, BlankWidth, Item, Problem
from nesting.solve.proofs import solve_exactly
from nesting.solve.stop import Stop

TURN = ((True, True),)
AS_IS = ((True, False),)


def test_halves_need_half_a_bin_each_and_the_bound_is_rounded_up() -> None:
    job = Problem((Bin(10, 10, 7),), (Item(5, 10, 3, AS_IS),))
    found = generate(job, Pool(), Stop.after(20))
    assert (found.cost, found.ended) == (11, True)  # 3 halves of 7


def test_two_bins_compete_by_price() -> None:
    ways = ((True, True),) * 2
    job = Problem((Bin(10, 10, 60), Bin(10, 5, 35)), (Item(6, 5, 3, ways),))
    assert generate(job, Pool(), Stop.after(20)).cost == 90  # a whole bin gives two, so 30 each


def test_a_limited_cheap_bin_gives_back_what_it_is_worth_more() -> None:
    ways = ((True, True),) * 2
    job = Problem((Bin(10, 10, 10), Bin(10, 10, 0, 1)), (Item(10, 10, 3, ways),))
    assert generate(job, Pool(), Stop.after(20)).cost == 20


@pytest.mark.parametrize(
    ("cost", "limit", "whole", "worth", "bound"),
    [
        (10, None, 5, 10, 25),  # 5 demands at 5: no bin is worth more than it costs
        (10, None, 10, 20, 25),  # the same prices twice as high are scaled down
        (10, 2, 10, 20, 30),  # two bins give back 10 each
        (10, 0, 10, 20, 50),  # a bin that there is none of gives nothing back
        (0, None, 5, 10, 0),
    ],
)
def test_a_bound_follows_from_any_prices(cost: int, limit: int | None, whole: int, worth: int, bound: int) -> None:
    job = Problem((Bin(10, 10, cost, limit),), (Item(5, 10, 5, AS_IS),))
    assert bound_from_prices(job, [5], [whole * UNIT], [worth * UNIT]) == bound


@st.composite
def tiny(draw: st.DrawFn) -> Problem:
    sides = st.integers(2, 12)
    bins = [Bin(12, 12, draw(st.integers(3, 9)))]
    bins += [Bin(draw(sides), draw(sides), draw(st.integers(0, 9)), draw(st.integers(0, 2))) for _ in range(2)]
    ways = ((True, True),) * 3
    return Problem(tuple(bins), tuple(Item(draw(sides), draw(sides), draw(st.integers(1, 2)), ways) for _ in range(3)))


@given(tiny())
@settings(max_examples=60, deadline=None)
def test_the_bound_is_never_above_the_optimum(job: Problem) -> None:
    from nesting.solve.columns import cost_of

    best = solve_exactly(job, Stop.after(60))
    assert best is not None
    met: list[int] = []
    found = generate(job, Pool(), Stop.after(60), on_bound=met.append)
    assert met == sorted(set(met))
    assert found.cost <= cost_of(job, best)


def test_bounds_hold_for_cleats() -> None:
    blanks = ((BlankWidth(0, None, 4), BlankWidth(0, 0, 6)),)
    job = Problem((Bin(20, 12, 5),), (), 1, (Bar(0, 10, 9),), blanks)
    # 12 = two blanks of 6: four bars of two cleats, so 8 a bin
    assert generate(job, Pool(), Stop.after(20)).cost == 6  # 9/8 of 5, rounded up
    assert price(job, places_of(job)[0], [UNIT])[0] == 8 * UNIT


def test_patterns_within_the_demands_are_filled_with_what_else_is_wanted() -> None:
    job = Problem((Bin(10, 10, 1),), (Item(5, 10, 1, AS_IS), Item(5, 5, 9, AS_IS)), max_stages=2)
    (place,) = places_of(job)
    assert limited(job)
    free = column_of(0, price(job, place, [10, 1])[1])
    assert free.items == ((0, 2),)
    within = column_of(0, price_within(job, place, [10, 1], _plain(), Stop.after(20)))
    assert within.items == ((0, 1), (1, 2))


def _plain() -> Any:
    from nesting.solve.compiled import PLAIN

    return PLAIN


def test_too_many_points_give_columns_but_no_bound() -> None:
    items = tuple(Item(40 + 7 * n + n * n % 5, 31 + 5 * n + n * n % 7, 3, TURN) for n in range(14))
    job = Problem((Bin(960, 480, 1),), items)
    (place,) = places_of(job, MOST_POINTS_PLAIN)
    assert not place.exact
    assert place.xs.size * place.ys.size <= 1.5 * MOST_POINTS_PLAIN
    assert {item.length for item in items} <= set(place.xs.tolist())
    pool = Pool()
    found = generate(job, pool, Stop.after(20), rounds=2)
    assert found.cost == 0
    assert pool.columns


def test_nothing_is_done_after_the_stop() -> None:
    job = Problem((Bin(10, 10, 7),), (Item(5, 10, 3, AS_IS),))
    found = generate(job, Pool(), Stop.after(0))
    assert (found.cost, found.ended) == (0, False)


def test_columns_of_the_pool_are_taken_along() -> None:
    job = Problem((Bin(10, 10, 7),), (Item(5, 10, 3, AS_IS),))
    pool = Pool()
    assert pool.add(0, Split("crosscut", 5, Put(0), Put(0)))
    assert not pool.add(0, Split("rip", 5, Put(0), Put(0)))  # the same content
    assert generate(job, pool, Stop.after(20)).cost == 11
