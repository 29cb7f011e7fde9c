"""The integer master and the pool it chooses from."""

from __future__ import annotations

import threading
import time

from nesting.solve.columns import (
    Pool,
    column_of,
    cost_of,
    keeps_limits,
    thinned_to_demand,
    without_surplus,
)
from nesting.solve.master import choose
from nesting.solve.pattern import Put, Sheet, Split, Strip, contents
from nesting.solve.problem import Bar, Bin, BlankWidth, Item, Problem
from nesting.solve.stop import Stop
from tests.leisure import LEISURE

WAYS = ((True, True),) * 2
JOB = Problem((Bin(10, 10, 60), Bin(10, 5, 35, 1)), (Item(6, 5, 3, WAYS),))
TWO, ONE = Split("rip", 5, Put(0), Put(0)), Split("crosscut", 6, Put(0), None)


def test_the_cheapest_columns_that_cover_the_demand() -> None:
    columns = [column_of(0, TWO), column_of(1, ONE)]
    plan = choose(JOB, columns, Stop.after(20))
    assert plan is not None
    assert sorted(sheet.bin for sheet in plan) == [0, 1]
    assert cost_of(JOB, plan) == 95


def test_limits_of_bins_are_kept_and_surplus_is_dropped() -> None:
    plan = choose(JOB, [column_of(1, ONE)], Stop.after(20))
    assert plan is None
    plan = choose(JOB, [column_of(0, TWO)], Stop.after(20))
    assert plan is not None
    assert sum(contents(sheet.pattern)[0][0] for sheet in plan) == 3


def test_the_incumbent_stays_where_nothing_is_cheaper() -> None:
    incumbent = (Sheet(0, TWO), Sheet(1, ONE))
    assert choose(JOB, [column_of(0, TWO), column_of(1, ONE)], Stop.after(20), incumbent) is incumbent
    dear = (Sheet(0, TWO), Sheet(0, TWO))
    better = choose(JOB, [column_of(0, TWO), column_of(1, ONE)], Stop.after(20), dear)
    assert better is not None
    assert cost_of(JOB, better) == 95


def test_a_cancelled_master_ends_soon() -> None:
    items = tuple(Item(3 + n, 4, 97 + n, ((True, True),)) for n in range(40))
    job = Problem((Bin(100, 100, 60),), items)
    pool = Pool()
    for n in range(600):
        pattern: object = None
        for k in range(8):
            put = Put((n * 7 + k * k * (n % 11 + 1)) % 40)
            pattern = put if pattern is None else Split("rip", 4 * k, pattern, put)  # type: ignore[arg-type]
        pool.add(0, pattern)  # type: ignore[arg-type]
    cancel = threading.Event()
    timer = threading.Timer(0.3, cancel.set)
    timer.start()
    begun = time.perf_counter()
    choose(job, list(pool), Stop.after(60, cancel))
    assert time.perf_counter() - begun < LEISURE
    timer.cancel()


def test_surplus_goes_from_the_last_sheets_and_empty_sheets_with_it() -> None:
    job = Problem((Bin(10, 10, 1),), (Item(6, 5, 2, ((True, True),)),), 1, (Bar(0, 4, 1),), ((BlankWidth(0, 0, 5),),))
    plan = (Sheet(0, TWO), Sheet(0, TWO), Sheet(0, Strip(0, (0, 0), (0,))))
    kept = without_surplus(job, plan)
    assert [contents(sheet.pattern) for sheet in kept] == [({0: 2}, {}), ({}, {0: 1})]


def test_a_pattern_is_thinned_to_the_whole_demand() -> None:
    job = Problem((Bin(10, 10, 1),), (Item(6, 5, 1, ((True, True),)),))
    assert contents(thinned_to_demand(job, TWO))[0] == {0: 1}


def test_the_pool_keeps_one_pattern_a_content_and_no_more_than_its_room() -> None:
    pool = Pool(room=2)
    assert pool.add(0, TWO)
    assert not pool.add(0, Split("crosscut", 5, Put(0), Put(0)))
    assert pool.add(1, TWO)
    assert not pool.add(0, ONE)
    assert not pool.add(0, None)
    assert len(list(pool)) == 2


def test_limits_are_counted_by_bin() -> None:
    assert keeps_limits(JOB, (Sheet(1, ONE),))
    assert not keeps_limits(JOB, (Sheet(1, ONE), Sheet(1, ONE)))
