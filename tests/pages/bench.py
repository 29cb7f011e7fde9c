"""A plan with three settings and four steps, and what a search tells when it has found it."""

from __future__ import annotations

import base64
from typing import Any

from nesting.paper.contents import contents
from nesting.plan import Plan
from tests.paper.sample_plan import sample_plan


def rack_plan(name: str = "shelf") -> Plan:
    """Return a plan by hand: 30 x 20.25 in, ripped in half; each half ripped at 5 in; the rest of one crosscut."""
    tree = _node("A1", 0, 0, 30, 20.25, cut="rip") | {
        "pieces": [
            _node("A1.1", 0, 0, 30, 10.0625, cut="rip")
            | {
                "pieces": [
                    _node("A1.1.1", 0, 0, 30, 5, part=name),
                    _node("A1.1.2", 0, 5.125, 30, 4.9375, cut="crosscut")
                    | {
                        "pieces": [
                            _node("A1.1.2.1", 0, 5.125, 12, 4.9375, part="end"),
                            _node("A1.1.2.2", 12.125, 5.125, 17.875, 4.9375, role="waste"),
                        ]
                    },
                ]
            },
            _node("A1.2", 0, 10.1875, 30, 10.0625, cut="rip")
            | {
                "pieces": [
                    _node("A1.2.1", 0, 10.1875, 30, 5, part=name),
                    _node("A1.2.2", 0, 15.3125, 30, 4.9375, role="offcut"),
                ]
            },
        ]
    }
    steps = [
        _step(1, "A1", "rip", 10.0625, ["A1.1", "A1.2"], 1, "breakdown saw"),
        _step(2, "A1.1", "rip", 5, ["A1.1.1", "A1.1.2"], 2, "table saw"),
        _step(3, "A1.2", "rip", 5, ["A1.2.1", "A1.2.2"], 2, "table saw"),
        _step(4, "A1.1.2", "crosscut", 12, ["A1.1.2.1", "A1.1.2.2"], 3, "crosscut sled"),
    ]
    layout = {"id": "A1", "stock": "half sheet", "length": 30.0, "width": 20.25, "thickness": 0.71875, "tree": tree}
    size = {"length": 30.0, "width": 5.0, "thickness": 0.71875}
    parts = [
        {"name": name, **size, "asked": 2, "made": 2},
        {"name": "end", **size, "length": 12.0, "width": 4.9375, "asked": 1, "made": 1},
    ]
    warnings = [
        {"code": "push", "text": "Use a push stick.", "where": "steps 2-3"},
        {"code": "knot", "text": "Mind the knot.", "where": "step 3"},
        {"code": "all", "text": "Measure the kerf first.", "where": ""},
    ]
    setups = {"fence": 1, "stop": 1, "guide": 1, "tilt": 0, "total": 3, "bound": 3, "proven": True}
    return sample_plan(layouts=[layout], steps=steps, parts=parts, warnings=warnings, setups=setups)


def done(plan: Plan) -> dict[str, Any]:
    """Return the last message of a search that found this plan."""
    papers = {name: base64.b64encode(text).decode() for name, text in contents(plan).items()}
    return {
        "kind": "done", "cost": plan.cost, "cost_bound": plan.cost_bound, "proven": plan.proven,
        "summary": ["Nothing cheaper can do it."], "files": papers,
    }  # fmt: skip


def _node(
    id_: str, x: float, y: float, length: float, width: float, *, cut: str = "", part: str = "", role: str = ""
) -> dict[str, Any]:
    node = {"id": id_, "x": float(x), "y": float(y), "length": float(length), "width": float(width)}
    if cut:
        return node | {"role": "cut", "cut": cut, "bevel": 0.0}
    return node | ({"role": "part", "part": part} if part else {"role": role})


def _step(n: int, piece: str, cut: str, setting: float, makes: list[str], setup: int, station: str) -> dict[str, Any]:
    return {
        "n": n, "layout": "A1", "piece": piece, "station": station, "cut": cut, "bevel": 0.0,
        "setting": float(setting), "against": "low", "leans": None, "makes": makes, "setup": setup,
    }  # fmt: skip
