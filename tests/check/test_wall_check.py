"""The checker takes nobody's word for a wall: every rule of rows, runs, joints, parts and holders can be broken."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable
from typing import Any

import pytest

from nesting.check import check_plan
from nesting.make import plan_project
from nesting.plan import Plan, plan_from_json, plan_to_json
from nesting.project.read import project_from_mapping
from tests.malformed import BASE

KEYS: dict[str, Any] = {
    "project": {"name": "Loom room"},
    "saw": {"kerf": "1/8"},
    "sheet": BASE["sheet"],
    "wall": {
        "width": 128,
        "height": 33,
        "studs": {"first": 8, "spacing": 16},
        "keepout": [{"name": "switch", "x": 100, "y": 12, "width": 3, "height": 5, "clearance": 1}],
    },
    "holder": [
        {"name": "shuttle shelf", "style": "shelf", "width": 20, "height": 9, "load": 10, "quantity": 2,
         "thickness": "1/2"},
        {"name": "bobbin bin", "style": "bin", "width": 12, "height": 6, "cells": 3, "thickness": "1/2"},
    ],
}  # fmt: skip
PROJECT = project_from_mapping(KEYS)


@pytest.fixture(scope="module")
def sound() -> dict[str, Any]:
    document: dict[str, Any] = json.loads(plan_to_json(plan_project(PROJECT, seconds=3).plan))
    return document


def faults(document: dict[str, Any]) -> list[str]:
    return [str(fault) for fault in check_plan(Plan.model_validate(document), PROJECT).faults]


def test_made_plan_of_a_wall_is_sound(sound: dict[str, Any]) -> None:
    assert faults(sound) == []
    assert len(sound["wall"]["holders"]) == 3
    plan = plan_from_json(json.dumps(sound))
    assert json.loads(plan_to_json(plan)) == sound
    assert check_plan(plan).faults == ()  # by the job that the plan holds


def test_every_piece_hangs_on_two_studs_and_fills_its_run(sound: dict[str, Any]) -> None:
    made = {row["name"]: row["made"] for row in sound["parts"]}
    for row in sound["wall"]["rows"]:
        total = sum(piece["length"] for piece in row["pieces"])
        assert abs(total - sum(run["length"] for run in row["runs"])) <= 0.125  # the kerf
        assert all(len(piece["studs"]) >= 2 for piece in row["pieces"])
        assert all(made[piece["part"]] == 1 for piece in row["pieces"])


def _piece(wall: dict[str, Any]) -> dict[str, Any]:
    piece: dict[str, Any] = wall["rows"][0]["pieces"][0]
    return piece


def _move_joint(wall: dict[str, Any]) -> None:
    first, second = wall["rows"][0]["pieces"][:2]
    first["length"] += 3
    second["x"] += 3
    second["length"] -= 3


def _short(wall: dict[str, Any]) -> None:
    pieces = wall["rows"][0]["pieces"]
    pieces[0]["length"], pieces[0]["studs"] = 10, [8]


def _swap_row(wall: dict[str, Any]) -> None:
    wall["holders"][0]["row"] = 99


CHANGES: list[tuple[str, Callable[[dict[str, Any]], object], str]] = [
    ("a row higher", lambda wall: wall["rows"][0].update(y=28), "the lower edge of its cleats"),
    ("a row gone", lambda wall: wall["rows"].pop(), "rows, should be"),
    ("a piece gone", lambda wall: wall["rows"][0]["pieces"].pop(), "the end of the pieces of the run"),
    ("a piece moved", lambda wall: _piece(wall).update(x=5), "where its row has no room"),
    ("a joint off its stud", _move_joint, "is not on the centre of a stud"),
    ("a piece on one stud", _short, "has 1 studs behind it"),
    ("other studs told", lambda wall: _piece(wall).update(studs=[8, 9]), "studs that are not those behind it"),
    ("a name twice", lambda wall: wall["rows"][1]["pieces"][0].update(part="row 1 a"), "the name of two pieces"),
    ("a piece nobody cut", lambda wall: _piece(wall).update(part="row 9 z"), "1 are wanted, the layouts hold 0"),
    ("a longer piece", lambda wall: _piece(wall).update(length=200), "should be"),
    ("a holder on no row", _swap_row, "hangs on row 99"),
    ("a holder nobody asked for", lambda wall: wall["holders"][0].update(holder="vase"), "nobody asked for it"),
    ("a holder over the edge", lambda wall: wall["holders"][0].update(x=-3), "reaches beyond the wall"),
    ("a holder in front of the switch", lambda wall: wall["holders"][0].update(x=95, row=4), "too near to the"),
    ("a holder over another", lambda wall: wall["holders"][0].update(
        {key: wall["holders"][1][key] for key in ("x", "row", "y")}), "no room"),
    ("a holder with another foot", lambda wall: wall["holders"][0].update(y=1.0), "the height of its foot"),
    ("a holder gone", lambda wall: wall["holders"].pop(), "are left out"),
    ("a holder not built", lambda wall: wall["built"].pop(), "does not say how it is built"),
    ("a part of none", lambda wall: wall["built"][0]["parts"].pop(0), "belongs to no holder"),
    ("more of a part", lambda wall: wall["built"][0]["parts"][1].update(quantity=3), "are wanted"),
]  # fmt: skip


@pytest.mark.parametrize(("change", "words"), [row[1:] for row in CHANGES], ids=[row[0] for row in CHANGES])
def test_a_wall_that_breaks_a_rule_is_found(
    sound: dict[str, Any], change: Callable[[dict[str, Any]], object], words: str
) -> None:
    changed = copy.deepcopy(sound)
    change(changed["wall"])
    assert words in "\n".join(faults(changed))


def test_a_wall_left_out_or_without_a_project_for_it(sound: dict[str, Any]) -> None:
    bare = copy.deepcopy(sound)
    del bare["wall"]
    assert "the project has a wall or holders, the plan has none" in "\n".join(faults(bare))
    other = project_from_mapping(BASE)
    assert "the plan holds a wall, the project has none" in "\n".join(
        str(fault) for fault in check_plan(Plan.model_validate(sound), other).faults
    )
    without = project_from_mapping({key: value for key, value in KEYS.items() if key != "wall"})
    assert "a wall that the project does not have" in "\n".join(
        str(fault) for fault in check_plan(Plan.model_validate(sound), without).faults
    )


def test_a_larger_back_is_found(sound: dict[str, Any]) -> None:
    changed = copy.deepcopy(sound)
    for row in changed["parts"]:
        if row["name"] == "shuttle shelf: back":
            row["length"] += 12
    told = "\n".join(faults(changed))
    assert "shuttle shelf: back: the length is 32, should be 20" in told
    assert "larger than its holder" in told


def test_measured_studs_and_rows_told_one_by_one() -> None:
    keys = copy.deepcopy(KEYS)
    del keys["holder"], keys["wall"]["keepout"]
    studs = {"positions": ["7 3/8", 24, "39 1/2", 56, 72, 90]}
    keys["wall"] |= {"rows": [0, "10 1/2", 25], "studs": studs, "width": 94}
    plan = plan_project(project_from_mapping(keys), seconds=2).plan
    assert plan.wall is not None
    assert [row.y for row in plan.wall.rows] == [25, 10.5, 0]
