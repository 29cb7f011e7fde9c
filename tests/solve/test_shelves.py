"""Shelves: plans keep the limits on stages, on the first cut and on stock; they come at once however many pieces."""

from __future__ import annotations

import random
import threading
from collections import Counter
from typing import Literal

from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.solve import search
from nesting.solve.bars import compose, decomposed
from nesting.solve.columns import keeps_limits
from nesting.solve.compiled import PLAIN
from nesting.solve.pattern import Split, contents
from nesting.solve.problem import Bar, Bin, BlankWidth, Item, Problem
from nesting.solve.progress import News
from nesting.solve.search import solve
from nesting.solve.shelves import shelved
from nesting.solve.stop import Stop
from tests.leisure import LEISURE
from tests.solve.cuttable import stages

ANY, STRAIGHT = ((True, True),), ((True, False),)
ROW = (BlankWidth(0, None, 4), BlankWidth(0, 0, 6), BlankWidth(0, 1, 7), BlankWidth(1, 1, 8), BlankWidth(1, None, 5))
FIRST: tuple[Literal["any", "rip", "crosscut"], ...] = ("any", "rip", "crosscut")


def job(rng: random.Random) -> Problem:
    """Up to sixteen parts and some cleats for sheets of two sizes, the cheaper one limited."""
    ways = [tuple(rng.choice(((True, False), (True, True), (False, True))) for _ in range(2)) for _ in range(4)]
    items = tuple(Item(rng.randint(1, 14), rng.randint(1, 14), rng.randint(0, 4), way) for way in ways)
    bars = tuple(Bar(rng.randrange(2), rng.randint(3, 20), rng.randint(0, 3)) for _ in range(rng.randint(0, 3)))
    bins = (Bin(30, 20, 9), Bin(16, 15, 2, rng.randint(0, 3)))
    limit = rng.choice((None, 2, 3, 4))
    return Problem(bins, items, 1, bars, (ROW, ROW), rng.choice(FIRST), limit)


@settings(max_examples=300, deadline=None)
@given(st.integers(0, 10**6))
def test_plans_keep_every_limit(seed: int) -> None:
    rng = random.Random(seed)
    problem = job(rng)
    composition = compose(problem, seed)
    packed = shelved(composition.problem, rng.choice((0, seed)))
    if packed is None:
        return
    plan = decomposed(problem, composition, packed)
    assert keeps_limits(problem, plan)
    items, bars = Counter[int](), Counter[int]()
    for sheet in plan:
        stock = problem.bins[sheet.bin]
        depth = stages(problem, sheet.bin, sheet.pattern, stock.length, stock.width)
        assert problem.max_stages is None or depth <= problem.max_stages
        if problem.first_cut != "any":
            assert isinstance(sheet.pattern, Split)
            assert sheet.pattern.cut == problem.first_cut
        items += contents(sheet.pattern)[0]
        bars += contents(sheet.pattern)[1]
    assert items == Counter({i: item.demand for i, item in enumerate(problem.items) if item.demand})
    assert bars == Counter({i: bar.demand for i, bar in enumerate(problem.bars) if bar.demand})


def test_a_plan_comes_wherever_all_parts_fit_a_free_stock() -> None:
    """Three stages bring any part out of any sheet that it fits with room on both sides; there is no end of these."""
    for seed in range(200):
        rng = random.Random(seed)
        items = tuple(Item(rng.randint(1, 29), rng.randint(1, 19), rng.randint(1, 4), STRAIGHT) for _ in range(5))
        assert shelved(Problem((Bin(30, 20, 9),), items, max_stages=3, first_cut=rng.choice(FIRST))) is not None


def test_by_hand() -> None:
    """Six 5 x 4 and four 5 x 2 in 10 x 10: two shelves of 4 and one of 2, then one more sheet."""
    parts = (Item(5, 4, 6, STRAIGHT), Item(5, 2, 4, STRAIGHT))
    two = shelved(Problem((Bin(10, 10, 1),), parts, max_stages=2))
    assert two is not None
    assert [contents(sheet.pattern)[0] for sheet in two] == [{0: 4, 1: 2}, {0: 2, 1: 2}]
    low = (Item(5, 4, 1, STRAIGHT), Item(5, 3, 1, STRAIGHT))
    one, other = (
        shelved(Problem((Bin(10, 4, 1),), low, max_stages=n, first_cut="any" if n == 3 else "rip")) for n in (2, 3)
    )
    assert one is None  # a shelf of 4 takes no part of 3 where there is no third stage; nor is there a rip before it
    assert other is not None
    assert len(other) == 1


def test_what_cannot_be_had_is_told() -> None:
    assert shelved(Problem((Bin(10, 10, 1),), (Item(11, 4, 1, STRAIGHT),), max_stages=3)) is None
    assert shelved(Problem((Bin(10, 10, 1, 1),), (Item(9, 9, 2, STRAIGHT),), max_stages=3)) is None
    assert shelved(Problem((Bin(10, 10, 1),), (Item(5, 5, 1, STRAIGHT),), max_stages=1)) is None
    whole = Problem((Bin(10, 10, 1),), (Item(5, 10, 1, STRAIGHT),), first_cut="rip", max_stages=3)
    assert shelved(whole) is None  # there is no first rip in it


def test_six_hundred_parts_of_many_sizes_have_a_plan_at_once_without_compiled_code(monkeypatch) -> None:
    """Whole patterns alone had none after half a minute."""
    monkeypatch.setattr(search, "at_hand", lambda: PLAIN)
    rng = random.Random(1)
    items = tuple(Item(rng.randint(60, 500), rng.randint(40, 300), 4, ANY) for _ in range(150))
    problem = Problem((Bin(1500, 1000, 40),), items, max_stages=3)
    cancel, told = threading.Event(), []

    def watch(news: News) -> None:
        if news.cost is not None:
            told.append(news.phase)
            cancel.set()

    found = solve(problem, Stop.after(LEISURE, cancel), observer=watch)
    assert told[0] == "shelves"
    assert 20 * 40 <= found.bound.cost <= found.cost <= 23 * 40
