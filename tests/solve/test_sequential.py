"""Sequential value correction: whole plans sheet by sheet."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.solve.columns import Pool, cost_of
from nesting.solve.pattern import contents
from nesting.solve.problem import Bar, Bin, BlankWidth, Item, Problem
from nesting.solve.proofs import solve_exactly
from nesting.solve.sequential import value_corrected
from nesting.solve.stop import Stop
from tests.solve.cuttable import stages
from tests.solve.test_pricing import tiny

AS_IS = ((True, False),)


def test_many_copies_are_cut_by_repeating_a_sheet() -> None:
    job = Problem((Bin(10, 10, 7),), (Item(5, 10, 1001, AS_IS),))
    pool = Pool()
    plan = value_corrected(job, Stop.after(20), 0, pool, passes=1)
    assert plan is not None
    assert len(plan) == 501
    assert sum(contents(sheet.pattern)[0][0] for sheet in plan) == 1001
    assert len(pool.columns) == 2


def test_bars_and_panels_share_the_sheets() -> None:
    blanks = ((BlankWidth(0, None, 4), BlankWidth(0, 0, 6)),)
    job = Problem((Bin(20, 12, 5),), (Item(20, 6, 2, AS_IS),), 1, (Bar(0, 10, 8),), blanks)
    plan = value_corrected(job, Stop.after(20), 0, Pool())
    assert plan is not None
    assert len(plan) == 2


def test_stock_that_runs_out_gives_no_plan() -> None:
    job = Problem((Bin(10, 10, 7, 1),), (Item(5, 10, 3, AS_IS),))
    assert value_corrected(job, Stop.after(20), 0, Pool()) is None
    assert value_corrected(replace(job, bins=(Bin(10, 10, 7, 2),)), Stop.after(20), 0, Pool()) is not None


def test_no_time_no_plan() -> None:
    assert value_corrected(Problem((Bin(9, 9, 1),), (Item(3, 3, 1, AS_IS),)), Stop.after(0), 0, Pool()) is None


@given(tiny(), st.sampled_from(["any", "rip", "crosscut"]), st.sampled_from([2, 3, None]))
@settings(max_examples=60, deadline=None)
def test_plans_meet_the_demand_keep_the_limits_and_cost_no_less_than_the_optimum(
    job: Problem, first: str, limit: int | None
) -> None:
    job = replace(job, first_cut=first, max_stages=limit)  # type: ignore[arg-type]
    plan = value_corrected(job, Stop.after(60), 1, Pool())
    if plan is None:
        return
    made = sum((contents(sheet.pattern)[0] for sheet in plan), start=contents(None)[0])
    assert dict(made) == {i: item.demand for i, item in enumerate(job.items)}
    for sheet in plan:
        stock = job.bins[sheet.bin]
        depth = stages(job, sheet.bin, sheet.pattern, stock.length, stock.width)
        assert limit is None or depth <= limit
    best = solve_exactly(job, Stop.after(60))
    assert best is not None
    assert cost_of(job, plan) >= cost_of(job, best)


@pytest.mark.parametrize("seed", [1, 2])
def test_the_same_seed_gives_the_same_plan(seed: int) -> None:
    items = tuple(Item(3 + n, 5 + 2 * n % 7, 4, ((True, True),)) for n in range(6))
    job = Problem((Bin(20, 20, 7),), items)
    one, other = (value_corrected(job, Stop.after(60), seed, Pool()) for _ in range(2))
    assert one == other
