"""The driver of the search: proofs, limits on stock, jobs of many pieces, stopping."""

from __future__ import annotations

import random
import threading
import time
from collections import Counter
from collections.abc import Callable

import pytest

from nesting.solve.columns import cost_of, keeps_limits
from nesting.solve.pattern import contents
from nesting.solve.problem import Bar, Bin, BlankWidth, Item, Problem
from nesting.solve.progress import News
from nesting.solve.search import Solution, solve
from nesting.solve.stop import Stop
from tests.leisure import LEISURE
from tests.solve.cuttable import stages

ANY = ((True, True),)
ROW = (BlankWidth(0, None, 4), BlankWidth(0, 0, 6))


def _sound(job: Problem, found: Solution) -> None:
    assert found.plan is not None
    assert keeps_limits(job, found.plan)
    assert cost_of(job, found.plan) == found.cost
    for plan in (found.plan, *found.ties):
        made: Counter[int] = Counter()
        bars: Counter[int] = Counter()
        for sheet in plan:
            stock = job.bins[sheet.bin]
            depth = stages(job, sheet.bin, sheet.pattern, stock.length, stock.width)
            assert job.max_stages is None or depth <= job.max_stages
            made += contents(sheet.pattern)[0]
            bars += contents(sheet.pattern)[1]
        assert dict(made) == {i: item.demand for i, item in enumerate(job.items) if item.demand}
        assert dict(bars) == {i: bar.demand for i, bar in enumerate(job.bars)}
        assert cost_of(job, plan) == found.cost


def _many(types: int, each: int, *, seed: int = 1, max_stages: int | None = None) -> Problem:
    rng = random.Random(seed)
    items = tuple(Item(rng.randint(60, 500), rng.randint(40, 300), each, ANY) for _ in range(types))
    return Problem((Bin(1500, 1000, 40),), items, max_stages=max_stages)


def _cancelled(job: Problem, good: Callable[[News], bool]) -> tuple[Solution, float]:
    """Search until there is a plan that is good enough, then cancel; return also the seconds from cancel to end."""
    cancel = threading.Event()
    pressed: list[float] = []

    def watch(news: News) -> None:
        if news.cost is not None and not pressed and good(news):
            pressed.append(time.perf_counter())
            cancel.set()

    found = solve(job, Stop.after(120, cancel), observer=watch)
    assert pressed
    return found, time.perf_counter() - pressed[0]


def test_bounds_and_quick_plans_settle_an_easy_job_without_compiling() -> None:
    job = Problem((Bin(96, 48, 60),), (Item(48, 24, 9, ANY),))
    told: list[News] = []
    found = solve(job, Stop.after(60), observer=told.append)
    _sound(job, found)
    assert (found.cost, found.proven) == (180, True)
    assert told[-1].cost == told[-1].bound == 180
    bounds = [news.bound for news in told]
    assert bounds == sorted(bounds)


def test_a_job_whose_area_bound_is_not_reached_is_proven_by_patterns() -> None:
    # four of 6 x 6 fit no bin of 11 x 11 together, nor do two
    job = Problem((Bin(11, 11, 7),), (Item(6, 6, 4, ANY), Item(5, 5, 4, ANY)))
    found = solve(job, Stop.after(60))
    _sound(job, found)
    assert (found.cost, found.proven) == (28, True)


def test_cleats_and_panels_share_a_sheet() -> None:
    job = Problem((Bin(20, 12, 5),), (Item(20, 6, 1, ((True, False),)),), 1, (Bar(0, 10, 4),), (ROW,))
    found = solve(job, Stop.after(60))
    _sound(job, found)
    assert (found.cost, found.proven) == (5, True)


def test_scarce_stock_is_used_first_and_its_limit_kept() -> None:
    ways = ((True, True),) * 2
    job = Problem((Bin(10, 10, 10), Bin(10, 10, 0, 1)), (Item(10, 10, 3, ways),))
    found = solve(job, Stop.after(60))
    _sound(job, found)
    assert (found.cost, found.proven, found.short) == (20, True, False)


def test_stock_that_runs_out_is_told_with_what_is_missing() -> None:
    job = Problem((Bin(10, 10, 7, 2),), (Item(10, 10, 3, ANY),))
    found = solve(job, Stop.after(60))
    assert found.short
    assert found.plan is not None
    assert Counter(sheet.bin for sheet in found.plan) == {0: 3}
    assert found.ties == ()


def test_a_limited_stock_that_alone_takes_the_cleats_runs_out_too() -> None:
    job = Problem((Bin(20, 12, 7, 1), Bin(20, 3, 1)), (), 1, (Bar(0, 20, 5),), (ROW, ROW))
    assert solve(job, Stop.after(20)).short  # the narrow bin takes no blank, the other four bars


@pytest.mark.parametrize(("limit", "cost"), [(None, 7), (2, 14), (3, 7)])
def test_stage_limits_cost_what_they_must(limit: int | None, cost: int) -> None:
    # around a 4 x 4 hole no two-stage pattern: 6 x 4 twice and 4 x 6 twice make a pinwheel only; here three stages
    items = (Item(10, 4, 1, ANY), Item(6, 6, 1, ANY), Item(4, 3, 2, ANY))
    job = Problem((Bin(10, 10, 7),), items, max_stages=limit)
    found = solve(job, Stop.after(60))
    _sound(job, found)
    assert (found.cost, found.proven) == (cost, True)


def test_more_than_six_hundred_pieces_are_cut_by_whole_patterns() -> None:
    job = _many(30, 40)
    found, _ = _cancelled(job, lambda news: news.cost <= 1.2 * news.bound)  # 1.03 in 4 s
    _sound(job, found)
    assert found.cost <= 1.2 * found.bound.cost


def test_under_a_stage_limit_many_sizes_still_give_a_plan() -> None:
    job = _many(40, 3, max_stages=3)
    found, _ = _cancelled(job, lambda news: news.cost <= 1.25 * news.bound)
    _sound(job, found)
    assert found.cost <= 1.25 * found.bound.cost


@pytest.mark.parametrize("job", [_many(70, 2), _many(40, 40), _many(40, 4, max_stages=3)])
def test_a_cancel_is_heard_at_once_and_the_best_plan_kept(job: Problem) -> None:
    found, seconds = _cancelled(job, lambda _: True)
    assert seconds < LEISURE
    _sound(job, found)


def test_no_time_gives_a_first_plan_all_the_same_but_not_without_patience() -> None:
    job = _many(20, 2)
    assert solve(job, Stop.after(0)).plan is not None
    for limited in (_many(20, 2, max_stages=2), _many(40, 40, max_stages=2)):
        assert solve(limited, Stop.after(0)).plan is not None
    assert solve(limited, Stop.after(0), patience=0.0).plan is None


def test_the_same_seed_gives_the_same_plan() -> None:
    job = Problem((Bin(20, 12, 5),), (Item(9, 5, 3, ANY),), 1, (Bar(0, 10, 4), Bar(0, 7, 3)), (ROW,))
    one, other = solve(job, Stop.after(60), 5), solve(job, Stop.after(60), 5)
    assert one.proven
    assert one == other
