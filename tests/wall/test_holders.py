"""Holders as they are built: their boards add up to the size asked for, and what is impossible is told."""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.errors import CannotBeDone
from nesting.wall.built import Built
from nesting.wall.gussets import for_two
from nesting.wall.holders import build, build_all
from tests.wall.workshop import assembled, workshop

F = Fraction
STYLES = ("back", "shelf", "box", "rack", "bin", "bracket")


def one(unit: str = "in", **keys: Any) -> Built:
    project = workshop({"name": "it", "thickness": "1/2" if unit == "in" else "12", **keys}, unit=unit)
    return build(project, project.holder[0])


def sizes(built: Built) -> dict[str, tuple[str, str, int]]:
    return {part.name.removeprefix("it: "): (str(part.length), str(part.width), part.quantity) for part in built.parts}


@st.composite
def holders(draw: st.DrawFn) -> tuple[str, dict[str, Any]]:
    unit = draw(st.sampled_from(["in", "mm"]))
    scale, mark = (1, F(1, 16)) if unit == "in" else (25, F(1, 2))

    def size(least: int, most: int) -> str:
        value = draw(st.integers(int(least * scale / mark), int(most * scale / mark))) * mark
        return str(value) if value.denominator == 1 else f"{value // 1} {value % 1}"

    style = draw(st.sampled_from(STYLES))
    keys: dict[str, Any] = {"style": style, "width": size(3, 40), "height": size(5, 24), "quantity": 2}
    keys["thickness"] = draw(st.sampled_from(["1/2", "3/4"] if unit == "in" else ["12", "18"]))
    if style != "back":
        keys["depth"] = size(3, 10)
    if style == "rack":
        keys["holes"] = {"diameter": size(1, 1), "count": draw(st.integers(1, 3))}
    if style == "bin":
        keys["cells"] = draw(st.integers(1, 4))
    if style in ("shelf", "rack"):
        keys["gussets"] = draw(st.booleans())
    return unit, keys


@given(holders())
def test_boards_make_up_the_outer_size_without_meeting(asked: tuple[str, dict[str, Any]]) -> None:
    unit, keys = asked
    built, faults = build_all(workshop({"name": "it", **keys}, unit=unit))
    assert len(built) + bool(faults) == 1
    for holder in built:
        boxes = assembled(holder)
        spans = [(min(b[axis][0] for _, b in boxes), max(b[axis][1] for _, b in boxes)) for axis in range(3)]
        assert spans == [(0, holder.width), (0, holder.depth), (0, holder.height)]
        assert all(low < high for _, box in boxes for low, high in box)
        for (_, a), (_, b) in combinations(boxes, 2):
            assert any(a[axis][1] <= b[axis][0] or b[axis][1] <= a[axis][0] for axis in range(3))
        assert all(part.length > 0 and part.width > 0 for part in holder.parts)
        assert all(screws.count >= 2 and screws.length > 0 for screws in holder.screws)
        # the screw into the cleat stays inside it
        cleat = F(23, 32) if unit == "in" else F(18)
        assert holder.screws[0].length < holder.thickness + cleat


@given(*[st.fractions(1, 20, max_denominator=64)] * 2, st.sampled_from([F(0), F(3, 32), F(1, 8), F(3)]))
def test_the_diagonal_cut_leaves_each_triangle_its_legs(tall: F, deep: F, kerf: F) -> None:
    step = F(1, 32)
    length, width = for_two(tall, deep, kerf, step)
    # the ends of both legs are half a kerf or more from the diagonal: (1 - a/A) A B >= (k/2) sqrt(A² + B²), squared
    for leg, side in ((tall, length), (deep, width)):
        assert ((1 - leg / side) * length * width) ** 2 >= (kerf / 2) ** 2 * (length**2 + width**2)
    # and a mark less on both sides would not do
    a, b = length - step, width - step
    if kerf and a > tall and b > deep:
        short = [
            ((1 - leg / side) * a * b) ** 2 < (kerf / 2) ** 2 * (a**2 + b**2) for leg, side in ((tall, a), (deep, b))
        ]
        assert any(short)


