"""One-dimensional jobs: published optima, brute force, and that a proof is one."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.solve import lengthwise
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
    monkeypatch.setattr(lengthwise, "_fullest", lambda program, demands, stop: None)
    pieces = dict.fromkeys(range(301, 420, 7), 3)
    found = solve(bars(1000, pieces), Stop.after(1))
    made = sum((contents(sheet.pattern)[0] for sheet in found.plan), start=contents(None)[0])
    assert [made[i] for i in range(len(pieces))] == list(pieces.values())


def test_a_knapsack_too_large_to_hold_goes_the_common_way():
    assert not is_lengthwise(bars(200_000, dict.fromkeys(range(200, 800), 9)))
