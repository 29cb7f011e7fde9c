"""Choices of stock: which counts are listed, and that what fits them is a plan of the job."""

from nesting.solve.bounds import needs_of
from nesting.solve.choices import FULL, choices, drawn, narrowed
from nesting.solve.columns import cost_of
from nesting.solve.compiled import PLAIN
from nesting.solve.construct import first_plans
from nesting.solve.problem import Bin, Item, Problem
from nesting.solve.stop import Stop

FREE = (True, True)


def job() -> Problem:
    bins = (Bin(100, 50, 60), Bin(50, 50, 35), Bin(40, 20, 0, 1))
    return Problem(bins, (Item(50, 25, 6, (FREE, FREE, (False, False))), Item(20, 20, 2, (FREE,) * 3)))


def test_choices_are_those_that_could_hold_the_parts() -> None:
    problem = job()
    area = 6 * 50 * 25 + 2 * 20 * 20
    listed = choices(problem, needs_of(problem), 130)
    assert listed
    for choice in listed:
        bought = list(zip(choice.counts, problem.bins, strict=True))
        assert sum(count * stock.cost for count, stock in bought) == choice.cost < 130
        assert sum(count * stock.length * stock.width for count, stock in bought) >= area
        assert choice.counts[2] == 1  # what is free is there
    by_hand = {(a, b, 1) for a in range(3) for b in range(4) if a * 60 + b * 35 < 130 and a * 2 + b >= 3}
    assert {choice.counts for choice in listed} == by_hand


def test_no_choices_where_there_are_too_many_or_none_is_cheaper() -> None:
    problem = job()
    assert choices(problem, needs_of(problem), 1) == []
    assert choices(problem, needs_of(problem), 10_000_000) == []
    assert drawn([], 3) is None
    assert all(
        choice is None or choice.fill < FULL for choice in (drawn(choices(problem, [], 130), n) for n in range(9))
    )


def test_what_fits_a_choice_is_a_plan_of_the_job() -> None:
    problem = job()
    choice = next(c for c in choices(problem, needs_of(problem), 130) if c.counts == (1, 1, 1))
    narrow = narrowed(problem, choice)
    plans = list(first_plans(narrow.problem, 1, 50, Stop.after(5), PLAIN))
    fitting = [plan for plan in map(narrow.plan, plans) if plan is not None]
    assert fitting  # two halves of 50 x 25 in the small sheet, four in the large one, the rest in the offcut
    assert {cost_of(problem, plan) for plan in fitting} == {95}
    assert narrow.plan(plans[0]) is None or cost_of(narrow.problem, plans[0]) == 0


def test_one_stock_gets_finer_room_for_what_does_not_fit() -> None:
    problem = Problem((Bin(100, 50, 60),), (Item(50, 25, 8, (FREE,)),))
    (choice,) = choices(problem, needs_of(problem), 180)
    assert (choice.counts, choice.cost) == ((2,), 120)
    narrow = narrowed(problem, choice)
    assert narrow.problem.bins[0] == Bin(100, 50, 0, 2)
    assert len(narrow.problem.bins) > 3
    assert narrow.source == (0,) * len(narrow.problem.bins)
