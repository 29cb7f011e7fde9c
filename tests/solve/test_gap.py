"""The integer program over listed sets: the last cent counts, and no plan is told from no time."""

from __future__ import annotations

import itertools
import random
from collections import Counter

import pytest

from nesting.solve.boxes import OutOfTime
from nesting.solve.columns import cost_of
from nesting.solve.covering import Column, cover
from nesting.solve.dives import Near
from nesting.solve.exact_pricing import pricer
from nesting.solve.gap import decide
from nesting.solve.pattern import contents
from nesting.solve.pattern_bound import Master
from nesting.solve.problem import Bin, Item, Problem
from nesting.solve.proofs import Prover
from nesting.solve.stop import Stop

STRAIGHT = (True, False)
ONE_EACH = [(b, ((item, 1),)) for b in (0, 1) for item in (0, 1)]
# a long and a short part; the dear sheet holds any, the other, 3 cents of 200,000 dollars less, the short one alone
DEAR, CHEAP = 20_000_000, 19_999_997
BY_HAND = Problem(
    (Bin(10, 10, DEAR), Bin(6, 10, CHEAP)), (Item(10, 10, 1, (STRAIGHT,) * 2), Item(6, 10, 1, (STRAIGHT,) * 2))
)
LISTED = [column for column in ONE_EACH if column != (1, ((0, 1),))]


@pytest.mark.parametrize(
    ("most", "cost"), [(None, DEAR + CHEAP), (2 * DEAR, DEAR + CHEAP), (DEAR + CHEAP, DEAR + CHEAP), (2 * CHEAP, None)]
)
def test_the_last_cent_counts(most: int | None, cost: int | None) -> None:
    pricers = [pricer(BY_HAND, b, compiled=False) for b in (0, 1)]
    plan = decide(BY_HAND, pricers, LISTED, [True, True], most, Stop.after(20))
    assert (None if plan is None else cost_of(BY_HAND, plan)) == cost


def test_what_is_not_needed_is_left_out_and_what_nothing_covers_has_no_plan() -> None:
    pricers = [pricer(BY_HAND, b, compiled=False) for b in (0, 1)]
    plan = decide(BY_HAND, pricers, LISTED, [False, True], CHEAP, Stop.after(20))
    assert plan is not None
    assert [sheet.bin for sheet in plan] == [1]
    assert decide(BY_HAND, pricers, LISTED[1:2], [True, True], 9 * DEAR, Stop.after(20)) is None
    with pytest.raises(OutOfTime):
        decide(BY_HAND, pricers, LISTED, [True, True], None, Stop.after(0))


@pytest.mark.parametrize(("most", "taken"), [(None, [1, 1]), (12, [1, 1]), (11, None)])
def test_no_more_of_a_group_than_its_limit(most: int | None, taken: list[int] | None) -> None:
    columns = [Column(5, 2, ((0, 1),), 0), Column(7, 2, ((0, 1),), 1)]
    assert cover([2], columns, most, Stop.after(20), {0: 1}) == taken
    assert cover([2], columns, None, Stop.after(20)) == [2, 0]
    assert cover([2], columns[:1], None, Stop.after(20), {0: 1}) is None


@pytest.mark.parametrize("seed", range(6))
def test_against_every_combination(seed: int) -> None:
    rng = random.Random(seed)
    bins = (Bin(10, 1, rng.randint(5000, 9000)), Bin(6, 1, rng.randint(3000, 5000)))
    items = tuple(Item(rng.randint(1, 6), 1, 1, (STRAIGHT,) * 2) for _ in range(6))
    problem = Problem(bins, items)
    sets = [
        (b, tuple((item, 1) for item in chosen))
        for b, stock in enumerate(bins)
        for size in range(1, 5)
        for chosen in itertools.combinations(range(6), size)
        if sum(items[item].length for item in chosen) <= stock.length
    ]
    listed = [(0, ((item, 1),)) for item in range(6)] + rng.sample(sets, min(20, len(sets)))
    cheapest = {frozenset(): 0}  # what covers each set of parts at least
    for b, content in listed * 6:
        for covered, cost in list(cheapest.items()):
            more = covered | {item for item, _ in content}
            cheapest[more] = min(cheapest.get(more, cost + bins[b].cost), cost + bins[b].cost)
    least = cheapest[frozenset(range(6))]
    pricers = [pricer(problem, b, compiled=False) for b in (0, 1)]
    for most, cost in ((least, least), (least + 1, least), (least - 1, None)):
        plan = decide(problem, pricers, listed, [True] * 6, most, Stop.after(20))
        assert (None if plan is None else cost_of(problem, plan)) == cost


def test_a_mix_of_known_patterns_is_met() -> None:
    items = tuple(Item(side, 10, 1, (STRAIGHT,)) for side in (7, 3, 6, 4))
    problem = Problem((Bin(10, 10, 1),), items)
    known = [(0, ((0, 1), (1, 1))), (0, ((2, 1), (3, 1))), (0, ((0, 1),)), (0, ((1, 1), (2, 1)))]
    prover = Prover(problem)
    prover.pricers = [pricer(problem, 0, compiled=False)]
    master = Master(problem, known)
    assert master.prices(Stop.after(9)) is not None
    assert set(known[:2]) <= set(master.within(2))
    plan = prover._mixed(master, 2, Stop.after(9))
    assert plan is not None
    assert len(plan) == 2
    few = Master(problem, known[1:])
    assert few.prices(Stop.after(9)) is not None
    assert prover._mixed(few, 2, Stop.after(9)) is None


@pytest.mark.parametrize(("proving", "whole"), [(False, True), (True, False)])
def test_a_mix_is_handed_over_while_the_linear_program_is_cheap_enough(proving: bool, whole: bool) -> None:
    """Half of each pair costs 1.5 sheets, and two pairs taken in turn cover one part twice; a pair and one cost 2."""
    items = tuple(Item(side, 10, 1, (STRAIGHT,)) for side in (5, 4, 3))
    problem = Problem((Bin(10, 10, 1),), items)
    pairs = [(0, ((one, 1), (two, 1))) for one, two in ((0, 1), (0, 2), (1, 2))]
    master = Master(problem, [*pairs, *((0, ((item, 1),)) for item in range(3))])
    assert master.prices(Stop.after(9)) is not None
    prover = Prover(problem, pricers=[pricer(problem, 0, compiled=False)])
    handed: list[Near] = []
    near = prover._near(3, Stop.after(20), handed.append)
    assert near is not None
    near(master, proving)
    (hope,) = handed
    assert hope.target == 2
    held = sum((contents(sheet.pattern)[0] for sheet in hope.part), Counter[int]())
    assert (held == Counter(range(3))) == whole
