"""A job small enough to be planned in a moment: a narrow sheet, a few cleats, one shelf."""

from __future__ import annotations

from typing import Any

from nesting.project.model import Project
from nesting.project.read import project_from_mapping


def small_job(**changes: Any) -> Project:
    """Return the project with some of its tables replaced."""
    return project_from_mapping(small_mapping() | changes)


def small_mapping() -> dict[str, Any]:
    ply = {"length": "48", "thickness": "23/32", "nominal": "3/4"}
    return {
        "project": {"name": "Bench corner", "unit": "in"},
        "saw": {"kerf": "1/8", "edge_trim": 0},
        "sheet": [
            {"name": "strip", "width": "12", "price": 20, **ply},
            {"name": "plank", "width": "6", "price": 12, **ply},
        ],
        "part": [{"name": "shelf", "length": "20", "width": "5", "thickness": "3/4"}],
        "cleat": [{"name": "rail", "kind": "wall", "length": "40", "quantity": 2}],
    }
