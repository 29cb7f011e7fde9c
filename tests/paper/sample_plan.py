"""A small plan made by hand: one offcut, one rip, two parts, names that bite."""

from __future__ import annotations

from typing import Any

from nesting.plan import Plan


def sample_plan(ids: tuple[str, ...] = ("A1",), **changes: Any) -> Plan:
    """Return a plan with one layout for each id: 30 x 10 1/8 in, ripped at 5 in by a blade of 1/8 in."""
    stock = "half sheet"
    document: dict[str, Any] = {
        "schema": "cleatwright/plan/1",
        "unit": "in",
        "project": "repair bay",
        "cost": 12.5 * len(ids),
        "cost_bound": 12.5 * len(ids),
        "proven": True,
        "buy": [{"stock": stock, "count": len(ids), "unit_price": 12.5, "cost": 12.5 * len(ids)}],
        "layouts": [
            {
                "id": id_,
                "stock": stock,
                "length": 30.0,
                "width": 10.125,
                "thickness": 0.71875,
                "tree": {
                    **_rectangle(id_, 0.0, 10.125, "cut"),
                    "cut": "rip",
                    "pieces": [
                        {**_rectangle(f"{id_}.1", 0.0, 5.0, "part"), "part": "shelf"},
                        {**_rectangle(f"{id_}.2", 5.125, 5.0, "part"), "part": "shelf"},
                    ],
                },
            }
            for id_ in ids
        ],
        "parts": [
            {
                "name": "shelf",
                "length": 30.0,
                "width": 5.0,
                "thickness": 0.71875,
                "asked": 2 * len(ids),
                "made": 2 * len(ids),
            }
        ],
        "steps": [
            {
                "n": n,
                "layout": id_,
                "piece": id_,
                "station": "table saw",
                "cut": "rip",
                "bevel": 0.0,
                "setting": 5.0,
                "against": "low",
                "leans": None,
                "makes": [f"{id_}.1", f"{id_}.2"],
                "setup": 1,
            }
            for n, id_ in enumerate(ids, 1)
        ],
        "setups": {"fence": 1, "stop": 0, "guide": 0, "tilt": 0, "total": 1, "bound": 1, "proven": True},
        "warnings": [],
        "job": {"project": {"name": "repair bay", "unit": "in", "fence_step": "1/32", "currency": "EUR"}},
    }
    return Plan.model_validate(document | changes)


def _rectangle(id_: str, y: float, width: float, role: str) -> dict[str, Any]:
    return {"id": id_, "x": 0.0, "y": y, "length": 30.0, "width": width, "role": role}
