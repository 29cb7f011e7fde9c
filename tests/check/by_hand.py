"""A sound plan made by hand, with every kind of cut in it; the sums are in the comments."""

from __future__ import annotations

import copy
import json
from typing import Any

from nesting.plan import Plan, plan_from_json
from nesting.project.model import Project
from nesting.project.read import project_from_mapping

# 3/4 in ply, kerf 1/8, 45 degrees: t tan b = 3/4, k / cos b = 0.176776695.
# Cleats of 3 in: setting 2 1/4; blank 2 1/4 + 0.1768 + 3 = 5.4268, up to 5 7/16; the other tall face is
# 5 7/16 - 2 1/4 - 0.1768 = 3.010723305.
HIGH = 3.010723305

JOB: dict[str, Any] = {
    "project": {"name": "pottery studio", "unit": "in", "fence_step": "1/32"},
    "saw": {"kerf": "1/8", "edge_trim": "1/4", "rip_capacity": 30, "crosscut_capacity": 24},
    "sheet": [{"name": "ply", "length": 40, "width": 20, "thickness": "3/4", "price": 33.5, "available": 1}],
    "offcut": [{"name": "rest", "length": 20, "width": "10 1/8", "thickness": "3/4", "quantity": 2}],
    "part": [
        {"name": "shelf", "length": 20, "width": "13 7/8", "thickness": "3/4"},
        {"name": "door", "length": 20, "width": 5, "thickness": "3/4", "quantity": 4},
        {"name": "tag", "length": 4, "width": 4, "thickness": "3/4", "quantity": 3, "filler": True},
    ],
    "cleats": {"wall_height": 3, "holder_height": 3, "thickness": "3/4", "bevel": 45},
    "cleat": [
        {"name": "rail", "length": 20},
        {"name": "short rail", "length": "19 3/8", "kind": "holder"},
        {"name": "long rail", "length": "39 1/2"},
    ],
}


def _leaf(id_: str, x: float, y: float, length: float, width: float, role: str, part: str | None = None) -> Any:
    node = {"id": id_, "x": x, "y": y, "length": length, "width": width, "role": role}
    return node | ({"part": part} if part else {})


def _cut(id_: str, x: float, y: float, length: float, width: float, cut: str, *pieces: Any, bevel: float = 0) -> Any:
    return _leaf(id_, x, y, length, width, "cut") | {"cut": cut, "bevel": bevel, "pieces": list(pieces)}


def _sheet() -> Any:
    """Trims of 1/4 at all edges leave 39 1/2 x 19 1/2; a blank for three cleats; a shelf whose rest the blade eats."""
    low = _cut(
        "A1.11", 0.25, 0.25, 39.5, 3, "crosscut",
        _leaf("A1.13", 0.25, 0.25, 20, 3, "part", "rail"),
        _leaf("A1.14", 20.375, 0.25, 19.375, 3, "part", "short rail"),
    )  # fmt: skip
    high = _leaf("A1.12", 0.25, 5.6875 - HIGH, 39.5, HIGH, "part", "long rail")
    blank = _cut("A1.9", 0.25, 0.25, 39.5, 5.4375, "rip", low, high, bevel=45)
    shelf = _cut("A1.15", 0.25, 5.8125, 20, 13.9375, "rip", _leaf("A1.17", 0.25, 5.8125, 20, 13.875, "part", "shelf"))
    rest = _cut(
        "A1.10", 0.25, 5.8125, 39.5, 13.9375, "crosscut",
        shelf, _leaf("A1.16", 20.375, 5.8125, 19.375, 13.9375, "offcut"),
    )  # fmt: skip
    usable = _cut("A1.7", 0.25, 0.25, 39.5, 19.5, "rip", blank, rest)
    right = _cut("A1.6", 0.25, 0.25, 39.75, 19.5, "crosscut", usable, _leaf("A1.8", 39.875, 0.25, 0.125, 19.5, "waste"))
    left = _cut("A1.3", 0, 0.25, 40, 19.5, "crosscut", _leaf("A1.5", 0, 0.25, 0.125, 19.5, "waste"), right)
    top = _cut("A1.2", 0, 0.25, 40, 19.75, "rip", left, _leaf("A1.4", 0, 19.875, 40, 0.125, "waste"))
    return _cut("A1", 0, 0, 40, 20, "rip", _leaf("A1.1", 0, 0, 40, 0.125, "waste"), top)


