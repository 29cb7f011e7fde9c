"""Bars of four pieces at most from pairs: against the table of the knapsack, and a whole job."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.solve import length_pairs
from nesting.solve.compiled import PLAIN, load, ready
from nesting.solve.kernels_length import best_bars
from nesting.solve.kernels_pairs import best_pairs
from nesting.solve.length_pairs import Pairs
from nesting.solve.search import solve
from nesting.solve.stop import Stop
from tests.solve.test_lengthwise import bars, program_of


@settings(max_examples=150, deadline=None)
@given(st.integers(10, 40), st.data())
def test_pairs_and_the_table_agree_on_the_best_bar(room, data):
    drawn = data.draw(
        st.lists(st.integers(room // 5 + 1, room), min_size=1, max_size=7, unique=True).map(lambda s: sorted(s)[::-1])
    )
    sizes = np.array(drawn, dtype=np.int64)
    m = sizes.size
    worths = np.array(data.draw(st.lists(st.integers(0, 30), min_size=m, max_size=m)), dtype=np.int32)
    wanted = np.array(data.draw(st.lists(st.integers(0, 5), min_size=m, max_size=m)), dtype=np.int64)
    copies = np.minimum(wanted, room // sizes)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(length_pairs, "PAIRED", 0)
        pairs = Pairs.of(sizes, np.minimum(5, room // sizes), room)
    found = np.zeros((60, 8), dtype=np.int64)
    best = best_pairs(sizes, worths, copies, room, pairs.parts, pairs.lengths, pairs.ranks, 0, found)
    table = np.zeros((int(copies.sum()) + 1, room + 1), dtype=np.int32)
    rows = np.zeros(int(copies.sum()) + 9, dtype=np.int64)
    assert best == best_bars(sizes, worths, copies, room, table, rows, 0, np.zeros((60, 8), dtype=np.int64))
    made = [row[1 : row[0] + 1] for row in found[: int((found[:, 0] > 0).sum())]]
    assert all(int(sizes[pieces].sum()) <= room for pieces in made)
    assert all((np.bincount(pieces, minlength=m) <= copies).all() for pieces in made)
    if best > 0:
        assert int(worths[made[0]].sum()) == best
        firsts = {int(i) for pieces in made for i in pieces}
        assert all(i in firsts for i in np.flatnonzero((copies > 0) & (worths > 0)))  # each has a bar of its own


LONG = dict.fromkeys(range(20_011, 33_000, 601), 1)


def test_a_long_bar_of_few_pieces_is_priced_by_pairs():
    program = program_of(100_000, LONG)
    assert program.pairs.parts.size
    assert program.quick
    assert program.generate(Stop.after(60))
    assert program.bound == 6
    found = solve(bars(100_000, LONG), Stop.after(20))
    assert (found.cost, found.proven) == (6, True)


def test_compiled_and_plain_pairs_are_the_same():
    if not ready():
        pytest.skip("compiled kernels are not in the cache; fill it with: python -m nesting.solve.compiled")
    programs = [program_of(100_000, LONG, kernels) for kernels in (PLAIN, load())]
    assert all(program.generate(Stop.after(60)) for program in programs)
    assert programs[0].tableau.tolist() == programs[1].tableau.tolist()
    assert programs[0].tally.tolist() == programs[1].tally.tolist()


def test_no_piece_stands_for_a_shorter_one_in_the_end():
    program = program_of(1000, dict.fromkeys(range(260, 480, 11), 1))
    assert program.generate(Stop.after(60))
    cut: Counter[int] = Counter()
    for amount, row in program.patterns():
        assert program.costs[row] == 1
        for i, pieces in program.cuts(row):
            cut[i] += amount * pieces
    assert all(cut[i] > n - 0.01 for i, n in enumerate(program.wanted))
