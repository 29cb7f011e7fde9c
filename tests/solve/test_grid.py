"""From exact lengths to the integer grid."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given

from nesting.demand import Cleat, Group, Panel, Stock
from nesting.solve.grid import FINEST, Rules, fitting, put_on_grid, usable, ways_on
from nesting.solve.problem import Bin, Item
from tests.strategies import tiny_jobs

F = Fraction
RULES = Rules(F(1, 8), F(1, 32), F(45))


def _stock(**keys: Any) -> Stock:
    usual: dict[str, Any] = {"kind": "sheet", "thickness": F(23, 32), "trim": F(0), "price": F(60), "available": None}
    return Stock(name="ply", **{**usual, "length": F(96), "width": F(48), "grain": True, **keys})


def _panel(length: Any, width: Any, grain: Any = "length", *, filler: bool = False) -> Panel:
    return Panel(f"{length} x {width}", F(length), F(width), 1, grain, filler=filler, stocks=frozenset({0}))


def test_every_side_is_inflated_by_the_kerf_on_the_coarsest_grid_that_holds_all() -> None:
    gridded = put_on_grid(Group((_stock(trim=F(1, 8)),), (_panel(24, "95/8"),), ()), RULES)
    # 95 3/4 + 1/8, 47 3/4 + 1/8, 24 1/8, 12: all multiples of 1/8
    assert (gridded.scale, gridded.exact) == (8, True)
    assert gridded.problem.bins[0] == Bin(767, 383, 60)
    assert gridded.problem.items[0] == Item(193, 96, 1, ((True, False),))
    assert gridded.problem.kerf == 1


def test_a_common_factor_makes_the_grid_coarser() -> None:
    gridded = put_on_grid(Group((_stock(),), (_panel(24, 12),), ()), Rules(F(0), F(1, 32), F(45)))
    assert gridded.scale == F(1, 12)
    assert gridded.problem.bins[0] == Bin(8, 4, 60)


def test_prices_become_whole_money() -> None:
    gridded = put_on_grid(Group((_stock(price=F("86.5")), _stock(price=F("33.33"))), (_panel(9, 9),), ()), RULES)
    assert [b.cost for b in gridded.problem.bins] == [8650, 3333]
    assert gridded.money == 100


@pytest.mark.parametrize(
    ("grain", "on_grain", "on_none"),
    [
        ("length", (True, False), (True, True)),
        ("width", (False, True), (True, True)),
        ("any", (True, True), (True, True)),
    ],
)
def test_face_grain_says_how_a_part_may_lie(grain: str, on_grain: Any, on_none: Any) -> None:
    assert ways_on(_panel(9, 5, grain), _stock()) == on_grain
    assert ways_on(_panel(9, 5, grain), _stock(grain=False)) == on_none


def test_a_part_may_not_lie_where_it_does_not_fit_or_has_another_thickness() -> None:
    item = Item(60, 30, 1, ((True, True), (True, True)))
    assert fitting(item, [Bin(60, 40, 1), Bin(30, 60, 1)]).ways == ((True, False), (False, True))
    gridded = put_on_grid(Group((_stock(), _stock()), (_panel(9, 5),), ()), RULES)
    assert gridded.problem.items[0].ways == ((True, False), (False, False))


def test_fillers_are_left_out_but_lie_on_the_grid() -> None:
    gridded = put_on_grid(Group((_stock(),), (_panel(9, 5), _panel(F(1, 3), 5, filler=True)), ()), RULES)
    assert len(gridded.problem.items) == 1
    assert (F(1, 3) + RULES.kerf) * gridded.scale % 1 == 0


def test_blanks_have_the_width_of_the_bevel_rule_for_each_stock() -> None:
    cleats = tuple(
        Cleat(kind, kind, F(height), F(20), 1, frozenset({0, 1})) for kind, height in (("wall", 3), ("holder", 4))
    )
    group = Group((_stock(), _stock(thickness=F(1, 2))), (), cleats)
    gridded = put_on_grid(group, RULES)
    assert [bar.kind for bar in gridded.problem.bars] == [0, 1]
    for row, exact in zip(gridded.problem.blanks, gridded.blanks, strict=True):
        assert [(b.low, b.high) for b in row if b.high is None] == [(0, None), (1, None)]
        assert {frozenset((b.low, b.high)) for b in row if b.high is not None} == {
            frozenset({0}),
            frozenset({0, 1}),
            frozenset({1}),
        }
        assert [b.width for b in row] == [(blank.width + RULES.kerf) * gridded.scale for blank in exact]
    pair = next(
        b for b, w in zip(gridded.blanks[0], gridded.problem.blanks[0], strict=True) if (w.low, w.high) == (0, 0)
    )
    assert pair.width == F(175, 32)


def test_stocks_that_take_no_cleats_have_no_blanks() -> None:
    group = Group((_stock(), _stock()), (), (Cleat("c", "wall", F(3), F(20), 1, frozenset({1})),))
    assert [bool(row) for row in put_on_grid(group, RULES).problem.blanks] == [False, True]


def test_too_fine_a_grid_rounds_parts_up_and_stocks_down_and_says_so() -> None:
    odd = F(10**9 + 7, 10**9)
    stock, panel = _stock(length=F(96) + F(1, 10**7 + 19)), _panel(odd, odd)
    gridded = put_on_grid(Group((stock,), (panel,), ()), RULES)
    assert not gridded.exact
    assert gridded.problem.bins[0].length <= FINEST
    assert gridded.problem.items[0].length >= (odd + RULES.kerf) * gridded.scale
    assert gridded.problem.bins[0].length <= (stock.length + RULES.kerf) * gridded.scale


@given(tiny_jobs())
def test_the_grid_is_exact_for_lengths_of_the_trade(job: tuple[Group, Rules]) -> None:
    group, rules = job
    gridded = put_on_grid(group, rules)
    assert gridded.exact
    for stock, of_grid in zip(group.stocks, gridded.problem.bins, strict=True):
        length, width = usable(stock)
        assert (of_grid.length, of_grid.width) == (
            (length + rules.kerf) * gridded.scale,
            (width + rules.kerf) * gridded.scale,
        )
    for panel, item in zip(gridded.panels, gridded.problem.items, strict=True):
        assert item.length == (panel.length + rules.kerf) * gridded.scale