def _rest(id_: str) -> Any:
    """Two parts exactly as wide as the offcut less one kerf."""
    pieces = [_leaf(f"{id_}.1", 0, 0, 20, 5, "part", "door"), _leaf(f"{id_}.2", 0, 5.125, 20, 5, "part", "door")]
    return _cut(id_, 0, 0, 20, 10.125, "rip", *pieces)


def _steps() -> list[dict[str, Any]]:
    table, sled, guide = "table saw", "crosscut sled", "breakdown saw"
    rows = [
        ("A1", "A1", guide, "rip", 0, 19.75, "high", None, ["A1.1", "A1.2"], 1),
        ("A1", "A1.2", table, "rip", 0, 19.5, "low", None, ["A1.3", "A1.4"], 2),
        ("A1", "A1.3", sled, "crosscut", 0, 39.75, "high", None, ["A1.5", "A1.6"], 3),
        ("A1", "A1.6", sled, "crosscut", 0, 39.5, "low", None, ["A1.7", "A1.8"], 4),
        ("A1", "A1.7", table, "rip", 0, 5.4375, "low", None, ["A1.9", "A1.10"], 5),
        ("B1", "B1", table, "rip", 0, 5, "low", None, ["B1.1", "B1.2"], 6),
        ("B2", "B2", table, "rip", 0, 5, "high", None, ["B2.1", "B2.2"], 6),
        ("A1", "A1.10", sled, "crosscut", 0, 20, "low", None, ["A1.15", "A1.16"], 7),
        ("A1", "A1.15", table, "rip", 0, 13.875, "low", None, ["A1.17"], 8),
        ("A1", "A1.9", table, "rip", 45, 2.25, "low", "away", ["A1.11", "A1.12"], 9),
        ("A1", "A1.11", sled, "crosscut", 0, 20, "low", None, ["A1.13", "A1.14"], 10),  # table saw in between
    ]
    keys = ("layout", "piece", "station", "cut", "bevel", "setting", "against", "leans", "makes", "setup")
    return [{"n": n, **dict(zip(keys, row, strict=True))} for n, row in enumerate(rows, start=1)]


def _made(name: str, length: float, width: float, asked: int, made: int) -> dict[str, Any]:
    return {"name": name, "length": length, "width": width, "thickness": 0.75, "asked": asked, "made": made}


def document() -> dict[str, Any]:
    """Return the plan as JSON has it, fresh every time."""
    rest = {"stock": "rest", "length": 20, "width": 10.125, "thickness": 0.75}
    plan = {
        "schema": "cleatwright/plan/1",
        "unit": "in",
        "project": "pottery studio",
        "cost": 33.5,
        "cost_bound": 33.5,
        "proven": True,
        "buy": [
            {"stock": "ply", "count": 1, "unit_price": 33.5, "cost": 33.5},
            {"stock": "rest", "count": 2, "unit_price": 0, "cost": 0},
        ],
        "layouts": [
            {"id": "A1", "stock": "ply", "length": 40, "width": 20, "thickness": 0.75, "tree": _sheet()},
            {"id": "B1", **rest, "tree": _rest("B1")},
            {"id": "B2", **rest, "tree": _rest("B2")},
        ],
        "parts": [
            _made("shelf", 20, 13.875, 1, 1),
            _made("door", 20, 5, 4, 4),
            _made("tag", 4, 4, 3, 0),
            _made("rail", 20, 3, 1, 1),
            _made("short rail", 19.375, 3, 1, 1),
            _made("long rail", 39.5, 3, 1, 1),
        ],
        "steps": _steps(),
        # guide 1; fence 19.5, 5.4375, 5, 13.875, 2.25; stop 39.75, 39.5, 20, 20 again; tilt to 45 and back
        "setups": {"fence": 5, "stop": 4, "guide": 1, "tilt": 2, "total": 10, "bound": 10, "proven": True},
        "warnings": [],
        "job": JOB,
    }
    return copy.deepcopy(plan)


def plan_of(changed: dict[str, Any]) -> Plan:
    """Read a plan as a file would be read."""
    return plan_from_json(json.dumps(changed))


def project(**changes: Any) -> Project:
    """Return the project with keys changed: ``saw={"kerf": 0}`` or ``part={1: {"grain": "any"}}``."""
    job = copy.deepcopy(JOB)
    for table, keys in changes.items():
        for key, value in keys.items():
            if isinstance(job[table], list):
                job[table][key] |= value
            else:
                job[table][key] = value
    return project_from_mapping(job)