def test_a_shelf_in_inches() -> None:
    # worked by hand: 8 in deep less a back of 15/32; gussets as tall as deep, 1/16·sqrt 2 and a mark added for the kerf
    built = one(style="shelf", width="24", height="10", depth="8", quantity=3)
    assert sizes(built) == {
        "back": ("24", "10", 3),
        "shelf": ("24", "241/32", 3),
        "gussets": ("61/8", "61/8", 3),
    }
    assert (built.cleat.name, built.cleat.length, built.cleat.quantity) == ("it: cleat", 24, 3)
    assert [part.grain for part in built.parts] == ["length", "length", "any"]
    assert (built.top, built.lift, built.bottom) == (F(169, 32), F(23, 32), F(169, 32) - 10)
    # 15/32 and 23/32 together are 1 3/16: the usual 1 1/4 in would come through by 1/16
    assert built.screws[0].length == 1
    assert [caution.code for caution in built.cautions] == ["holder_screw_through", "diagonal_cut"]
    assert "by 1/16 in: use 1 in" in built.cautions[0].text


def test_a_box_and_a_bin_in_millimetres() -> None:
    box = one("mm", style="box", width=300, height=160, depth=150)
    assert sizes(box) == {
        "back": ("300", "160", 1),
        "front": ("300", "160", 1),
        "end": ("126", "160", 2),
        "bottom": ("276", "126", 1),
    }
    tray = one("mm", style="bin", width=300, height=160, depth=150, cells=3)
    assert sizes(tray)["divider"] == ("126", "148", 2)
    assert len(tray.joints) == 4


def test_a_bracket_and_a_flat_back() -> None:
    assert sizes(one(style="bracket", width="30", height="9", depth="10"))["arm"] == ("305/32", "9/2", 2)
    flat = one(style="back", width="12", height="12")
    assert sizes(flat) == {"back": ("12", "12", 1)}
    assert flat.depth == F(15, 32)


def test_a_rack_is_drilled_in_rows() -> None:
    rack = one(
        style="rack", width="12", height="8", depth="4", gussets=False, holes={"diameter": 1, "count": 5, "rows": 2}
    )
    centres = [(hole.along, hole.from_rear) for hole in rack.drilling]
    deep = 4 - F(15, 32)
    near, far = (deep - 2) / 3 + F(1, 2), deep - (deep - 2) / 3 - F(1, 2)
    assert centres == [(F(11, 4), near), (6, near), (F(37, 4), near), (F(11, 4), far), (6, far)]


def test_slots_run_in_half_way() -> None:
    rack = one(style="rack", width="12", height="8", depth="4", slots={"width": "1/2", "count": 4})
    deep = 4 - F(15, 32)
    assert {hole.from_rear for hole in rack.drilling} == {deep / 2 + F(1, 4)}
    assert [hole.kind for hole in rack.drilling] == ["slot"] * 4


