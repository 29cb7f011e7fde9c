"""One-dimensional jobs: published optima, brute force, and that a proof is one."""

from __future__ import annotations

import itertools
import math
import random
from collections import Counter

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.solve import lengthwise
from nesting.solve.boxes import OutOfTime
from nesting.solve.compiled import PLAIN, load, ready
from nesting.solve.length_dives import dive
from nesting.solve.length_gap import within
from nesting.solve.length_program import Program
from nesting.solve.lengthwise import is_lengthwise
from nesting.solve.pattern import contents
from nesting.solve.problem import Bin, Item, Problem
from nesting.solve.search import solve
from nesting.solve.stop import Stop


def bars(length: int, pieces: dict[int, int], cost: int = 1) -> Problem:
    return Problem((Bin(length, 1, cost),), tuple(Item(size, 1, n, ((True, False),)) for size, n in pieces.items()))


def fewest(length: int, sizes: list[int]) -> int:
    """Return the fewest bars by trying every way to part the pieces."""
    best = len(sizes)

    def place(rooms: list[int], rest: list[int]) -> None:
        nonlocal best
        if len(rooms) >= best:
            return
        if not rest:
            best = len(rooms)
            return
        for at in {room: at for at, room in enumerate(rooms) if room >= rest[0]}.values():
            place([*rooms[:at], rooms[at] - rest[0], *rooms[at + 1 :]], rest[1:])
        place([*rooms, length - rest[0]], rest[1:])

    place([], sorted(sizes, reverse=True))
    return best


@settings(max_examples=60, deadline=None)
@given(st.integers(7, 30), st.data())
def test_agrees_with_trying_everything(length, data):
    sizes = data.draw(st.lists(st.integers(2, length), min_size=1, max_size=8))
    found = solve(bars(length, {size: sizes.count(size) for size in sorted(set(sizes))}), Stop.after(5))
    assert found.proven
    assert found.cost == fewest(length, sizes)


def test_a_triplet_instance_is_packed_without_waste():
    # After Falkenauer 1996, "A hybrid grouping genetic algorithm for bin packing": each bin holds three pieces
    # exactly; best fit decreasing alone does not find it.
    triples = [(a, b, 1000 - a - b) for a, b in itertools.pairwise(range(257, 337, 4))]
    pieces: dict[int, int] = {}
    for size in itertools.chain.from_iterable(triples):
        pieces[size] = pieces.get(size, 0) + 1
    found = solve(bars(1000, pieces), Stop.after(20))
    assert found.cost == len(triples) == math.ceil(sum(k * n for k, n in pieces.items()) / 1000)
    assert found.proven


def test_a_textbook_order_is_met_exactly():
    # Rolls of 5,600 mm and 13 widths: 73 rolls are the least (the paper industry's example in Wikipedia, "Cutting stock
    # problem", as recalled: from memory).
    widths = {1380: 22, 1520: 25, 1560: 12, 1710: 14, 1820: 18, 1880: 18, 1930: 20}
    widths |= {2000: 10, 2050: 12, 2100: 14, 2140: 16, 2150: 18, 2200: 20}
    found = solve(bars(5600, widths), Stop.after(20))
    assert (found.cost, found.proven) == (73, True)
    made = sum((contents(sheet.pattern)[0] for sheet in found.plan), start=contents(None)[0])
    assert [made[i] for i in range(13)] == list(widths.values())


@pytest.mark.parametrize(
    "problem",
    [
        Problem((Bin(96, 4, 9),), (Item(30, 2, 2, ((True, False),)),)),
        Problem((Bin(96, 4, 9),), (Item(30, 4, 2, ((True, True),)),)),
        Problem((Bin(96, 4, 9, 1),), (Item(30, 4, 2, ((True, False),)),)),
        Problem((Bin(96, 4, 9),), (Item(30, 4, 2, ((True, False),)),), max_stages=1),
    ],
    ids=["two side by side", "may turn", "limited stock", "limited stages"],
)
def test_other_jobs_go_the_common_way(problem):
    assert not is_lengthwise(problem)


def test_stops_when_told_and_says_it_is_not_proven():
    pieces = dict.fromkeys(range(334, 500, 2), 1)
    found = solve(bars(1000, pieces), Stop.after(0))
    assert found.plan is not None
    assert found.bound.cost <= found.cost


def test_a_stop_while_bins_are_filled_leaves_a_whole_plan(monkeypatch):
    monkeypatch.setattr(lengthwise, "fullest", lambda program, demands, stop: None)
    pieces = dict.fromkeys(range(301, 420, 7), 3)
    found = solve(bars(1000, pieces), Stop.after(1))
    made = sum((contents(sheet.pattern)[0] for sheet in found.plan), start=contents(None)[0])
    assert [made[i] for i in range(len(pieces))] == list(pieces.values())


def test_a_knapsack_too_large_to_hold_goes_the_common_way():
    assert not is_lengthwise(bars(200_000, dict.fromkeys(range(200, 800), 9)))


