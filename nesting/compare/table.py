"""What sets alternatives apart, read off their plans: one row each, the columns that say something."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Final

from pydantic import BaseModel

from nesting.compare.alternatives import Alternative, running, yield_of
from nesting.compare.work import Answer
from nesting.draw.faces import seen
from nesting.draw.subject import subject_of
from nesting.lengths import Unit
from nesting.plan import Plan
from nesting.project.model import Project

FOOT: Final[Mapping[Unit, tuple[str, Fraction]]] = {"in": ("ft", Fraction(12)), "mm": ("m", Fraction(1000))}
"""What running length is told in, and how much of the document's unit that is."""


@dataclass(frozen=True, slots=True)
class Row:
    """One alternative in figures; lengths in the document's unit, None where nothing is known or asked.

    ``waste``: share of the stock's face that is neither part nor leftover worth keeping. ``rail``: length of the wall
    cleats, on the wall where there is one. ``holders``: how many hang, of how many asked for. ``worst_load``: the
    greatest share of a capacity that is used. ``early``: the search was stopped before its end.
    """

    alternative: Alternative
    plan: Plan | None
    reasons: tuple[str, ...]
    early: bool = False
    cleats_per_sheet: int | None = None
    running_per_sheet: Fraction | None = None
    sheets: int | None = None
    waste: float | None = None
    rows: int | None = None
    rail: float | None = None
    holders: tuple[int, int] | None = None
    worst_load: float | None = None
    screws: int | None = None


def row_of(alternative: Alternative, answer: Answer | None) -> Row:
    """Return the row of an alternative and what came of planning it (None: it was not begun)."""
    project = alternative.project
    sheet = None if project is None else yield_of(project)
    count = long = None
    if project is not None and sheet is not None and project.cleats.wall_height > sheet.rule.rise:
        count = sheet.count(project.cleats.wall_height)
        long = count * running(project)
    if project is None:
        return Row(alternative, None, alternative.reasons)
    if answer is None:
        return Row(alternative, None, ("not begun before it was stopped",), True, count, long)
    plan = answer.plan
    if plan is None:
        return Row(alternative, None, answer.reasons, answer.early, count, long)
    wall = block(plan, "wall")
    return Row(
        alternative,
        plan,
        (),
        answer.early,
        count,
        long,
        sum(line.count for line in plan.buy if line.unit_price),
        waste(plan),
        len(wall["rows"]) if wall else None,
        _rail(project, plan, wall),
        _holders(project, wall),
        _worst_load(plan),
        _screws(wall),
    )


def block(plan: Plan, name: str) -> Mapping[str, Any]:
    """Return a block of a plan that not every plan has, as plain data; empty where it is not there."""
    found = getattr(plan, name, None)
    if isinstance(found, BaseModel):
        return found.model_dump(by_alias=True)
    return found if isinstance(found, Mapping) else {}


def waste(plan: Plan) -> float:
    """Return the share of the stock's face that becomes neither a part nor a leftover worth keeping."""
    used = whole = 0.0
    for layout in plan.layouts:
        sheet = seen(layout.tree, layout.thickness, subject_of(plan, layout.id).rising)
        used += sum(face.area for face in sheet.faces if face.role in ("part", "offcut"))
        whole += layout.length * layout.width
    return 1 - used / whole if whole else 0.0


def _rail(project: Project, plan: Plan, wall: Mapping[str, Any]) -> float | None:
    if wall:
        return float(sum(piece["length"] for row in wall["rows"] for piece in row["pieces"]))
    made = {part.name: part.made for part in plan.parts}
    asked = [cleat for cleat in project.cleat if cleat.kind == "wall"]
    return float(sum(cleat.length * made.get(cleat.name, 0) for cleat in asked)) if asked else None


def _holders(project: Project, wall: Mapping[str, Any]) -> tuple[int, int] | None:
    asked = sum(holder.quantity for holder in project.holder)
    return (len(wall.get("holders", ())), asked) if asked else None


def _worst_load(plan: Plan) -> float | None:
    return None if plan.load is None else max((row.ratio for row in plan.load.rows), default=None)


def _screws(wall: Mapping[str, Any]) -> int | None:
    counts = [row["count"] for row in wall.get("screws", ()) if isinstance(row, Mapping) and "count" in row]
    return sum(counts) if counts else None


# -- the columns


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its key in data, its heading for people with its unit, and its value in a row."""

    key: str
    heading: str
    value: Callable[[Row], Any]


def columns(unit: Unit, currency: str) -> tuple[Column, ...]:
    """Return every column, in the order of the table; values are plain numbers, running length in feet or metres."""
    long, per = FOOT[unit]

    def setups(key: str) -> Callable[[Row], Any]:
        return lambda row: None if row.plan is None else getattr(row.plan.setups, key)

    def of_plan(key: str) -> Callable[[Row], Any]:
        return lambda row: None if row.plan is None else getattr(row.plan, key)

    return (
        Column("cost", f"cost, {currency}", of_plan("cost")),
        Column("cost_bound", "bound", of_plan("cost_bound")),
        Column("proven", "proven", of_plan("proven")),
        Column("sheets", "sheets to buy", lambda row: row.sheets),
        Column("cleats_per_sheet", "cleats per sheet", lambda row: row.cleats_per_sheet),
        Column(
            "running_per_sheet",
            f"{long} of cleat per sheet",
            lambda row: None if row.running_per_sheet is None else round(float(row.running_per_sheet / per), 3),
        ),
        Column("waste", "waste", lambda row: None if row.waste is None else round(row.waste, 4)),
        Column("fence_settings", "fence settings", setups("fence")),
        Column("settings", "all settings", setups("total")),
        Column("rows", "rows on the wall", lambda row: row.rows),
        Column("rail", f"{long} of rail", lambda row: None if row.rail is None else round(row.rail / float(per), 3)),
        Column("holders_fit", "holders that fit", lambda row: None if row.holders is None else row.holders[0]),
        Column("holders_asked", "holders asked for", lambda row: None if row.holders is None else row.holders[1]),
        Column("worst_load", "worst load ratio", lambda row: row.worst_load),
        Column("screws", "screws", lambda row: row.screws),
    )


def telling(columns: Iterable[Column], rows: Sequence[Row]) -> tuple[Column, ...]:
    """Return the columns in which some row has a value."""
    return tuple(column for column in columns if any(column.value(row) is not None for row in rows))
