from __future__ import annotations

import itertools

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.solve.bounds import NO_PLAN, quick_bound
from nesting.solve.cover import Need, cheapest, reachable
from nesting.solve.dual_feasible import functions
from nesting.solve.enlarge import enlarged
from nesting.solve.problem import Bin, Item, Problem, Ways

FREE: Ways = (True, True)
FIXED: Ways = (True, False)
NO: Ways = (False, False)


def one_bin(side: tuple[int, int], items: list[tuple[int, int, int]], way: Ways = FIXED, cost: int = 1) -> Problem:
    return Problem((Bin(*side, cost),), tuple(Item(a, b, n, (way,)) for a, b, n in items))


@given(st.integers(6, 40), st.lists(st.integers(1, 40), min_size=1, max_size=6))
def test_no_set_that_fits_a_side_exceeds_it_under_any_function(side: int, sizes: list[int]) -> None:
    sizes = [min(size, side) for size in sizes]
    made = functions(side, sizes, [[(size, 1)] for size in sizes], 50)
    for count in range(1, len(sizes) + 1):
        for chosen in itertools.combinations(range(len(sizes)), count):
            if sum(sizes[i] for i in chosen) <= side:
                assert np.all(made.values[:, list(chosen)].sum(axis=1) <= made.capacity)


@given(st.integers(4, 30), st.lists(st.tuples(st.integers(1, 30), st.integers(1, 3)), min_size=1, max_size=4))
def test_sets_that_fit_still_fit_when_enlarged(side: int, rows: list[tuple[int, int]]) -> None:
    rows = [(min(size, side), demand) for size, demand in rows]
    lies = enlarged(one_bin((side, 5), [(size, 5, demand) for size, demand in rows]), 0)
    copies = [i for i, (_, demand) in enumerate(rows) for _ in range(demand)]
    for count in range(1, len(copies) + 1):
        for chosen in set(itertools.combinations(copies, count)):
            if sum(rows[i][0] for i in chosen) <= side:
                assert sum(int(lies.x[i, 0]) for i in chosen) <= side
    assert all(lies.x[i, 0] >= size for i, (size, _) in enumerate(rows))


def test_two_halves_with_a_kerf_do_not_come_out_of_a_sheet() -> None:
    # 96 in with kerf 1/8 in eighths: sheet 769, a 48 in piece 385
    bound = quick_bound(one_bin((769, 385), [(385, 385, 2)]))
    assert bound.cost == 2
    assert bound.sentence.startswith("1 sheet cannot do it")


def test_area_is_told_as_area() -> None:
    bound = quick_bound(one_bin((10, 10), [(1, 1, 203)], cost=5))
    assert (bound.cost, bound.kind) == (15, "area")
    assert bound.sentence == "2 sheets cannot do it: the parts with their kerfs need 2.03"


def test_a_turn_matters_only_where_it_is_allowed() -> None:
    items = [(6, 3, 2)]
    assert quick_bound(one_bin((7, 6), items, FIXED)).cost == 1
    assert quick_bound(one_bin((6, 7), items, FREE)).cost == 1
    assert quick_bound(one_bin((3, 12), items, FIXED)).cost == NO_PLAN
    assert quick_bound(one_bin((3, 12), items, FREE)).cost == 1


def test_tall_and_wide_parts_exclude_one_another() -> None:
    # 9 x 4 lies across, 4 x 9 stands; none fits beside another kind, but two of a kind do
    bound = quick_bound(one_bin((10, 10), [(9, 4, 2), (4, 9, 2)]))
    assert bound.cost == 2


def test_a_free_offcut_counts_only_as_far_as_it_goes() -> None:
    items = (Item(10, 10, 5, (FREE, FREE)),)
    sheet, offcut = Bin(20, 10, 60), Bin(10, 10, 0, 2)
    assert quick_bound(Problem((sheet, offcut), items)).cost == 120
    assert quick_bound(Problem((sheet, Bin(10, 9, 0, 2)), (Item(10, 10, 5, (FREE, NO)),))).cost == 180


def test_prices_round_up_to_what_can_be_bought() -> None:
    items = (Item(10, 10, 3, (FREE, FREE)),)
    assert quick_bound(Problem((Bin(20, 10, 60), Bin(10, 10, 35)), items)).cost == 95


