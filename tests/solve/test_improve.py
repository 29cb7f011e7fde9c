from __future__ import annotations

import runpy
import threading
import time
from pathlib import Path
from types import SimpleNamespace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.errors import Bug
from nesting.solve.construct import first_plans
from nesting.solve.improve import improve
from nesting.solve.pattern import Put, Sheet, Split
from nesting.solve.problem import Bin, Item, Problem
from nesting.solve.stop import Stop
from tests.leisure import LEISURE

checks = SimpleNamespace(**runpy.run_path(str(Path(__file__).with_name("layout_checks.py"))))
EITHER = ((True, True),)


def mixed(number: int) -> Problem:
    """Parts of many sizes for 60 × 40 sheets, a fixed pseudo-random choice."""
    items = tuple(Item(4 + 37 * k % 29, 3 + 23 * k % 19, 1 + k % 2, EITHER) for k in range(number))
    return Problem((Bin(60, 40, 1),), items)


def first(problem: Problem, tries: int = 1):
    return list(first_plans(problem, 1, tries, Stop.after(60)))[-1]


@settings(max_examples=40, deadline=None)
@given(st.data())
def test_plans_and_patterns_stay_valid(data):
    number = data.draw(st.integers(1, 3))
    bins = (Bin(40, 30, 20), *(Bin(30, 20, 9, 1), Bin(25, 40, 0, 1))[: number - 1])
    items = []
    for _ in range(data.draw(st.integers(1, 9))):
        length, width = data.draw(st.integers(1, 30)), data.draw(st.integers(1, 30))
        turn = data.draw(st.booleans())
        ways = tuple(
            (length <= b.length and width <= b.width, turn and width <= b.length and length <= b.width) for b in bins
        )
        items.append(Item(length, width, data.draw(st.integers(1, 4)), ways))
    problem = Problem(bins, tuple(items))
    plans, patterns = [], []
    start = first(problem)
    best = improve(
        problem,
        start,
        3,
        Stop.after(60),
        iterations=25,
        on_better=plans.append,
        on_pattern=lambda kind, pattern: patterns.append((kind, pattern)),
    )
    for plan in (*plans, best):
        assert checks.faults_of_plan(problem, plan) == []
    costs = [checks.cost_of_plan(problem, plan) for plan in (start, *plans)]
    assert costs == sorted(set(costs), reverse=True)
    assert checks.cost_of_plan(problem, best) == costs[-1]
    for kind, pattern in patterns:
        assert checks.faults_of_pattern(problem, kind, pattern) == []
    contents = [(kind, tuple(sorted(checks.items_of(pattern).items()))) for kind, pattern in patterns]
    assert len(contents) == len(set(contents))
    for kind, pattern in patterns:
        area = sum(
            problem.items[i].length * problem.items[i].width * count for i, count in checks.items_of(pattern).items()
        )
        assert area >= 0.8 * problem.bins[kind].length * problem.bins[kind].width


def test_it_empties_a_sheet():
    """Strips of 6 and 4 in sheets of 10, put together badly: three of each fill three sheets, the start has four."""
    strips = (Item(10, 6, 3, ((True, False),)), Item(10, 4, 3, ((True, False),)))
    problem = Problem((Bin(10, 10, 1),), strips)
    alone = Split("rip", 6, Put(0), None)
    pair = Split("rip", 4, Put(1), Split("rip", 4, Put(1), None))
    one = Split("rip", 6, Put(0), Put(1))
    start = (Sheet(0, alone), Sheet(0, alone), Sheet(0, pair), Sheet(0, one))
    assert checks.faults_of_plan(problem, start) == []
    best = improve(problem, start, 1, Stop.after(60), target=3)
    assert len(best) == 3
    assert checks.faults_of_plan(problem, best) == []


def test_contents_move_into_a_cheaper_bin():
    """The same two parts fit the small sheet at 3 as well as the large one at 10."""
    both = ((True, False), (True, False))
    problem = Problem((Bin(20, 20, 10), Bin(10, 10, 3)), (Item(10, 5, 2, both),))
    pattern = Split("crosscut", 10, Split("rip", 5, Put(0), Split("rip", 5, Put(0), None)), None)
    best = improve(problem, (Sheet(0, pattern),), 1, Stop.after(60), target=3)
    assert [sheet.bin for sheet in best] == [1]
    assert checks.faults_of_plan(problem, best) == []


def test_the_same_seed_and_iterations_give_the_same_plan():
    problem = mixed(40)
    start = first(problem)
    assert improve(problem, start, 5, Stop.after(60), iterations=60) == improve(
        problem, start, 5, Stop.after(60), iterations=60
    )


def test_it_stops_at_once_when_cancelled():
    problem = mixed(120)
    start = first(problem)
    stop = Stop.after(60)
    threading.Timer(0.3, stop.cancel.set).start()
    begun = time.perf_counter()
    best = improve(problem, start, 1, stop)
    assert time.perf_counter() - begun < LEISURE
    assert checks.faults_of_plan(problem, best) == []


def test_a_start_of_wrong_contents_is_a_bug():
    problem = Problem((Bin(10, 10, 1),), (Item(10, 10, 2, EITHER),))
    with pytest.raises(Bug):
        improve(problem, (Sheet(0, Put(0)),), 1, Stop.after(1))
    with pytest.raises(Bug):
        improve(problem, (Sheet(0, Put(0)),) * 3, 1, Stop.after(1))


def test_an_empty_plan_is_handed_back():
    assert improve(Problem((Bin(10, 10, 1),), ()), (), 1, Stop.after(1)) == ()
