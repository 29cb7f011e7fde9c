"""Rows at exact heights, runs between keep-outs, stretches that stay bare, and walls that take no cleat at all."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given, settings

from nesting.errors import CannotBeDone
from nesting.project.model import Project
from nesting.project.read import project_from_mapping
from nesting.wall.fitting import fit_out
from nesting.wall.rows import rows
from nesting.wall.splices import compositions, longest_cleat, splices
from tests.malformed import BASE
from tests.strategies import walls

OUTLET = {"name": "outlet", "x": 40, "y": 38, "width": 5, "height": 7, "clearance": 2}


def project(cleats: dict[str, Any] | None = None, **wall: Any) -> Project:
    keys = {"width": 144, "height": 84, "studs": {"first": 8, "spacing": 16}} | wall
    bare = {key: BASE[key] for key in ("project", "saw", "sheet")}
    return project_from_mapping({**bare, "wall": keys, "cleats": cleats or BASE["cleats"]})


def test_rows_from_the_top_leave_room_to_lift_a_holder_off() -> None:
    found = rows(project())
    assert [row.y for row in found] == list(range(78, -1, -6))
    assert [row.index for row in found] == list(range(1, 15))


def test_rows_from_the_bottom_and_with_another_gap() -> None:
    assert [row.y for row in rows(project(start="bottom", height=83, gap="2 1/2"))] == [
        Fraction(11, 2) * n for n in reversed(range(15))
    ]


def test_rows_told_one_by_one_stand_where_they_are_told() -> None:
    assert [row.y for row in rows(project(rows=["6", "81", "14 1/4"]))] == [81, Fraction(57, 4), 6]


def test_a_wall_lower_than_cleat_and_holder_has_one_row() -> None:
    assert [row.y for row in rows(project(height=4))] == [0]


def test_runs_end_at_keepouts_and_at_the_overhang() -> None:
    """The keep-out with its clearance reaches from 38 to 47 and from 36 to 47: rows at 42 and 36 are cut."""
    by_height = {
        row.y: [(run.x, run.end, len(run.studs)) for run in row.runs] for row in rows(project(keepout=[OUTLET]))
    }
    assert by_height[48] == by_height[30] == [(4, 140, 9)]
    assert by_height[42] == by_height[36] == [(4, 28, 2), (52, 140, 6)]


def test_a_row_that_only_touches_the_clearance_is_whole() -> None:
    touching = OUTLET | {"y": 33, "height": 3, "clearance": 0}  # up to 36, where a row begins; from 33, where one ends
    assert all(len(row.runs) == 1 for row in rows(project(keepout=[touching])))


def test_overhang_is_cut_off_at_the_wall_and_at_a_keepout() -> None:
    run = rows(project(width=137, overhang=20))[0].runs[0]
    assert (run.x, run.end) == (0, 137)
    assert rows(project(overhang=0))[0].runs[0].x == 8


def test_measured_studs_in_any_order() -> None:
    run = rows(project(studs={"positions": ["100", "20 1/2", "63"]}))[0].runs[0]
    assert run.studs == (Fraction(41, 2), 63, 100)


def test_a_stud_at_the_very_end_counts_as_at_a_joint() -> None:
    run = rows(project(width=40, overhang=0, studs={"first": 0, "spacing": 20}))[0].runs[0]
    assert (run.x, run.end, run.studs) == (0, 40, (0, 20, 40))


def test_stretches_with_too_few_studs_stay_bare_and_are_told() -> None:
    doors = [{"name": f"door {n}", "x": x, "y": 0, "width": 4, "height": 84} for n, x in enumerate((30, 50, 66))]
    fitting = fit_out(project(height=8, keepout=doors))
    assert fitting is not None
    assert [(bare.x, bare.length, bare.studs) for bare in fitting.rows[0].bare] == [(34, 16, 1), (54, 12, 1)]
    told = [caution.text for caution in fitting.cautions if caution.code == "no_studs"]
    assert told[0] == (
        "Row 1: only one stud stands behind the stretch from 34 to 50 in, and a cleat needs two: it stays bare."
    )


def test_a_row_behind_a_keepout_is_told() -> None:
    fitting = fit_out(project(keepout=[{"name": "beam", "x": 0, "y": 41, "width": 144, "height": 4}]))
    assert fitting is not None
    assert [caution.text for caution in fitting.cautions if caution.code == "no_room"] == [
        "Row 7: keep-outs take its whole width."
    ]


def test_a_keepout_everywhere_is_told_row_by_row() -> None:
    with pytest.raises(CannotBeDone) as caught:
        rows(project(height=20, keepout=[{"name": "window", "x": 0, "y": 0, "width": 144, "height": 20}]))
    assert caught.value.reasons == tuple(f"row {n}: keep-outs take its whole width" for n in (1, 2, 3))


def test_a_wall_with_one_stud_is_told() -> None:
    with pytest.raises(CannotBeDone, match="row 1: only one stud stands behind the stretch from 0 to 30 in") as caught:
        fit_out(project(height=8, width=30, studs={"positions": ["12"]}))
    assert len(caught.value.reasons) == 1


def test_no_stock_from_stud_to_stud_is_told_run_by_run() -> None:
    with pytest.raises(CannotBeDone) as caught:
        fit_out(project(height=14, width=240, studs={"first": 10, "spacing": 100}))
    assert caught.value.reasons == tuple(
        f"row {row}: no stock for cleats is long enough to reach from stud to stud in the run from 6 to 214 in"
        for row in (1, 2)
    )


def test_studs_left_out_are_assumed_and_said_to_be() -> None:
    fitting = fit_out(project(studs={}))
    assert fitting is not None
    assert fitting.rows[0].runs[0].studs == tuple(range(16, 145, 16))
    assert fitting.cautions[0].code == "assumed_studs"


def test_no_wall_no_rows() -> None:
    plain = project_from_mapping(BASE)
    assert rows(plain) == ()
    assert fit_out(plain) is None


def test_longest_cleat_is_that_of_the_stocks_at_hand() -> None:
    made = project()
    assert longest_cleat(made) == Fraction(383, 4)
    none = made.model_copy(update={"sheet": (made.sheet[0].model_copy(update={"available": 0}),)})
    assert longest_cleat(none) == 0


def test_a_run_of_96_in_splices_on_studs_only() -> None:
    """Must hold: rows 96 in long splice at studs only; every piece has two studs or more."""
    made = project(width=96)
    run = rows(made)[0].runs[0]
    assert (run.x, run.end) == (4, 92)
    wide = project(width=96, overhang=8)
    run = rows(wide)[0].runs[0]
    assert run.length == 96
    for pieces in splices(wide, run):
        joints = [run.x + sum(pieces[: at + 1]) for at in range(len(pieces) - 1)]
        assert joints
        assert set(joints) <= set(run.studs[1:-1])


def test_short_pieces_only_where_nothing_else_fills_the_run() -> None:
    run = rows(project(height=8, width=60, studs={"positions": [4, 24, "25 1/2", 44]}))[0].runs[0]
    all_of_them = compositions(run, Fraction(30))
    assert any(min(pieces) < 12 for pieces in all_of_them)
    assert all(min(pieces) >= 12 for pieces in compositions(run, Fraction(30), Fraction(12)))
    narrow = rows(project(height=8, width=12, studs={"positions": [4, 8]}))[0].runs[0]
    assert compositions(narrow, Fraction(30), Fraction(13)) == ((12,),)


@given(walls())
@settings(max_examples=60, deadline=None)
def test_any_wall(keys: dict[str, Any]) -> None:
    """Property: runs are apart, on two studs, off the keep-outs; every splice fills its run with joints on studs."""
    made = project_from_mapping(keys)
    wall, high = made.wall, made.cleats.wall_height
    assert wall is not None
    try:
        found = rows(made)
    except CannotBeDone:
        return
    assert [row.y for row in found] == sorted((row.y for row in found), reverse=True)
    longest = longest_cleat(made)
    for row in found:
        assert 0 <= row.y <= wall.height - high
        for run in row.runs:
            assert len(run.studs) >= 2
            assert 0 <= run.x < run.end <= wall.width
            assert run.studs[0] - run.x <= wall.overhang
            assert run.end - run.studs[-1] <= wall.overhang
            for keepout in wall.keepout:
                room = keepout.clearance
                beside = run.end <= keepout.x - room or run.x >= keepout.x + keepout.width + room
                off = row.y + high <= keepout.y - room or row.y >= keepout.y + keepout.height + room
                assert beside or off
            _check_splices(run.x, run.end, run.studs, compositions(run, longest), longest)


def _check_splices(
    x: Fraction,
    end: Fraction,
    studs: tuple[Fraction, ...],
    found: tuple[tuple[Fraction, ...], ...],
    longest: Fraction,
) -> None:
    assert len(set(found)) == len(found)
    assert [len(pieces) for pieces in found] == sorted(len(pieces) for pieces in found)
    for pieces in found:
        at = x
        for piece in pieces:
            assert piece <= longest
            assert sum(at <= stud <= at + piece for stud in studs) >= 2
            at += piece
            assert at == end or at in studs
        assert at == end
