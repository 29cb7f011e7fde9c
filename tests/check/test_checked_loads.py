"""The checker on load tables: one thing changed at a time."""

from __future__ import annotations

from typing import Any

import pytest

from nesting.check import check_plan
from nesting.check.loads import check_table
from nesting.check.report import Findings
from tests.check.by_hand import JOB, document, plan_of
from tests.paper.sample_plan import sample_plan

OVER = {
    "item": "row 1 a", "check": "screws at a stud", "demand": 60.0, "capacity": 50.0, "unit": "lb", "ratio": 1.2,
    "governs": "the thread pulls out", "source": "NDS", "sentence": "", "remedy": "",
}  # fmt: skip
NEAR = OVER | {"check": "bends between studs", "demand": 45.0, "ratio": 0.9}
SAFE = OVER | {"item": "wall", "check": "total weight", "demand": 30.0, "capacity": 120.0, "ratio": 0.25}
WARNINGS = [
    {"code": "overloaded", "text": "Do not build this: row 1 a, screws at a stud.", "where": "row 1 a"},
    {"code": "high_load", "text": "Near its limit, row 1 a, bends between studs.", "where": "row 1 a"},
]


def faults(rows: list[dict[str, Any]], warnings: list[dict[str, Any]] = WARNINGS) -> list[str]:
    findings = Findings()
    check_table(sample_plan(load={"rows": rows}, warnings=warnings), findings)
    assert {fault.rule for fault in findings.faults} <= {"load"}
    return [str(fault) for fault in findings.faults]


def test_a_sound_table_has_no_fault() -> None:
    assert faults([OVER, NEAR, SAFE]) == []
    nothing = OVER | {"capacity": 0.0, "ratio": 999.0}
    assert faults([nothing, NEAR]) == []
    assert faults([OVER | {"demand": 0.0, "capacity": 0.0, "ratio": 0.0}]) == []


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"ratio": 1.1}, "the ratio is 1.1, should be 1.2"),
        ({"demand": 70.0}, "should be 1.4"),
        ({"capacity": 0.0}, "should be 999"),
        ({"demand": 0.0, "capacity": 0.0}, "should be 0"),
        ({"item": "row 2 a"}, "no warning says that it is not to be built"),
        ({"check": "bends"}, "no warning says that it is not to be built"),
    ],
)
def test_a_changed_row_is_found(changes: dict[str, Any], words: str) -> None:
    (fault,) = faults([OVER | changes])
    assert words in fault


def test_warnings_must_be_there() -> None:
    assert len(faults([OVER, NEAR, SAFE], [])) == 2
    softened = [WARNINGS[0] | {"text": "Mind this: row 1 a, screws at a stud."}, WARNINGS[1]]
    assert len(faults([OVER, NEAR], softened)) == 1
    shared = [WARNINGS[0] | {"where": "row 3 a", "text": "Do not build this: row 3 a, screws at a stud. Also: row 1 a"}]
    assert faults([OVER], shared) == []


def test_what_hangs_must_be_in_the_table() -> None:
    changed = document()
    sheets = JOB["sheet"]
    wall = {"width": 48, "height": 20, "studs": {"first": 8}}
    holder = {"name": "peg", "style": "back", "width": 10, "height": 6, "load": 12, "thickness": "3/4"}
    changed["job"] = JOB | {"sheet": sheets, "wall": wall, "holder": [holder]}
    changed["wall"] = {"rows": [], "holders": [{"holder": "peg", "x": 4, "row": 1}]}

    def told(**load: Any) -> list[str]:
        report = check_plan(plan_of(changed | load))
        return [fault.text for fault in report.faults if fault.rule == "load"]

    assert told() == ["says what hangs where, but not what it carries"]
    row = SAFE | {"item": "peg", "check": "hook stays seated"}
    assert told(load={"rows": [SAFE, row]}) == []
    assert told(load={"rows": [SAFE]}) == ["hangs on the wall, but its load is not checked"]
    light = SAFE | {"demand": 6.0, "ratio": 0.05}
    assert told(load={"rows": [light, row]}) == ["carries contents of 12 in all, which its total does not hold"]


def test_a_plan_without_its_project_is_checked_too() -> None:
    plan = sample_plan(load={"rows": [OVER | {"ratio": 1.0}]}, warnings=WARNINGS, job=None)
    report = check_plan(plan)
    assert "load" in {fault.rule for fault in report.faults}
