"""The brute-force optimum on cases worked out by hand, and its two ways of cutting against each other."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given, settings

from nesting.demand import Cleat, Group, Panel, Stock
from tests.oracle.brute_force import cheapest
from tests.strategies import tiny_jobs

F = Fraction
STEP, ANGLE = F(1, 32), F(45)


def stock(name: str, length: Any, width: Any, price: Any, available: int | None = None, **more: Any) -> Stock:
    keys: dict[str, Any] = {"kind": "sheet", "thickness": F(23, 32), "trim": F(0), "grain": True} | more
    return Stock(name=name, length=F(length), width=F(width), price=F(price), available=available, **keys)


def panel(length: Any, width: Any, quantity: int, grain: Any = "length", stocks: int = 1, **more: Any) -> Panel:
    return Panel(
        f"{length}x{width}", F(length), F(width), quantity, grain, more.get("filler", False), frozenset(range(stocks))
    )


def cleat(length: Any, quantity: int, height: Any = 3, kind: Any = "wall", stocks: int = 1) -> Cleat:
    return Cleat(f"{kind} {length}", kind, F(height), F(length), quantity, frozenset(range(stocks)))


def cost(stocks: list[Stock], *made: Panel | Cleat, kerf: Any = "1/8", **limits: Any) -> F | None:
    panels = tuple(one for one in made if isinstance(one, Panel))
    cleats = tuple(one for one in made if isinstance(one, Cleat))
    return cheapest(Group(tuple(stocks), panels, cleats), F(kerf), STEP, ANGLE, **limits)


def test_two_parts_as_wide_as_an_offcut_less_one_kerf() -> None:
    offcut = stock("offcut", 20, F(81, 8), 0, 1, kind="offcut")
    assert cost([offcut], panel(20, 5, 2)) == 0
    assert cost([offcut], panel(20, F(81, 16), 2)) is None  # together 10 1/8: no room for the blade
    assert cost([offcut], panel(20, F(81, 16), 2), kerf=0) == 0


def test_a_rest_thinner_than_the_kerf_is_eaten() -> None:
    assert cost([stock("s", 20, F(81, 16), 5)], panel(20, 5, 1)) == 5


def test_dear_whole_cheaper_half_cheap_quarter() -> None:
    # four quarters' worth: whole 40, two halves 44, half and two quarters 22 + 24, but only one quarter is there
    stocks = [stock("whole", 96, 48, 40), stock("half", 48, 48, 22), stock("quarter", 48, 24, 12, 1)]
    part = [panel(47, 23, quantity, stocks=3) for quantity in (1, 2, 3, 4)]
    assert [cost(stocks, one) for one in part] == [12, 22, 34, 40]


def test_limited_stock_runs_out() -> None:
    assert cost([stock("s", 10, 10, 5, 1)], panel(10, 10, 2)) is None
    assert cost([stock("s", 10, 10, 5, 2)], panel(10, 10, 2)) == 10


def test_grain_and_trim() -> None:
    assert cost([stock("s", 20, 10, 5)], panel(10, 20, 1)) is None
    assert cost([stock("s", 20, 10, 5)], panel(10, 20, 1, "width")) == 5
    assert cost([stock("s", 20, 10, 5)], panel(10, 20, 1, "any")) == 5
    assert cost([stock("s", 20, 10, 5, grain=False)], panel(10, 20, 1)) == 5
    assert cost([stock("s", 20, 10, 5, trim=F(1, 8))], panel(20, 10, 1)) is None
    assert cost([stock("s", 20, 10, 5, trim=F(1, 8))], panel(F(79, 4), F(39, 4), 1)) == 5


def test_pinwheel_cannot_be_cut_from_edge_to_edge() -> None:
    # four 3 x 2 about a 1 x 1 fill a 5 x 5 square, but no cut goes through: area alone would say one sheet
    pieces = (panel(3, 2, 4, "any"), panel(1, 1, 1, "any"))
    assert cost([stock("s", 5, 5, 7)], *pieces, kerf=0) == 14
    # four 2 x 1 about a 1 x 1 can also be cut: three rows of 2, and a column of 1 beside them
    assert cost([stock("s", 3, 3, 7)], panel(2, 1, 4, "any"), panel(1, 1, 1, "any"), kerf=0) == 7


def test_thickness_decides_the_stock() -> None:
    stocks = [stock("thin", 10, 10, 1), stock("thick", 10, 10, 9)]
    only_thick = Panel("p", F(10), F(10), 1, "length", False, frozenset({1}))
    assert cost(stocks, only_thick) == 9


def test_fillers_cost_nothing() -> None:
    assert cost([stock("s", 10, 10, 5)], panel(10, 10, 1), panel(10, 10, 3, filler=True)) == 5


def test_two_cleats_from_one_blank() -> None:
    # 3 in cleats of 23/32 ply, kerf 1/8, 45 degrees: a blank of 5 15/32 (2 9/32 + 0.17678 + 3, rounded up)
    wide = F(175, 32)
    assert cost([stock("s", 96, wide, 5)], cleat(96, 2)) == 5
    assert cost([stock("s", 96, wide - F(1, 64), 5)], cleat(96, 2)) == 10  # one at a time: a lone cleat needs 3 in
    assert cost([stock("s", 96, 3, 5)], cleat(96, 2)) == 10
    assert cost([stock("s", 96, F(95, 32), 5)], cleat(96, 1)) is None


def test_bars_are_crosscut_apart() -> None:
    # the low bar holds 60 + 36 less a kerf, the high bar 48 + 47 7/8
    pieces = (cleat(60, 1), cleat(F(287, 8), 1), cleat(48, 1), cleat(F(383, 8), 1))
    assert cost([stock("s", 96, F(175, 32), 5)], *pieces) == 5
    assert cost([stock("s", 96, F(175, 32), 5)], cleat(48, 4)) == 10  # 48 + kerf + 48 is more than 96


def test_one_blank_gives_two_heights() -> None:
    # a 3 in wall cleat beside a 4 in holder cleat: 2 9/32 + 0.17678 + 4 = 6.458, up to 6 15/32
    pieces = (cleat(40, 1), cleat(40, 1, 4, "holder"))
    assert cost([stock("s", 40, F(207, 32), 5)], *pieces) == 5
    assert cost([stock("s", 40, F(206, 32), 5)], *pieces) == 10


def test_cleats_and_a_panel_share_a_sheet() -> None:
    assert cost([stock("s", 48, F(175, 32) + F(1, 8) + 6, 5)], cleat(48, 2), panel(48, 6, 1)) == 5
    assert cost([stock("s", 48, F(175, 32) + F(1, 16) + 6, 5)], cleat(48, 2), panel(48, 6, 1)) == 10


def test_stages() -> None:
    # rows: 6 x 4 with two 4 x 2 beside it, one above the other, fill 10 x 4: crosscut, then rip
    pieces = (panel(6, 4, 1), panel(4, 2, 2))
    for limits, expected in (
        ({"max_stages": 1}, None),  # a part of the whole width, then one cut across: not both in one direction
        ({"max_stages": 2}, 5),
        ({"max_stages": 2, "first_cut": "crosscut"}, 5),
        ({"max_stages": 2, "first_cut": "rip"}, None),  # the 6 x 4 would have no rip before its crosscut
    ):
        assert cost([stock("s", 10, 4, 5)], *pieces, kerf=0, **limits) == expected
    # with 2 to spare the rest is ripped off first: rip, crosscut, rip
    assert cost([stock("s", 10, 6, 5)], *pieces, kerf=0, max_stages=3, first_cut="rip") == 5
    # in two stages, rips first, the three need two sheets: a strip 4 wide, and a strip 2 wide with both
    assert cost([stock("s", 10, 4, 5)], panel(10, 4, 1), panel(4, 2, 2), kerf=0, max_stages=2, first_cut="rip") == 10
    assert cost([stock("s", 10, 5, 5)], panel(6, 4, 1), panel(4, 2, 2), kerf=0, max_stages=2, first_cut="rip") == 10


def test_trimming_to_size_is_a_stage() -> None:
    # a 5 x 3 part from 10 x 6 takes a rip and a crosscut; of full length, a rip alone
    assert cost([stock("s", 10, 6, 5)], panel(5, 3, 1), max_stages=1) is None
    assert cost([stock("s", 10, 6, 5)], panel(5, 3, 1), max_stages=2) == 5
    assert cost([stock("s", 10, 6, 5)], panel(10, 3, 1), max_stages=1) == 5
    assert cost([stock("s", 10, 6, 5)], panel(10, 6, 1), max_stages=0) == 5


def test_first_cut_alone() -> None:
    # 4 x 6 beside two 6 x 3: only a crosscut can come first where nothing is to spare
    pieces = (panel(4, 6, 1), panel(6, 3, 2))
    sheet = stock("s", 10, 6, 5)
    assert cost([sheet], *pieces, kerf=0) == 5
    assert cost([sheet], *pieces, kerf=0, first_cut="crosscut") == 5
    assert cost([sheet], *pieces, kerf=0, first_cut="rip") is None
    assert cost([stock("s", 10, 7, 5)], *pieces, kerf=0, first_cut="rip") == 5  # a rip takes the rest off first


def test_bevel_rip_is_a_rip() -> None:
    # blank as wide as the stock: the bevel rip is the first cut and the only stage where cleats are as long as it
    blank = stock("s", 96, F(175, 32), 5)
    assert cost([blank], cleat(96, 2), max_stages=1) == 5
    assert cost([blank], cleat(96, 2), max_stages=1, first_cut="crosscut") is None
    assert cost([blank], cleat(90, 2), max_stages=1) is None
    assert cost([blank], cleat(90, 2), max_stages=2, first_cut="rip") == 5
    assert cost([stock("s", 96, 8, 5)], cleat(96, 2), max_stages=1) == 5  # strip and bevel rip in one stage


def test_too_many_pieces_are_refused() -> None:
    with pytest.raises(ValueError, match="7 pieces"):
        cost([stock("s", 10, 10, 5)], panel(1, 1, 7))


@settings(max_examples=6, deadline=None)
@given(tiny_jobs())
def test_many_stages_are_as_good_as_any_number(job: Any) -> None:
    """Two recursions, exact spaces stage by stage and smallest boxes, must agree where stages do not bind."""
    group, rules = job
    free = cheapest(group, rules.kerf, rules.step, rules.angle)
    assert cheapest(group, rules.kerf, rules.step, rules.angle, max_stages=6) == free
    for first in ("rip", "crosscut"):
        limited = cheapest(group, rules.kerf, rules.step, rules.angle, first)
        assert limited == cheapest(group, rules.kerf, rules.step, rules.angle, first, 7)
        assert limited is None or (free is not None and free <= limited)