def test_a_large_part_needs_the_dear_stock() -> None:
    items = (Item(15, 5, 1, (FIXED, NO)), Item(5, 5, 2, (FIXED, FIXED)))
    assert quick_bound(Problem((Bin(20, 10, 60), Bin(10, 10, 20)), items)).cost == 60


def test_limits_that_cannot_hold_the_parts_have_no_plan() -> None:
    assert quick_bound(Problem((Bin(10, 10, 7, 2),), (Item(6, 6, 3, (FREE,)),))).cost == NO_PLAN


def test_nothing_costs_nothing() -> None:
    assert quick_bound(one_bin((5, 5), [])).cost == 0


@settings(max_examples=60)
@given(
    st.lists(st.tuples(st.integers(0, 9), st.integers(0, 4)), min_size=1, max_size=3),
    st.lists(st.tuples(st.lists(st.integers(0, 6), min_size=3, max_size=3), st.integers(0, 15)), max_size=3),
)
def test_cheapest_cover_against_all_counts(stocks: list[tuple[int, int]], asked: list[tuple[list[int], int]]) -> None:
    bins = [Bin(1, 1, cost, limit) for cost, limit in stocks]
    needs = [Need(tuple(offers[: len(bins)]), need, "x") for offers, need in asked]
    able = [
        sum(n * b.cost for n, b in zip(counts, bins, strict=True))
        for counts in itertools.product(*(range(limit + 1) for _, limit in stocks))
        if all(sum(n * o for n, o in zip(counts, need.offers, strict=True)) >= need.asked for need in needs)
    ]
    assert cheapest(bins, needs) == (min(able) if able else None)


def test_many_sheets_are_bounded_by_fractions() -> None:
    bins = (Bin(1, 1, 6), Bin(1, 1, 4), Bin(1, 1, 9))
    assert cheapest(bins, [Need((3, 1, 4), 30001, "area")]) == 60002
    assert reachable(bins, 60002) == 60002


@settings(max_examples=40, deadline=None)
@given(st.data())
def test_never_above_a_plan_cut_from_the_sheets(data: st.DataObject) -> None:
    """Cut bins at random; what comes out can be made for what the bins cost."""
    bins = (Bin(24, 16, 9), Bin(17, 13, 5), Bin(11, 15, 0, 1))
    sizes: list[tuple[int, int]] = []
    cost = 0
    for b in data.draw(st.sampled_from([(0,), (0, 1), (1, 1), (0, 2), (0, 0, 1), (0, 1, 2)])):
        cost += bins[b].cost
        spaces = [(bins[b].length, bins[b].width)]
        for _ in range(data.draw(st.integers(1, 6))):
            spaces.sort()
            length, width = spaces.pop()
            if data.draw(st.booleans()) and length > 1:
                at = data.draw(st.integers(1, length - 1))
                spaces += [(at, width), (length - at, width)]
            elif width > 1:
                at = data.draw(st.integers(1, width - 1))
                spaces += [(length, at), (length, width - at)]
            else:
                spaces.append((length, width))
        sizes += spaces
    turns = data.draw(st.booleans())
    items = tuple(Item(a, b, 1, ((True, turns),) * 3) for a, b in sizes)
    assert quick_bound(Problem(bins, items)).cost <= cost


def test_published_instance_where_area_says_less() -> None:
    # Berkey & Wang 1987, class 1, first of 20 parts: area 7 bins, dual feasible functions 8, which is optimal
    sides = [
        "5,9",
        "4,2",
        "10,6",
        "5,7",
        "6,3",
        "10,7",
        "1,5",
        "3,5",
        "6,9",
        "2,4",
        "6,7",
        "7,2",
        "8,3",
        "4,10",
        "4,5",
        "10,3",
        "8,3",
        "7,8",
        "8,3",
        "8,7",
    ]
    items = [(int(a), int(b), 1) for a, b in (side.split(",") for side in sides)]
    assert -(-sum(a * b for a, b, _ in items) // 100) == 7
    assert quick_bound(one_bin((10, 10), items)).cost == 8
