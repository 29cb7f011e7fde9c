from __future__ import annotations

import runpy
from pathlib import Path
from types import SimpleNamespace

from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.solve.construct import first_plans
from nesting.solve.problem import Bin, Item, Problem
from nesting.solve.stop import Stop

checks = SimpleNamespace(**runpy.run_path(str(Path(__file__).with_name("layout_checks.py"))))

WAYS = st.sampled_from([(True, False), (False, True), (True, True)])


@st.composite
def problems(draw, limited: bool = False):
    """One to three bins; each item fits at least the first, lying so in each bin that it fits as its ways say."""
    number = draw(st.integers(1, 3))
    bins = [Bin(draw(st.integers(20, 60)), draw(st.integers(20, 60)), draw(st.integers(0, 30))) for _ in range(number)]
    bins[0] = Bin(60, 60, 40)
    if limited:
        bins = [bins[0], *(Bin(b.length, b.width, b.cost, draw(st.integers(0, 2))) for b in bins[1:])]
    items = []
    for _ in range(draw(st.integers(1, 8))):
        length, width = draw(st.integers(1, 60)), draw(st.integers(1, 60))
        way = draw(WAYS)
        ways = tuple(
            (
                way[0] and length <= b.length and width <= b.width,
                way[1] and width <= b.length and length <= b.width,
            )
            for b in bins
        )
        items.append(Item(length, width, draw(st.integers(0, 4)), ways))
    return Problem(tuple(bins), tuple(items))


@settings(max_examples=60, deadline=None)
@given(problems(limited=True), st.integers(0, 5))
def test_every_plan_is_valid_and_cheaper_than_the_one_before(problem, seed):
    costs = []
    for plan in first_plans(problem, seed, 15, Stop.after(60)):
        assert checks.faults_of_plan(problem, plan) == []
        costs.append(checks.cost_of_plan(problem, plan))
    assert costs
    assert costs == sorted(set(costs), reverse=True)


def test_the_checks_find_faults():
    """The judge of these tests refuses a wrong size, a wrong way and a missing item."""
    problem = Problem((Bin(10, 10, 1, 1),), (Item(4, 5, 1, ((True, False),)),))
    from nesting.solve.pattern import Put, Sheet, Split

    good = Split("rip", 5, Split("crosscut", 4, Put(0), None), None)
    turned = Split("rip", 4, Split("crosscut", 5, Put(0, turned=True), None), None)
    assert checks.faults_of_plan(problem, (Sheet(0, good),)) == []
    assert checks.faults_of_plan(problem, (Sheet(0, Split("rip", 5, Put(0), None)),)) == [
        "item 0 of (4, 5) in a space of (10, 5)"
    ]
    assert checks.faults_of_plan(problem, (Sheet(0, turned),)) == ["item 0 may not lie so"]
    assert len(checks.faults_of_plan(problem, (Sheet(0, good), Sheet(0, good)))) == 2
    assert checks.faults_of_plan(problem, ()) == ["made {}, asked {0: 1}"]


def test_the_same_seed_gives_the_same_plans():
    items = tuple(Item(3 + 7 * k % 11, 2 + 5 * k % 13, 2, ((True, True),)) for k in range(20))
    problem = Problem((Bin(30, 20, 1),), items)
    first, second = (list(first_plans(problem, 7, 30, Stop.after(60))) for _ in range(2))
    assert first == second
    assert checks.faults_of_plan(problem, first[-1]) == []


def test_a_perfect_sheet_is_found():
    """Twelve of 5 × 4 fill 20 × 12 exactly: 240 of 240."""
    problem = Problem((Bin(20, 12, 1),), (Item(5, 4, 12, ((True, False),)),))
    assert [len(plan) for plan in first_plans(problem, 1, 20, Stop.after(60))][-1] == 1


def test_owned_bins_come_first_and_within_their_number():
    """Four squares of 10: two owned pieces hold one each, the bought sheet takes two."""
    problem = Problem((Bin(20, 10, 50), Bin(10, 10, 0, 2)), (Item(10, 10, 4, ((True, False), (True, False))),))
    plan = list(first_plans(problem, 1, 20, Stop.after(60)))[-1]
    assert checks.faults_of_plan(problem, plan) == []
    assert sorted(sheet.bin for sheet in plan) == [0, 1, 1]


def test_nothing_to_make_is_an_empty_plan():
    assert list(first_plans(Problem((Bin(5, 5, 1),), ()), 1, 5, Stop.after(60))) == [()]


def test_too_few_bins_give_no_plan():
    problem = Problem((Bin(10, 10, 1, 1),), (Item(10, 10, 2, ((True, False),)),))
    assert list(first_plans(problem, 1, 5, Stop.after(60))) == []


def test_the_cheapest_mix_of_bins():
    """Parts of 10 × 10 and 4 × 4: the large sheet at 10 holds both, two small ones cost 18."""
    both = ((True, False), (True, False))
    problem = Problem((Bin(14, 10, 10), Bin(10, 10, 9)), (Item(10, 10, 1, both), Item(4, 4, 1, both)))
    plan = list(first_plans(problem, 1, 30, Stop.after(60)))[-1]
    assert [sheet.bin for sheet in plan] == [0]
