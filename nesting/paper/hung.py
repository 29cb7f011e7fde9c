"""The pages for the wall: what hangs where, and what carries it; only where the plan holds a wall or loads."""

from __future__ import annotations

from typing import Any

from nesting.draw.elevation import wall_page
from nesting.paper.cover import Section
from nesting.paper.load_table import WARN, share, verdict, worst_first
from nesting.paper.shop import drawing
from nesting.paper.words import shown, together
from nesting.plan import Plan
from nesting.plan_load import LoadRowDocument


def wall(plan: Plan) -> list[Section]:
    """Return the elevation of the wall."""
    if plan.wall is None or plan.wall.width is None:
        return []
    return [drawing(wall_page(plan), "Wall")]


def loads(plan: Plan) -> list[Section]:
    """Return the table of what carries what, what is nearest its limit first."""
    if plan.load is None or not plan.load.rows:
        return []
    return [
        {
            "kind": "loads",
            "heading": "What carries it",
            "verdict": verdict(plan.load),
            "rows": [_told(row) for row in worst_first(plan.load)],
            "notes": [together(shown(sentence, 600)) for sentence in plan.load.not_covered],
        }
    ]


def _told(row: LoadRowDocument) -> dict[str, Any]:
    says = [together(shown(text, 600)) for text in (row.sentence, row.remedy) if text]
    return {
        "item": shown(row.item, 80),
        "check": shown(row.check, 120),
        "demand": f"{row.demand:.4g}",
        "capacity": f"{row.capacity:.4g}",
        "unit": shown(row.unit, 20),
        "share": share(row),
        "near": row.ratio > WARN,
        "says": " ".join(says) if row.ratio > WARN else "",
    }
