"""A larger plan made by hand: every station, a bevel rip, a leftover, waste; names and size as asked for."""

from __future__ import annotations

from typing import Any

from nesting.plan import Plan
from tests.draw.conftest import blank, layout, offcut, part, plan, row, split, waste

KERF = 0.125


def rich_plan(
    unit: str = "in",
    sheets: int = 1,
    shelves: int = 4,
    names: tuple[str, str, str] = ("shelf", "row", "hook"),
    **how: Any,
) -> Plan:
    """Return a plan of some sheets 96 x 48: strips bevel-ripped in two bars, shelves, a leftover, waste.

    In millimetres all sizes are 25 times as large. ``shelves`` are cut from each sheet; ``how`` changes the document.
    """
    by = 1.0 if unit == "in" else 25.0
    shelf, low, high = names
    bars = blank(
        split("crosscut", 40 * by, part(low), part(low), KERF * by), part(high), 73 / 32 * by, 0.71875 * by,
        2**0.5 / 8 * by,
    )  # fmt: skip
    strip = row("crosscut", [(90 / shelves * by, part(shelf, turned=True))] * shelves, waste, KERF * by)
    filled = row(
        "rip", [(175 / 32 * by, bars), (9 * by, strip)], split("rip", 20 * by, offcut, waste, KERF * by), KERF * by
    )
    layouts = [
        layout(f"A{at}", 96 * by, 48 * by, filled, "18 mm birch, 4x8", 0.71875 * by) for at in range(1, sheets + 1)
    ]
    buy = [{"stock": "18 mm birch, 4x8", "count": sheets, "unit_price": 86.5, "cost": 86.5 * sheets}]
    usual = plan(layouts, unit).model_dump(by_alias=True)
    return Plan.model_validate(usual | {"project": "Repair bay", "buy": buy, "cost": 86.5 * sheets} | how)
