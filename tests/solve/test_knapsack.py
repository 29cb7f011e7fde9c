"""The guillotine knapsack against plain recursion, published values, and its compiled twin."""

from __future__ import annotations

import json
import os
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.solve import kernels_knapsack, knapsack, staged
from nesting.solve.compiled import Kernels, load, ready
from nesting.solve.knapsack import fill, pattern_of, pieces_of, points_of, trimmed
from nesting.solve.pattern import Put, Split, Strip
from nesting.solve.points import bounded_points, floor_index, normal_points
from nesting.solve.problem import Bar, Bin, BlankWidth, Item, Problem
from tests.solve.cuttable import stages, worth

BEASLEY = {
    "gcut1": (
        (250, 250),
        [
            (167, 184, 30728),
            (114, 118, 13452),
            (167, 152, 25384),
            (83, 140, 11620),
            (70, 86, 6020),
            (143, 166, 23738),
            (120, 160, 19200),
            (66, 148, 9768),
            (87, 141, 12267),
            (69, 165, 11385),
        ],
        56460,
        58136,
    ),
    "gcut5": (
        (500, 500),
        [
            (198, 205, 40590),
            (179, 155, 27745),
            (364, 236, 85904),
            (272, 147, 39984),
            (352, 145, 51040),
            (343, 245, 84035),
            (132, 174, 22968),
            (164, 250, 41000),
            (282, 356, 100392),
            (342, 151, 51642),
        ],
        246000,
        246000,
    ),
}
"""Sheet, pieces with their areas as values, best value without and with quarter turns.

Pieces of Beasley 1985, "Algorithms for unconstrained two-dimensional guillotine cutting"; values computed here by exact
dynamic programming, they agree with Beasley 1985 as recalled.
"""
HERZ = ((127, 98), [(21, 13, 273), (36, 17, 612), (54, 20, 1080), (24, 27, 648), (18, 65, 1170)], 12348, 12387)
"""Herz 1972, "A recursive computing procedure for two-dimensional stock cutting"; values computed here likewise."""
VALUES = {
    "gcut1": (56460, 58136),
    "gcut2": (60536, 60611),
    "gcut3": (61036, 61626),
    "gcut4": (61698, 62265),
    "gcut5": (246000, 246000),
    "gcut6": (238998, 240951),
    "gcut7": (242567, 245866),
    "gcut8": (246633, 247787),
    "gcut9": (971100, 971100),
    "gcut10": (982025, 982025),
    "gcut11": (980096, 980096),
    "gcut12": (979986, 988694),
}


@pytest.fixture(scope="session")
def compiled() -> Kernels:
    if not ready():
        pytest.skip("compiled kernels are not in the cache; fill it with: python -m nesting.solve.compiled")
    return load()


def _job(sheet: tuple[int, int], pieces: list[Any], *, turns: bool) -> tuple[Problem, list[int]]:
    items = tuple(Item(p[0], p[1], 1, ((True, turns),)) for p in pieces)
    return Problem((Bin(*sheet, 1),), items), [p[2] for p in pieces]


def _solved(problem: Problem, values: list[int], bars: list[int], splits: Any = knapsack.best_splits) -> Any:
    stock = problem.bins[0]
    pieces = pieces_of(problem, 0)
    return fill(pieces, *points_of(pieces, stock.length, stock.width), values, bars, splits)


@pytest.mark.parametrize("turns", [False, True])
@pytest.mark.parametrize("name", ["gcut1", "gcut5", "Herz"])
def test_published_values(name: str, turns: bool) -> None:
    sheet, pieces, fixed, turned = BEASLEY.get(name, HERZ)
    problem, values = _job(sheet, pieces, turns=turns)
    table = _solved(problem, values, [])
    assert table.best == (turned if turns else fixed)
    pattern = pattern_of(table, *sheet)
    stages(problem, 0, pattern, *sheet)
    assert worth(pattern, values, []) == table.best


def test_all_published_values(compiled: Kernels) -> None:
    folder = os.environ.get("CLEATWRIGHT_DATA")
    if not folder or not (Path(folder) / "guillotine_classic" / "gcut.json").is_file():
        pytest.skip("set CLEATWRIGHT_DATA to the folder of the published sets")
    rows = {row["name"]: row for row in json.loads((Path(folder) / "guillotine_classic" / "gcut.json").read_text())}
    for name, known in VALUES.items():
        row = rows[name]
        pieces = [(*item[:2], value) for item, value in zip(row["items"], row["values"], strict=True)]
        for turns in (False, True):
            problem, values = _job(tuple(row["bin"]), pieces, turns=turns)
            assert _solved(problem, values, [], compiled.best_splits).best == known[turns], name


@st.composite
def bins_with_bars(draw: st.DrawFn) -> tuple[Problem, list[int], list[int]]:
    ways = st.sampled_from([(True, False), (False, True), (True, True)])
    side = st.integers(2, 9)
    items = [Item(draw(side), draw(side), 2, (draw(ways),)) for _ in range(draw(st.integers(1, 3)))]
    bars, blanks = [], []
    if draw(st.booleans()):
        bars = [Bar(draw(st.integers(0, 1)), draw(side), 2) for _ in range(draw(st.integers(1, 3)))]
        low, high = draw(st.integers(2, 4)), draw(st.integers(2, 4))
        blanks = [BlankWidth(0, None, low), BlankWidth(1, None, high), BlankWidth(0, 1, low + high - 1)]
        blanks += [BlankWidth(0, 0, 2 * low - 1), BlankWidth(1, 1, 2 * high - 1)]
    problem = Problem(
        (Bin(draw(st.integers(6, 14)), draw(st.integers(5, 11)), 1),), tuple(items), 1, tuple(bars), (tuple(blanks),)
    )
    values = [draw(st.integers(0, 20)) for _ in items]
    return problem, values, [draw(st.integers(0, 12)) for _ in bars]


