"""The hanging map against trying everything, against the rules written anew, and what it says where not all fit."""

from __future__ import annotations

import threading
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.project.model import Project
from nesting.wall.built import Built
from nesting.wall.hanging import Hanging, hang
from nesting.wall.holders import build_all
from nesting.wall.rows import Row, rows
from tests.wall.exhaustive_hanging import At, apart, best_cost, cost, foot_at
from tests.wall.workshop import workshop

F = Fraction
PUMP = {"name": "pump shelf", "style": "shelf", "width": "24", "height": "10", "load": 30, "thickness": "1/2"}
BOX = {"name": "box", "style": "box", "width": "12", "height": "7", "load": 8, "thickness": "1/2"}
WALL = {"width": 64, "height": 48, "studs": {"first": "8", "spacing": "16"}}


def hung(*holders: dict[str, Any], wall: dict[str, Any] | None = None, **keys: Any) -> tuple[Project, Hanging]:
    project = workshop(*holders, wall=WALL | (wall or {}))
    return project, hang(project, rows(project), build_all(project)[0], **({"seconds": 60} | keys))


def placed(project: Project, found: Hanging) -> list[At]:
    """Return a hanging as the other rules see it, which must find every place legal."""
    built = {holder.name: holder for holder in build_all(project)[0]}
    there = {row.index: row for row in rows(project)}
    hanging = [At(built[at.holder], there[at.row], at.x, at.foot) for at in found.hung]
    for at, said in zip(hanging, found.hung, strict=True):
        assert foot_at(project, tuple(there.values()), at.built, at.row, at.x) == at.foot
        assert (at.bottom, at.top) == (said.bottom, said.top)
    for n, a in enumerate(hanging):
        assert all(apart(a, b) for b in hanging[n + 1 :])
    return hanging


@st.composite
def bays(draw: st.DrawFn, copies: int) -> Project:
    """Draw a small wall on a grid of 4 in, and holders as wide as multiples of 8 in."""
    wall: dict[str, Any] = {
        "width": 4 * draw(st.integers(8, 12)),
        "height": draw(st.sampled_from([18, 24, 27, 30])),
        "gap": draw(st.sampled_from([3, 4, 6, "1 1/2"])),
        "floor_gap": draw(st.sampled_from([0, 24, 48])),
        "studs": {"first": 4, "spacing": draw(st.sampled_from([8, 12]))},
        "start": draw(st.sampled_from(["top", "bottom"])),
    }
    if draw(st.booleans()):
        x, y = 4 * draw(st.integers(0, 7)), draw(st.integers(0, 17))
        wall["keepout"] = [{"name": "outlet", "x": x + 1, "y": y, "width": 2, "height": 4, "clearance": 1}]
    holders: list[dict[str, Any]] = []
    while copies:
        quantity = draw(st.integers(1, copies))
        copies -= quantity
        holders.append(
            {
                "name": f"h{len(holders)}",
                "style": "back",
                "width": 8 * draw(st.integers(1, 4)),
                "height": draw(st.sampled_from([4, 6, 8, 9, 12, 15])),
                "load": draw(st.sampled_from([0, 5, 20])),
                "quantity": quantity,
                **({"zone": zone} if (zone := draw(st.sampled_from([None, "low", "reach", "high"]))) else {}),
            }
        )
    return workshop(*holders, wall=wall)


def laid_out(project: Project) -> tuple[tuple[Row, ...], tuple[Built, ...]]:
    return rows(project), build_all(project)[0]


@settings(deadline=None, max_examples=10)
@given(bays(copies=3))
def test_nothing_hangs_better_than_what_is_found(project: Project) -> None:
    there, built = laid_out(project)
    found = hang(project, there, built, seconds=60)
    assert found.proven
    assert found.settled
    assert cost(project, placed(project, found), 3) == best_cost(project, there, built, F(4))


@settings(deadline=None, max_examples=8)
@given(bays(copies=12))
def test_what_hangs_hangs_by_the_rules(project: Project) -> None:
    there, built = laid_out(project)
    found = hang(project, there, built, seconds=0.3)
    hanging = placed(project, found)
    assert len(hanging) + sum(left.copies for left in found.left_out) == 12
    for left in found.left_out:
        (holder,) = [holder for holder in built if holder.name == left.holder]
        anywhere = any(
            foot_at(project, there, holder, row, F(x)) for row in there for run in row.runs for x in range(int(run.end))
        )
        assert left.nowhere != anywhere


def test_a_pump_shelf_low_and_drivers_within_reach() -> None:
    project, found = hung(
        PUMP | {"zone": "low"},
        {"name": "drivers", "style": "back", "width": "18", "height": "6", "zone": "reach"},
        wall={"height": 84, "floor_gap": 6},
    )
    assert found.proven
    assert found.settled
    hanging = placed(project, found)
    middles = {at.built.name: 6 + (at.bottom + at.top) / 2 for at in hanging}
    assert middles["pump shelf"] < 36 <= middles["drivers"] <= 60
    # 10 in reach from 2 9/32 over the upper edge of the own cleat to 1 23/32 below that of the next, 6 in lower
    assert {at.built.name: at.foot for at in hanging} == {"pump shelf": "next cleat", "drivers": "own cleat"}


