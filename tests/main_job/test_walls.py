"""Walls through the whole way: what must hold on a known wall, what free splices save, walls that cannot be."""

from __future__ import annotations

import threading
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings

from nesting.demand import groups
from nesting.errors import CannotBeDone
from nesting.make import Made, plan_project
from nesting.plan import Plan
from nesting.project.read import project_from_mapping, project_from_text
from nesting.project.starter import starter_text
from nesting.savings import fixed_pieces
from nesting.solve.cutting import cut_group
from nesting.solve.grid import Rules
from nesting.solve.stop import Stop
from nesting.wall.fitting import fit_out
from tests.main_job.judge import judge_project
from tests.malformed import BASE
from tests.strategies import fitted_walls

WALL: dict[str, Any] = {"width": 144, "height": 84, "studs": {"first": 8, "spacing": 16}, "gap": 3}
OUTLET = {"name": "outlet", "x": 40, "y": 38, "width": 5, "height": 7, "clearance": 2}
SHELF: dict[str, Any] = {
    "name": "shelf", "style": "shelf", "width": 20, "height": 9, "depth": 7, "thickness": "1/2",
}  # fmt: skip


def made(wall: dict[str, Any] | None = None, *holders: dict[str, Any], seconds: float = 3.0) -> Made:
    keys: dict[str, Any] = {key: BASE[key] for key in ("project", "saw", "sheet", "cleats")}
    keys |= {"wall": WALL | (wall or {})} if wall is not None else {}
    return plan_project(project_from_mapping(keys | {"holder": list(holders)}), seconds=seconds)


def hold(plan: Plan) -> None:
    """What must hold: two studs behind every piece, none in front of a keep-out, runs filled, joints on studs."""
    wall = plan.wall
    assert wall is not None
    assert wall.studs is not None
    lengths = {row.name: (row.length, row.made) for row in plan.parts}
    for row in wall.rows:
        assert abs(sum(piece.length for piece in row.pieces) - sum(run.length for run in row.runs)) <= 1e-6
        ends = {round(end, 6) for run in row.runs for end in (run.x, run.x + run.length)}
        for piece in row.pieces:
            low, high = piece.x, piece.x + piece.length
            assert sum(low - 1e-6 <= stud <= high + 1e-6 for stud in wall.studs.centres) >= 2
            assert lengths[piece.part] == (piece.length, 1)
            for end in (low, high):
                assert round(end, 6) in ends or any(abs(end - stud) < 1e-6 for stud in wall.studs.centres)
            for keepout in wall.keepouts:
                room = keepout.clearance
                beside = high <= keepout.x - room + 1e-6 or low >= keepout.x + keepout.width + room - 1e-6
                above = row.y >= keepout.y + keepout.height + room or row.y + 3 <= keepout.y - room
                assert beside or above


def test_the_known_wall() -> None:
    """144 × 84 in, studs 16 in on centre, 3 in cleats at 3 in gap: 14 rows, two of them cut by the outlet."""
    plan = made({"keepout": [OUTLET]}).plan
    hold(plan)
    assert plan.wall is not None
    assert [row.y for row in plan.wall.rows] == list(range(78, -1, -6))
    assert [len(row.runs) for row in plan.wall.rows] == [1] * 6 + [2] * 2 + [1] * 6
    assert all(len(row.pieces) > 1 for row in plan.wall.rows)


def test_rows_longer_than_the_sheet_splice_on_studs() -> None:
    plan = made({"height": 18, "width": 96, "overhang": 8}).plan
    hold(plan)
    assert plan.wall is not None
    assert [sum(piece.length for piece in row.pieces) for row in plan.wall.rows] == [96] * 3
    assert all(len(row.pieces) == 2 for row in plan.wall.rows)


def test_the_starter_wall_needs_fewer_sheets_than_with_fixed_pieces() -> None:
    """The shipped example: one sheet of birch instead of two, as the plan itself says."""
    found = plan_project(project_from_text(starter_text(wall=True), "toml"), seconds=40)
    plan = found.plan
    hold(plan)
    assert plan.wall is not None
    assert plan.wall.splicing is not None
    assert (plan.cost, plan.proven) == (140.5, True)
    assert (plan.wall.splicing.fixed_cost, plan.wall.splicing.fixed_sheets) == (227.0, len(plan.layouts) + 1)
    assert plan.wall.splicing.fixed_proven
    assert plan.wall.splicing.text in found.summary
    assert "save 86.50 USD" in plan.wall.splicing.text
    assert len(plan.wall.holders) == 6
    assert plan.wall.left_out == ()


def test_fixed_pieces_that_do_as_well_are_said_to() -> None:
    found = made({"height": 12})
    assert found.plan.wall is not None
    assert (
        "Splices chosen with the cuts save nothing here: fixed full-length pieces would cost no more." in found.summary
    )


def test_what_was_not_worked_out_in_time_is_said() -> None:
    stopped = threading.Event()
    stopped.set()
    keys: dict[str, Any] = {key: BASE[key] for key in ("project", "saw", "sheet", "cleats")}
    project = project_from_mapping(keys | {"wall": WALL | {"height": 12}})
    fitting = fit_out(project)
    groups_ = groups(project, fitting)
    rules = Rules(project.saw.kerf, project.project.fence_step, project.cleats.bevel, "any", None)
    letters = {stock.name: stock.name for stock in project.stocks}
    cuttings = [cut_group(group, rules, "in", letters, Stop.after(2), 0) for group in groups_]
    found = fixed_pieces(project, groups_, cuttings, rules, letters, Stop.after(2, stopped), 0)
    assert found is not None
    assert (found.cost, found.sheets) == (None, None)
    assert "not worked out" in found.sentence


def test_holders_without_a_wall_are_built_and_hang_nowhere() -> None:
    plan = made(None, SHELF).plan
    assert plan.wall is not None
    assert (plan.wall.rows, plan.wall.holders, plan.wall.width) == ((), (), None)
    assert {part.name for part in plan.parts} == {f"shelf: {what}" for what in (
        "back", "shelf", "gussets", "cleat", "spacer")}  # fmt: skip


def test_a_full_wall_says_what_is_left_out_and_what_would_help() -> None:
    plan = made({"width": 48, "height": 24}, SHELF | {"quantity": 9}, seconds=10.0).plan
    assert plan.wall is not None
    (left,) = plan.wall.left_out
    assert left.copies + len(plan.wall.holders) == 9
    codes = [warning.code for warning in plan.warnings]
    assert "not_hung" in codes
    assert "more_room" in codes


def test_walls_and_holders_that_cannot_be_are_told_one_by_one() -> None:
    with pytest.raises(CannotBeDone) as caught:
        made(
            {"height": 24},
            SHELF | {"name": "wide", "width": 150},
            SHELF | {"name": "deep", "depth": 40},
            SHELF | {"name": "fits"},
        )
    assert len(caught.value.reasons) == 2
    assert "'deep' is deeper than its own back can hold" in caught.value.reasons[0]
    assert "'wide', 150 in wide, is wider than any run" in caught.value.reasons[1]
    with pytest.raises(CannotBeDone, match="keep-outs take its whole width"):
        made({"height": 8, "keepout": [{"name": "window", "x": 0, "y": 0, "width": 144, "height": 8}]}, SHELF)


@given(fitted_walls())
@settings(max_examples=8, deadline=None, suppress_health_check=list(HealthCheck))
def test_any_wall_is_planned_soundly_or_refused_with_reasons(keys: dict[str, Any]) -> None:
    assert judge_project(keys, 0.8).faults == ()