def best_bar(problem: Problem, values: list[int], kind: int, length: int) -> int:
    """Fill one bar by plain recursion."""
    fitting = [(bar.length, value) for bar, value in zip(problem.bars, values, strict=True) if bar.kind == kind]
    return max((v + best_bar(problem, values, kind, length - n) for n, v in fitting if n <= length), default=0)


def by_recursion(problem: Problem, items: list[int], bars: list[int]) -> int:
    """Return the best value of the first bin, each cut at each whole number."""

    @cache
    def bar(kind: int, length: int) -> int:
        return best_bar(problem, bars, kind, length)

    @cache
    def best(length: int, width: int) -> int:
        most = 0
        for item, value in zip(problem.items, items, strict=True):
            as_is, turned = item.ways[0]
            fits = (as_is and item.length <= length and item.width <= width) or (
                turned and item.width <= length and item.length <= width
            )
            most = max(most, value if fits else 0)
        for blank in problem.blanks[0] if problem.bars else ():
            if blank.width <= width:
                most = max(most, bar(blank.low, length) + (0 if blank.high is None else bar(blank.high, length)))
        for at in range(1, length // 2 + 1):
            most = max(most, best(at, width) + best(length - at, width))
        for at in range(1, width // 2 + 1):
            most = max(most, best(length, at) + best(length, width - at))
        return most

    return best(problem.bins[0].length, problem.bins[0].width)


@given(bins_with_bars())
@settings(max_examples=120, deadline=None)
def test_the_table_is_as_good_as_recursion_and_its_pattern_has_that_value(job: Any) -> None:
    problem, items, bars = job
    stock = problem.bins[0]
    table = _solved(problem, items, bars)
    assert table.best == by_recursion(problem, items, bars)
    pattern = pattern_of(table, stock.length, stock.width)
    stages(problem, 0, pattern, stock.length, stock.width)
    assert worth(pattern, items, bars) == table.best


@given(bins_with_bars())
@settings(max_examples=80, deadline=None)
def test_compiled_and_plain_kernels_fill_the_same_table(compiled: Kernels, job: Any) -> None:
    problem, items, bars = job
    stock = problem.bins[0]
    plain = _solved(problem, items, bars)
    for splits in (compiled.best_splits, kernels_knapsack.best_splits):
        other = _solved(problem, items, bars, splits)
        assert (other.value == plain.value).all()
        assert worth(pattern_of(other, stock.length, stock.width), items, bars) == plain.best


@given(
    st.lists(st.lists(st.integers(0, 9), min_size=6, max_size=6), min_size=1, max_size=4),
    st.sets(st.integers(1, 30), min_size=5, max_size=5),
)
@settings(max_examples=80, deadline=None)
def test_one_stage_is_the_same_plain_and_compiled(compiled: Kernels, rows: list[list[int]], marks: set[int]) -> None:
    base, points = np.array(rows, dtype=np.int64), np.array([0, *sorted(marks)], dtype=np.int64)
    base[:, 0] = 0
    tables = []
    for stage in (staged.best_stage, kernels_knapsack.best_stage, compiled.best_stage):
        value, choice = np.empty_like(base), np.empty_like(base)
        stage(points, base, value, choice)
        tables.append(value)
    assert (tables[0] == tables[1]).all()
    assert (tables[0] == tables[2]).all()


def test_a_leaf_is_cut_out_so_that_the_larger_rest_stays_whole() -> None:
    assert trimmed(Put(0), 4, 3, 4, 3) == Put(0)
    assert trimmed(Put(0), 4, 3, 9, 4) == Split("crosscut", 4, Split("rip", 3, Put(0), None), None)
    assert trimmed(Put(0), 4, 3, 5, 9) == Split("rip", 3, Split("crosscut", 4, Put(0), None), None)


def test_a_blank_gives_two_bars_each_filled_by_itself() -> None:
    problem = Problem(
        (Bin(10, 7, 1),), (), 1, (Bar(0, 4, 5), Bar(1, 9, 5)), ((BlankWidth(0, None, 4), BlankWidth(0, 1, 7)),)
    )
    table = _solved(problem, [], [3, 5])
    assert (table.best, pattern_of(table, 10, 7)) == (11, Strip(1, (0, 0), (1,)))


@given(st.dictionaries(st.integers(1, 12), st.integers(1, 3), min_size=1, max_size=4), st.integers(0, 40))
def test_points_are_all_sums_within_the_copies(copies: dict[int, int], limit: int) -> None:
    sums = {0}
    for side, most in copies.items():
        sums |= {point + side * times for point in sums for times in range(1, most + 1)}
    points, every = bounded_points(copies, limit)
    assert every
    assert points.tolist() == sorted(point for point in sums if point <= limit)
    assert set(points.tolist()) <= set(normal_points(copies, limit).tolist())


def test_too_many_points_are_thinned_evenly_but_for_the_sides_and_said_so() -> None:
    points, every = bounded_points({1: 1, 2: 1, 4: 1, 8: 1, 16: 1, 33: 1}, 100, most=8)
    assert not every
    assert {0, 1, 2, 4, 8, 16, 33} <= set(points.tolist())
    assert points.size <= 14
    assert (points[1:] > points[:-1]).all()


def test_the_floor_of_a_point_is_itself() -> None:
    assert floor_index(np.array([0, 4, 9]), np.array([0, 3, 4, 8, 9, 20])).tolist() == [0, 0, 1, 1, 2, 2]
