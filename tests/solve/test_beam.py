"""Beams: sheets cut apart at random are put together again, plans are valid, compiled and plain search alike."""

from __future__ import annotations

import random
import runpy
import threading
from collections import Counter
from pathlib import Path
from types import SimpleNamespace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.solve.beam import fill
from nesting.solve.beam_blocks import MOST_STACKED, blocks_of
from nesting.solve.chances import Task, Way
from nesting.solve.choices import Choice
from nesting.solve.compiled import PLAIN, load, ready
from nesting.solve.kernels_beam import AREA
from nesting.solve.problem import Bin, Item, Problem
from nesting.solve.refill import refill
from nesting.solve.stop import Stop

checks = SimpleNamespace(**runpy.run_path(str(Path(__file__).with_name("layout_checks.py"))))
STRAIGHT = ((True, False),)


def cut_apart(rng: random.Random, length: int, width: int) -> list[tuple[int, int]]:
    """Cut a sheet into two columns, each into rows, one of these into two: no waste, and three stages."""
    at = rng.randint(2, length - 2)
    cells = []
    for column in (at, length - at):
        high = rng.randint(1, width - 1)
        cells += [(column, high), (column, width - high)]
    long, wide = cells.pop()
    across = rng.randint(1, long - 1)
    return [*cells, (across, wide), (long - across, wide)]


def job_of(sides: list[tuple[int, int]], bins: tuple[Bin, ...], *, turned: bool = False) -> Problem:
    """Ask for parts of these sides; ``turned``: given with their sides swapped, to be turned."""
    ways = ((not turned, turned),) * len(bins)
    asked = Counter((y, x) if turned else (x, y) for x, y in sides)
    return Problem(bins, tuple(Item(x, y, copies, ways) for (x, y), copies in sorted(asked.items())))


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10**6), st.booleans())
def test_a_sheet_cut_apart_is_put_together_again(seed: int, turned: bool) -> None:
    """Nothing may be wasted, so a beam wide enough to keep every layout finds the cuts, or others as good."""
    problem = job_of(cut_apart(random.Random(seed), 12, 10), (Bin(12, 10, 1),), turned=turned)
    found = fill(problem, [0], 3000, 0, seed, Stop.after(60), PLAIN)
    assert found is not None
    assert found.whole
    assert found.area == 120
    assert checks.faults_of_plan(problem, found.plan) == []


@settings(max_examples=25, deadline=None)
@given(st.data())
def test_what_is_found_is_a_plan_in_the_bins_given(data: st.DataObject) -> None:
    bins = (Bin(40, 30, 20), Bin(30, 20, 9, 2), Bin(12, 25, 0, 1))
    items = []
    for _ in range(data.draw(st.integers(1, 5))):
        length, width = data.draw(st.integers(1, 24)), data.draw(st.integers(1, 24))
        ways = tuple((length <= b.length and width <= b.width, width <= b.length and length <= b.width) for b in bins)
        items.append(Item(length, width, data.draw(st.integers(1, 3)), ways))
    problem = Problem(bins, tuple(items))
    queue = data.draw(st.lists(st.sampled_from([0, 0, 1, 2]), min_size=1, max_size=4))
    queue = [b for at, b in enumerate(queue) if b == 0 or queue[:at].count(b) < (bins[b].limit or 0)]
    seed = data.draw(st.integers(0, 99))
    found = fill(problem, queue, 12, 10**6, seed, Stop.after(60), PLAIN)
    if found is not None:
        made = sum((checks.items_of(sheet.pattern) for sheet in found.plan), Counter())
        assert found.area == sum(items[i].length * items[i].width * copies for i, copies in made.items())
        assert found.whole == (dict(made) == {i: item.demand for i, item in enumerate(items)})
        assert not [f for s in found.plan for f in checks.faults_of_pattern(problem, s.bin, s.pattern)]
    plan = refill(problem, queue, seed, Stop.after(2), PLAIN)
    if plan is not None:
        assert checks.faults_of_plan(problem, plan) == []
        assert not Counter(sheet.bin for sheet in plan) - Counter(queue)


