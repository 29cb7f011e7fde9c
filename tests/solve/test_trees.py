"""From patterns to cut trees: positions, kerfs, trims, bevel rips, ids."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from nesting.demand import Cleat, Group, Panel, Stock
from nesting.layout import Layout, Node
from nesting.solve.grid import Rules, put_on_grid
from nesting.solve.pattern import Pattern, Put, Split, Strip
from nesting.solve.trees import TreeBuilder

F = Fraction
KERF = F(1, 8)
RULES = Rules(KERF, F(1, 32), F(45))


def _layout(
    pattern: Pattern, *, trim: Any = 0, rules: Rules = RULES, panels: Any = ((20, 10),), size: Any = (96, 48)
) -> Layout:
    stock = Stock("ply", "sheet", F(size[0]), F(size[1]), F(23, 32), F(trim), F(60), None, grain=True)
    parts = tuple(
        Panel(f"p{n}", F(length), F(width), 9, "any", filler=False, stocks=frozenset({0}))
        for n, (length, width) in enumerate(panels)
    )
    cleats = (
        Cleat("long", "wall", F(3), F(40), 9, frozenset({0})),
        Cleat("short", "wall", F(3), F(25), 9, frozenset({0})),
    )
    gridded = put_on_grid(Group((stock,), parts, cleats), rules)
    return TreeBuilder(gridded, gridded.panels, "in").layout("A1", 0, pattern)


def _box(node: Node) -> tuple[Fraction, Fraction, Fraction, Fraction]:
    return node.x, node.y, node.length, node.width


def _at(layout: Layout, **wanted: Any) -> list[Node]:
    return [node for node in layout.tree.walk() if all(getattr(node, key) == value for key, value in wanted.items())]


def test_a_part_in_the_corner_and_the_rest_named() -> None:
    layout = _layout(Split("rip", 324, Split("crosscut", 644, Put(0), None), None))
    (part,) = _at(layout, role="part")
    assert _box(part) == (0, 0, 20, 10)
    assert {_box(node) for node in _at(layout, role="offcut")} == {
        (0, 10 + KERF, 96, 38 - KERF),
        (20 + KERF, 0, 76 - KERF, 10),
    }
    assert layout.tree.id == "A1"
    assert sorted(node.id for node in layout.tree.walk())[1:] == ["A1.1", "A1.2", "A1.3", "A1.4"]


@pytest.mark.parametrize(("length", "width", "first"), [(20, 30, "crosscut"), (80, 10, "rip"), (20, 10, "rip")])
def test_a_loose_leaf_keeps_the_larger_rest_whole(length: int, width: int, first: str) -> None:
    assert _layout(Put(0), panels=((length, width),)).tree.cut == first


def test_a_rest_not_wider_than_the_blade_is_eaten() -> None:
    layout = _layout(Split("rip", 1, Put(0), None), panels=((96, F(48) - KERF),))
    assert len(layout.tree.pieces) == 1
    assert _box(layout.tree.pieces[0]) == (0, 0, 96, F(48) - KERF)
    layout = _layout(Split("rip", 1, Put(0), None), panels=((96, F(48) - KERF - F(1, 32)),))
    assert [piece.role for piece in layout.tree.pieces] == ["part", "waste"]


def test_a_turned_part_lies_with_its_length_along_y() -> None:
    (part,) = _at(_layout(Put(0, turned=True)), role="part")
    assert (part.length, part.width, part.turned) == (10, 20, True)


def test_the_high_piece_of_a_cut_begins_behind_the_kerf() -> None:
    layout = _layout(Split("crosscut", 9, Put(0), Split("crosscut", 9, Put(0), None)))
    assert [node.x for node in _at(layout, role="part")] == [0, 20 + KERF]


@pytest.mark.parametrize("trim", [F(1, 2), F(1, 8), F(1, 16)])
def test_trims_take_all_four_edges_their_kerf_included(trim: Fraction) -> None:
    size = (F(96) - 2 * trim, F(48) - 2 * trim)
    layout = _layout(Put(0), trim=trim, panels=(size,))
    (part,) = _at(layout, role="part")
    assert _box(part) == (trim, trim, *size)
    scraps = _at(layout, role="waste")
    assert len(scraps) == (4 if trim > KERF else 0)
    assert {min(node.length, node.width) for node in scraps} <= {trim - KERF}
    assert len(_at(layout, role="cut")) == 4


def test_beside_mere_waste_the_high_trim_is_cut_where_the_pieces_end() -> None:
    layout = _layout(Put(0), trim=F(1, 2), panels=((F(95), F(45)),))
    (part,) = _at(layout, role="part")
    assert _box(part) == (F(1, 2), F(1, 2), 95, 45)
    assert len(_at(layout, role="cut")) == 4  # two low trims, one rip, one crosscut
    staged = _layout(Put(0), trim=F(1, 2), panels=((F(95), F(45)),), rules=replace(RULES, max_stages=3))
    assert len(_at(staged, role="cut")) == 5


def test_a_blank_is_bevelled_into_two_bars_that_overlap_in_plan() -> None:
    pair = 1  # lone, then the pair of the only height
    layout = _layout(Split("rip", 9, Strip(pair, (0, 0), (0, 1)), None))
    (bevel,) = _at(layout, bevel=F(45))
    assert (bevel.cut, bevel.width) == ("rip", F(175, 32))
    low, high = bevel.pieces
    assert low.y == bevel.y
    assert high.y + high.width == bevel.y + bevel.width
    assert high.y < low.y + low.width
    assert low.width == 3
    assert low.width + high.width == pytest.approx(float(bevel.width) + 23 / 32 - 0.125 * 2**0.5, abs=1e-12)
    names = [node.part for node in low.walk() if node.role == "part"], [n.part for n in high.walk() if n.role == "part"]
    assert names == (["long", "long"], ["long", "short"])
    assert [node.x for node in high.walk() if node.role == "part"] == [0, 40 + KERF]


def test_an_empty_half_makes_it_the_strip_of_a_lone_cleat() -> None:
    for strip in (Strip(1, (0,), ()), Strip(1, (), (0,)), Strip(0, (0,), None)):
        layout = _layout(Split("rip", 9, strip, None))
        (bevel,) = _at(layout, bevel=F(45))
        assert bevel.width == 3
        assert [piece.role for piece in bevel.pieces] == ["part", "waste"]  # the waste is the wedge cut off
        assert bevel.pieces[0].width == 3
        assert float(bevel.pieces[1].width) == pytest.approx(23 / 32 - 0.125 * 2**0.5)


def test_a_blank_is_shortened_before_its_bevel_rip_for_a_good_leftover() -> None:
    layout = _layout(Split("rip", 9, Strip(1, (0,), (1,)), None))
    (bevel,) = _at(layout, bevel=F(45))
    assert bevel.length == 40  # 55 in are left, worth keeping
    assert any(node.role == "offcut" and node.x == 40 + KERF for node in layout.tree.walk())
    staged = _layout(Split("rip", 9, Strip(1, (0,), (1,)), None), rules=replace(RULES, max_stages=3))
    (bevel,) = _at(staged, bevel=F(45))
    assert bevel.length == 96  # the bars are crosscut instead, in the stage after


def test_under_a_limit_the_high_piece_is_brought_to_size_in_the_same_stage() -> None:
    pattern = Split("rip", 9, Put(0), Split("crosscut", 9, Put(1), Put(1)))
    panels = ((96, 20), (F(96) / 2 - KERF / 2, 15))
    layout = _layout(pattern, panels=panels, rules=replace(RULES, max_stages=2))
    (crosscut,) = _at(layout, cut="crosscut")
    assert crosscut.width == 15
    assert [piece.role for piece in crosscut.pieces] == ["part", "part"]


def test_a_sheet_of_which_nothing_is_made_is_an_offcut() -> None:
    assert (_layout(None).tree.role, _layout(Split("rip", 9, None, None)).tree.role) == ("offcut", "offcut")
