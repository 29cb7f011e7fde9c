"""Very many pieces: portions, rounding, and plans that keep demands and limits."""

from __future__ import annotations

import random
import runpy
from collections import Counter
from pathlib import Path
from types import SimpleNamespace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.solve.bulk import beamed, completed, improved_portion, portions, quick_plan, rounded_down
from nesting.solve.columns import Pool, column_of, cost_of, remaining
from nesting.solve.compiled import PLAIN, load, ready
from nesting.solve.pattern import Put, Sheet, Split, contents
from nesting.solve.pricing import generate
from nesting.solve.problem import Bin, Item, Problem
from nesting.solve.search import MOST_COPIES, solve
from nesting.solve.stop import Stop

checks = SimpleNamespace(**runpy.run_path(str(Path(__file__).with_name("layout_checks.py"))))
EITHER = ((True, True),)


def job(pieces: int, types: int, limit: int | None = None) -> Problem:
    rng = random.Random(types)
    items = tuple(Item(rng.randint(8, 30), rng.randint(6, 20), pieces // types, EITHER) for _ in range(types))
    return Problem((Bin(60, 40, 7, limit),), items)


@settings(max_examples=50, deadline=None)
@given(st.lists(st.integers(0, 40), min_size=1, max_size=6), st.integers(1, 30))
def test_portions_add_up_to_the_job(demands, most):
    whole = Problem((Bin(9, 9, 1),), tuple(Item(3, 3, demand, EITHER) for demand in demands))
    parts = portions(whole, most)
    assert [sum(part.items[i].demand for part in parts) for i in range(len(demands))] == demands
    assert all(sum(item.demand for item in part.items) <= most + len(demands) for part in parts)


def test_rounding_never_makes_too_much_and_keeps_limits():
    problem = Problem((Bin(10, 10, 1, 3),), (Item(10, 5, 7, ((True, False),)),))
    two = column_of(0, Split("rip", 5, Put(0), Put(0)))
    plan = rounded_down(problem, [(3.6, two)], 0.5)
    assert len(plan) == 3
    assert remaining(problem, plan).items[0].demand == 1
    assert remaining(problem, plan).bins[0].limit == 0


def test_plans_in_bulk_are_whole():
    problem = job(240, 12)
    stop = Stop.after(60)
    plan = quick_plan(problem, 1, stop, PLAIN, portion=60)
    assert checks.faults_of_plan(problem, plan) == []
    better = improved_portion(problem, plan, 1, stop, PLAIN)
    assert checks.faults_of_plan(problem, better) == []
    assert cost_of(problem, better) <= cost_of(problem, plan)
    again = completed(problem, [(2.0, column_of(sheet.bin, sheet.pattern)) for sheet in plan[:2]], 0.0, 1, stop, PLAIN)
    assert checks.faults_of_plan(problem, again) == []


def test_no_plan_where_the_stock_runs_out():
    assert quick_plan(job(240, 12, limit=2), 1, Stop.after(60), PLAIN) is None


def test_a_job_of_very_many_pieces_comes_close_to_its_bound():
    problem = job(MOST_COPIES + 200, 20)
    found = solve(problem, Stop.after(3))
    assert checks.faults_of_plan(problem, found.plan) == []
    assert found.cost <= found.bound.cost * 1.06
    assert all(isinstance(sheet, Sheet) for sheet in found.plan)


def test_a_beam_needs_fewer_sheets_or_says_nothing() -> None:
    if not ready():
        pytest.skip("compiled kernels are not in the cache; fill it with: python -m nesting.solve.compiled")
    kernels = load()
    problem = Problem((Bin(60, 40, 1),), tuple(Item(5 + k, 4 + 2 * k, 12, ((True, True),)) for k in range(8)))
    plan = quick_plan(problem, 1, Stop.after(60), kernels)
    assert plan is not None
    area = sum(item.length * item.width * item.demand for item in problem.items)
    wasteful = plan + plan[-1:] * 3  # three sheets more than it takes
    found = beamed(problem, wasteful, 1, Stop.after(60), kernels)
    assert found is not None
    assert area <= len(found) * 2400
    assert len(found) < len(wasteful)
    assert sum((contents(sheet.pattern)[0] for sheet in found), Counter()) == Counter(
        {i: item.demand for i, item in enumerate(problem.items)}
    )
    assert beamed(problem, plan[: area // 2400], 1, Stop.after(60), kernels) is None  # one fewer has not even the area
    assert beamed(problem, wasteful, 1, Stop.after(60), PLAIN) is None


def test_patterns_cover_nearly_all_beside_a_free_offcut_and_where_stock_is_limited() -> None:
    parts = [(17, 9), (23, 14), (11, 8), (29, 19)]
    free_offcut = Bin(25, 20, 0, 2)
    for bins in ((Bin(60, 40, 7), free_offcut), (Bin(60, 40, 7, 60), free_offcut)):
        problem = Problem(bins, tuple(Item(length, width, 50, EITHER * 2) for length, width in parts))
        amounts = generate(problem, Pool(), Stop.after(60), rough=2_000).amounts
        made = Counter[int]()
        for amount, column in amounts:
            made.update({i: amount * n for i, n in column.items})
        assert all(made[i] >= 49.9 for i in range(len(parts))), bins