def test_no_plan_where_the_parts_cannot_be_held() -> None:
    problem = Problem((Bin(10, 10, 1),), (Item(6, 6, 2, STRAIGHT),))
    assert refill(problem, [0], 1, Stop.after(9), PLAIN) is None  # side by side they are 12 long
    assert refill(problem, [0, 0], 1, Stop.after(9), PLAIN) is not None
    too_large = Problem((Bin(10, 10, 1),), (Item(10, 6, 2, STRAIGHT),))
    assert refill(too_large, [0], 1, Stop.after(9), PLAIN) is None


def test_it_ends_when_it_is_told_to() -> None:
    told = threading.Event()
    told.set()
    problem = Problem((Bin(10, 10, 1),), (Item(5, 5, 4, STRAIGHT),))
    over = Stop(Stop.after(9).deadline, told)
    assert refill(problem, [0], 1, Stop.after(9), PLAIN) is not None
    assert refill(problem, [0], 1, over, PLAIN) is None
    assert fill(problem, [0], 50, 0, 1, over, PLAIN) is None


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10**6), st.sampled_from([-1.0, 0.0, 0.05, 0.3]))
def test_blocks_fit_their_bin_and_waste_little(seed: int, waste: float) -> None:
    rng = random.Random(seed)
    items = tuple(
        Item(rng.randint(1, 20), rng.randint(1, 20), rng.randint(0, 9), ((True, rng.random() < 0.5),)) for _ in range(6)
    )
    problem = Problem((Bin(30, 24, 1),), items)
    blocks = blocks_of(problem, [0], seed, 0.1, waste)
    kinds = set()
    for direction in (0, 1):
        length, width = blocks.sides[0, direction].tolist()
        for block in range(*blocks.spans[0, direction].tolist()):
            stack = blocks.stack(block)
            along, across = max(part.along for part in stack), sum(part.across for part in stack)
            area = sum(part.along * part.across for part in stack)
            assert (along, across) == tuple(blocks.fields[block, :2].tolist())
            assert along <= length
            assert across <= width
            assert area == blocks.fields[block, AREA]
            held = Counter(part.item for part in stack)
            assert all(copies <= items[i].demand for i, copies in held.items())
            if len(held) == 1:
                assert len(stack) <= MOST_STACKED
                kinds.add((direction, stack))
            else:
                assert waste >= 0
                assert along * across - area <= waste * along * across + 1e-9
    alone = {(direction, part.item, part.turned) for direction, stack in kinds for part in stack}
    for i, item in enumerate(items):  # each way to lie is there
        for direction in (0, 1) if item.demand else ():
            assert (direction, i, False) in alone


def test_compiled_and_plain_beams_are_the_same() -> None:
    if not ready():
        pytest.skip("compiled kernels are not in the cache; fill it with: python -m nesting.solve.compiled")
    fast = load()
    for seed in range(6):
        rng = random.Random(seed)
        sides = cut_apart(rng, 30, 20) + cut_apart(rng, 30, 20)
        problem = job_of(sides, (Bin(30, 20, 1),))
        plans = [fill(problem, [0, 0], 30, 90, seed, Stop.after(60), kernels) for kernels in (PLAIN, fast)]
        assert plans[0] == plans[1]


def test_a_choice_is_filled_by_a_beam_or_otherwise() -> None:
    problem = job_of(cut_apart(random.Random(5), 12, 10) * 2, (Bin(12, 10, 7), Bin(6, 10, 4)))
    for patience in (30, 0):
        found: list[object] = []
        task = Task(problem, 3, 1, 0, PLAIN)
        task.fit(Way(Choice((2, 0), 14, 1.0), patience), Stop.after(5), found.append)
        for plan in found:
            assert checks.faults_of_plan(problem, plan) == []
            assert checks.cost_of_plan(problem, plan) <= 14
        assert found or not patience
    task.fit(Way(None), Stop.after(5), found.append)