def test_a_low_rack_goes_without_gussets_and_a_thin_cleat_is_screwed_from_behind() -> None:
    keys = {"width": "12", "height": "2 1/2", "depth": "1 1/2", "slots": {"width": "3/8", "count": 1}}
    low = workshop({"name": "it", "style": "rack", "thickness": "1/2", **keys}, holder_height=2)
    built = build(low, low.holder[0])
    assert list(sizes(built)) == ["back", "shelf"]
    assert "no_gussets" in [caution.code for caution in built.cautions]
    thin = workshop({"name": "it", "style": "back", "width": "12", "height": "6", "thickness": "3/4"}, thickness="1/4")
    (caution,) = build(thin, thin.holder[0]).cautions[1:]
    assert caution.code == "holder_screw_short"


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        ({"style": "back", "width": "1 1/2", "height": "6"}, "holder[1].width: 'it' is too narrow for two screws"),
        (
            {"style": "shelf", "width": "24", "height": "4", "depth": "12"},
            "holder[1].depth: 'it' is deeper than its own back can hold: the middle of its contents stands 6 19/32 in "
            "out from the bevel, its foot bears only 1 3/8 in below it",
        ),
        (
            {"style": "box", "width": "1 1/4", "height": "6", "depth": "5"},
            "'it' of parts 15/32 in thick: 5/16 in is left between its sides, less than 1/2 in; accepted: at least",
        ),
        (
            {"style": "box", "width": "9", "height": "6", "depth": "1 1/4"},
            "accepted: at least 1 7/16 in, or thinner parts",
        ),
        ({"style": "bin", "width": "9", "height": "6", "depth": "5", "cells": 12}, "accepted: at most 8 cells"),
        (
            {"style": "rack", "width": "9", "height": "6", "holes": {"diameter": "1 1/4", "count": 12}},
            "has 12 holes of 1 1/4 in in 1 row: they do not fit on its shelf of 9 in × 3 17/32 in with 5/8 in of wood "
            "around each; accepted: at most 3 in a row and 1 row, 3 in all",
        ),
        (
            {"style": "rack", "width": "9", "height": "6", "holes": {"diameter": "8", "count": 1}},
            "accepted: smaller holes, or a wider and deeper rack",
        ),
        (
            {"style": "rack", "width": "9", "height": "6", "slots": {"width": "1", "count": 9}},
            "has 9 slots of 1 in, too many for its shelf 9 in long; accepted: at most 5",
        ),
        (
            {"style": "rack", "width": "9", "height": "6", "slots": {"width": "1/2", "length": "3 1/2", "count": 2}},
            "has slots 3 1/2 in long, which leave too little wood behind them; accepted: from 1/2 in to 3 5/32",
        ),
        (
            {"style": "rack", "width": "20", "height": "6", "slots": {"width": "3", "count": 2}},
            "which are shorter than they are wide; accepted: narrower slots",
        ),
        (
            {"style": "back", "width": "9", "height": "6", "screws": {"length": "1 1/2"}},
            "has screws that come through its cleat by 5/16 in; accepted: more than 15/32 in and at most 1 3/16 in",
        ),
        ({"style": "back", "width": "9", "height": "6", "screws": {"length": "3/8"}}, "that do not reach its cleat"),
    ],
)
def test_what_cannot_be_built_is_told_with_its_place_and_what_would_help(keys: dict[str, Any], said: str) -> None:
    with pytest.raises(CannotBeDone) as refused:
        one(**keys)
    assert said in str(refused.value)


def test_every_reason_is_told_at_once() -> None:
    project = workshop(
        {"name": "a", "style": "back", "width": "1 1/2", "height": "6", "screws": {"length": "5"}},
        {"name": "b", "style": "back", "width": "12", "height": "6"},
        {"name": "c", "style": "bin", "width": "4", "height": "6", "depth": "4", "cells": 9},
    )
    built, faults = build_all(project)
    assert [holder.name for holder in built] == ["b"]
    assert [fault.pointer for fault in faults] == ["/holder/0/width", "/holder/0/screws", "/holder/2/cells"]


def test_what_only_friction_holds_is_cautioned() -> None:
    # arm 23/64 + (12 + 15/32) / 2, foot 6 - 2.64 = 3.36 below the bevel: more than 1, less than 13/7 times it
    built = one(style="shelf", width="12", height="7", depth="12", gussets=False)
    (caution,) = [caution for caution in built.cautions if caution.code == "friction_holds"]
    assert "6 19/32 in out from the bevel" in caution.text
    assert "A back 9 1/4 in high would hold" in caution.text
    steep = workshop({"name": "it", "style": "shelf", "width": "12", "height": "7", "depth": "12"}, bevel=60)
    assert build(steep, steep.holder[0]).name == "it"


def test_stock_of_two_thicknesses_is_cautioned() -> None:
    holder = {"name": "it", "style": "shelf", "width": "12", "height": "9", "thickness": "1/2"}
    project = workshop(holder)
    mapping = project.sheet[1].model_copy(update={"name": "other", "thickness": F(1, 2)})
    project = project.model_copy(update={"sheet": (*project.sheet, mapping)})
    built = build(project, project.holder[0])
    assert built.thickness == F(1, 2)
    assert "15/32 in or 1/2 in" in next(c.text for c in built.cautions if c.code == "mixed_thickness")