def test_loads_spread_over_the_rows_and_what_is_heavy_hangs_low() -> None:
    # the shelf alone puts 30 lb on its row; two boxes would put 32 lb on one
    project, found = hung(BOX | {"quantity": 4, "load": 16, "width": "8"}, PUMP)
    rows_of = {name: [at.row for at in found.hung if at.holder == name] for name in ("box", "pump shelf")}
    assert found.settled
    assert len(set(rows_of["box"])) == 4
    assert rows_of["pump shelf"] == [7]  # the lowest that leaves its back in the area
    assert found.spacers("box") == 4
    assert placed(project, found)


def test_the_same_seed_hangs_the_same() -> None:
    one = hung(BOX | {"quantity": 3}, PUMP, seed=3)[1]
    assert one == hung(BOX | {"quantity": 3}, PUMP, seed=3)[1]


def test_it_ends_in_time_with_what_it_has() -> None:
    cancel = threading.Event()
    cancel.set()
    found = hung(BOX | {"quantity": 10}, cancel=cancel)[1]  # settled in under a second, were the cancel not heard
    assert found.hung
    assert not found.settled
    late = hung(BOX | {"quantity": 60}, seconds=0)[1]
    assert late.hung
    assert late.left_out
    assert late.remedies == ()  # there was no time to try any
    assert not late.settled


def test_more_copies_than_can_be_searched_are_hung_all_the_same() -> None:
    project, found = hung(BOX | {"quantity": 150}, seconds=4)
    assert not found.proven
    assert len(placed(project, found)) > 10
    (left,) = found.left_out
    assert left.copies == 150 - len(found.hung)
    assert left.reason == f"'box': no room is left for {left.copies} of its 150 copies"


def test_lengths_too_fine_to_count_are_rounded_to_the_safe_side() -> None:
    fine = {"width": "11.999999999", "height": "9.1", "name": "fine", "style": "back", "quantity": 2}
    project, found = hung(fine, BOX | {"width": "10 1/7"})
    assert len(placed(project, found)) == 3
    assert all(at.x * 32 % 1 == 0 for at in found.hung)


def test_without_a_wall_nothing_hangs() -> None:
    project = workshop(BOX)
    assert hang(project, (), build_all(project)[0]) == Hanging((), (), proven=True, settled=True)


@pytest.mark.parametrize(
    ("holder", "wall", "said"),
    [
        (
            {"width": "70"},
            {},
            "'box', 70 in wide, is wider than any run: the longest is 56 in, in row 1 from x = 4 in; make it no wider",
        ),
        (
            {"height": "48"},
            {},
            "'box', 48 in high, reaches 23/32 in below the usable area even from the highest row that it can be hooked "
            "on; a back of at most 47 9/32 in would hang",
        ),
        (
            {"height": "5"},
            {"height": 8, "rows": [3]},
            "'box' cannot be hooked on: while it is lifted on it stands 6 in over the lower edge of its row, and the "
            "area ends 5 in over the lowest row that is wide enough; an area 9 in high would do, or lower rows",
        ),
        (
            {"height": "5"},
            {"height": 9, "rows": [0, "4 1/2"]},
            "'box' cannot be hooked on: its cleat of 3 in needs as much clear height over a row, and the gap is 1 1/2 "
            "in; a gap of 3 in would do, or a holder_height of 1 1/2 in",
        ),
        (
            {"width": "40"},
            {"keepout": [{"name": "pipe", "x": "30", "y": "0", "width": "2", "height": "5"}], "height": 12},
            "'box', 40 in × 7 in, finds no place between the keep-outs ('pipe'); a smaller holder, or less clearance",
        ),
        (
            {"width": "44", "height": "9"},
            {"keepout": [{"name": "pipe", "x": "20", "y": "0", "width": "20", "height": "2"}], "rows": [1, 7]},
            "'box' would rest on the end of a cleat with less than half of its foot wherever it fits",
        ),
    ],
)
def test_a_holder_that_hangs_nowhere_is_told_why(holder: dict[str, Any], wall: dict[str, Any], said: str) -> None:
    (left,) = hung(BOX | holder, wall=wall)[1].left_out
    assert left.nowhere
    assert said in left.reason


def test_what_makes_room_is_tried_out() -> None:
    # 56 in of run take two holders of 24 in a row; at a gap of 6 in (rows at 0, 9) two rows, at 3 in three
    shelf = {"name": "it", "style": "back", "width": "24", "height": "5", "quantity": 5}
    wall = {"height": 18, "gap": 6}
    found = hung(shelf, wall=wall)[1]
    assert found.proven
    assert [left.copies for left in found.left_out] == [1]
    assert found.remedies == (
        "With a gap of 3 in in place of 6 in, 3 rows in place of 2, all would hang.",
        "On a wall 16 in wider all would hang.",
        "On a wall 9 in higher all would hang.",
    )
    for change in ({"gap": 3}, {"width": 80}, {"height": 27}):
        assert not hung(shelf, wall=wall | change)[1].left_out
    given = hung(shelf, wall={"height": 18, "rows": [0, 12]})[1]
    assert given.remedies[0] == "With one more row at 6 in all would hang."


def test_where_no_single_change_makes_room_it_says_so() -> None:
    shelf = {"name": "it", "style": "back", "width": "56", "height": "5", "quantity": 60}
    (told,) = hung(shelf, wall={"height": 18, "studs": {"positions": [8, 24, 40, 56]}})[1].remedies
    assert told.startswith("No single change")