def program_of(length: int, pieces: dict[int, int], kernels=PLAIN) -> Program:
    sizes = sorted(pieces, reverse=True)
    return Program(np.array(sizes), length, np.array([pieces[size] for size in sizes]), kernels)


def whole_bars(program: Program, made) -> Counter[int]:
    """Count the pieces of bars that are not overfull, by size."""
    total: Counter[int] = Counter()
    for cuts in made:
        assert sum(int(program.sizes[i]) * pieces for i, pieces in cuts) <= program.room
        total.update(dict(cuts))
    return total


small_jobs = st.tuples(st.integers(9, 40), st.data()).map(
    lambda drawn: (drawn[0], drawn[1].draw(st.dictionaries(st.integers(2, drawn[0]), st.integers(1, 4), min_size=1)))
)


@settings(max_examples=60, deadline=None)
@given(small_jobs)
def test_the_program_bounds_and_lists_all_a_plan_can_use(job):
    length, pieces = job
    program = program_of(length, pieces)
    assert program.generate(Stop.after(60))
    value = program.tableau[-1, -1]
    assert value - 0.01 <= program.bound < value + 1
    try:
        made = within(program, program.bound, 2000, Stop.after(60))
    except OutOfTime:  # sizes without a price are left out, and do not fit what is left
        assert not program.whole.all()
        return
    least = fewest(length, list(Counter(pieces).elements())) if sum(pieces.values()) <= 9 else None
    if made is None:
        assert least is None or least > program.bound
    else:
        assert len(made) <= program.bound
        assert whole_bars(program, made) == {i: pieces[int(size)] for i, size in enumerate(program.sizes)}


@settings(max_examples=30, deadline=None)
@given(small_jobs)
def test_a_dive_makes_all_that_is_wanted_and_can_be_taken_back(job):
    length, pieces = job
    program = program_of(length, pieces)
    program.generate(Stop.after(60))
    start, bound = program.state(), program.bound
    made = dive(program, sum(pieces.values()), random.Random(1), Stop.after(60), greedy=True)
    assert whole_bars(program, made) == {i: pieces[int(size)] for i, size in enumerate(program.sizes)}
    program.back_to(start)
    assert program.bound == bound
    assert program.wanted.tolist() == [pieces[int(size)] for size in program.sizes]


def test_one_bar_more_than_the_program_says_is_proven():
    # 132 long: two of 44, three of 33, six of 12. Patterns of any demands give 2/3 + 3/4 + 6/11 < 2 bars, but
    # three are needed (Fieldhouse 1990, "The duality gap in trim problems", from memory).
    found = solve(bars(132, {44: 2, 33: 3, 12: 6}), Stop.after(20))
    assert (found.cost, found.proven) == (3, True)
    assert found.cost == fewest(132, [44] * 2 + [33] * 3 + [12] * 6)


def test_no_plan_among_all_patterns_that_waste_little_is_a_proof():
    program = program_of(132, {44: 2, 33: 3, 12: 6})
    program.generate(Stop.after(60))
    assert within(program, 2, 2000, Stop.after(60)) is None
    made = within(program, 3, 2000, Stop.after(60))
    assert whole_bars(program, made) == {0: 2, 1: 3, 2: 6}


@pytest.mark.parametrize("kind", ["wide", "long"])
def test_compiled_and_plain_programs_are_the_same(kind):
    if not ready():
        pytest.skip("compiled kernels are not in the cache; fill it with: python -m nesting.solve.compiled")
    pieces = {size: 1 + size % 3 for size in range(260, 480, 11)} if kind == "wide" else {7: 40, 13: 30, 29: 20, 97: 9}
    programs = [program_of(1000, pieces, kernels) for kernels in (PLAIN, load())]
    assert all(program.generate(Stop.after(60)) for program in programs)
    assert programs[0].tableau.tolist() == programs[1].tableau.tolist()
    assert programs[0].tally.tolist() == programs[1].tally.tolist()
    assert programs[0].listed(programs[0].bound, 200, 10**5) == programs[1].listed(programs[1].bound, 200, 10**5)


def test_a_coarser_grid_first_leads_to_the_same_value(monkeypatch):
    pieces = dict.fromkeys(range(2003, 3500, 131), 2)
    monkeypatch.setattr("nesting.solve.length_pairs.PAIRED", 10_000)
    exact = program_of(10_000, pieces)
    monkeypatch.setattr("nesting.solve.length_program.FINE_CELLS", 1000)
    monkeypatch.setattr("nesting.solve.length_program.ROUGH_CELLS", 5000)
    rough = program_of(10_000, pieces)
    assert (exact.quick, rough.quick) == (True, False)
    assert exact.generate(Stop.after(60))
    assert rough.generate(Stop.after(60))
    assert rough.tableau[-1, -1] == pytest.approx(exact.tableau[-1, -1], abs=1e-3)
    assert rough.bound == exact.bound
    found = solve(bars(10_000, pieces), Stop.after(20))
    assert found.proven
