"""Exact covers by bars that waste next to nothing: against brute force, proofs, and compiled against plain."""

from __future__ import annotations

import itertools
from collections import Counter

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.solve.boxes import OutOfTime
from nesting.solve.compiled import PLAIN, load, ready
from nesting.solve.length_cover import without_waste
from nesting.solve.length_program import Program
from nesting.solve.search import solve
from nesting.solve.stop import Stop
from tests.solve.test_lengthwise import bars, fewest, program_of, whole_bars


def triplets(number: int) -> dict[int, int]:
    """Return pieces of bars of 1,000 that hold three each exactly."""
    bins = [(a, b, 1000 - a - b) for a, b in itertools.pairwise(range(257, 257 + 4 * number + 1, 4))]
    return dict(Counter(itertools.chain.from_iterable(bins)))


@settings(max_examples=80, deadline=None)
@given(st.integers(7, 24), st.data())
def test_agrees_with_trying_everything(length, data):
    drawn = data.draw(st.lists(st.lists(st.integers(2, length), min_size=1, max_size=4), min_size=1, max_size=3))
    sizes = []
    for row in drawn:  # each cut short, or completed to a whole bar, so that little is wasted in all
        whole = list(itertools.takewhile(lambda end: end < length, itertools.accumulate(row)))
        ends = [0, *whole, length]
        sizes += [b - a for a, b in itertools.pairwise(ends)]
    program = program_of(length, dict(Counter(sizes[data.draw(st.integers(0, min(1, len(sizes) - 1))) :])))
    pieces = {i: int(n) for i, n in enumerate(program.wanted)}
    try:
        number, made = without_waste(program, 1, Stop.after(60))
    except OutOfTime:
        total = sum(int(program.sizes[i]) * n for i, n in pieces.items())
        assert -total % length >= min(program.sizes)
        return
    least = fewest(length, [int(program.sizes[i]) for i, n in pieces.items() for _ in range(n)])
    if made is None:
        assert least > number
    else:
        assert len(made) == number == least
        assert whole_bars(program, made) == pieces


def test_triplets_are_covered_before_any_linear_program():
    pieces = triplets(20)
    program = program_of(1000, pieces)
    number, made = without_waste(program, 1, Stop.after(20))
    assert number == 20
    assert whole_bars(program, made) == {i: pieces[int(size)] for i, size in enumerate(program.sizes)}


def test_no_cover_is_a_proof():
    # Bars of 10: 7 and 3 fill one, but of 8, 8 and 4 none is filled.
    program = program_of(10, {8: 2, 7: 1, 4: 1, 3: 1})
    assert without_waste(program, 1, Stop.after(20)) == (3, None)
    assert fewest(10, [8, 8, 7, 4, 3]) == 4
    assert without_waste(program_of(10, {8: 3, 3: 2}), 1, Stop.after(20)) == (3, None)


def test_no_cover_proves_a_plan_of_one_bar_more():
    news = []
    pieces = {39: 2, 38: 1, 37: 1, 36: 2, 33: 1, 31: 1, 29: 1, 28: 1, 27: 2}  # 400 in all
    found = solve(bars(100, pieces), Stop.after(20), observer=news.append)
    assert (found.cost, found.proven) == (5, True)
    assert news[-1].phase == "exact cover"


def test_a_stop_leaves_it_undecided():
    with pytest.raises(OutOfTime):
        without_waste(program_of(1000, triplets(20)), 1, Stop.after(0))


def test_room_for_another_piece_is_not_its_business():
    with pytest.raises(OutOfTime):
        without_waste(program_of(10, {7: 2, 2: 1}), 1, Stop.after(20))


def test_compiled_and_plain_choose_alike():
    if not ready():
        pytest.skip("compiled kernels are not in the cache; fill it with: python -m nesting.solve.compiled")
    pieces = triplets(12)
    sizes = sorted(pieces, reverse=True)
    wanted = [pieces[size] for size in sizes]
    plans = [
        without_waste(Program(np.array(sizes), 1000, np.array(wanted), kernels), seed, Stop.after(20))
        for kernels in (PLAIN, load())
        for seed in (1, 2)
    ]
    assert plans[:2] == plans[2:]
