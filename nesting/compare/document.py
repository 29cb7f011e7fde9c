"""A comparison as data: the JSON document, and its tables for a spreadsheet."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Any, Final

from nesting.compare.budget import Within
from nesting.compare.buying import AREA, halves, offers
from nesting.compare.comparison import Comparison, Curve
from nesting.compare.table import Row, columns
from nesting.compare.words import differences
from nesting.lengths import show_length
from nesting.paper.tables import table_csv
from nesting.plan import number
from nesting.project.model import Project
from nesting.yield_curve import rule_of_thumb

SCHEMA: Final = "cleatwright/compare/1"


def comparison_document(found: Comparison) -> dict[str, Any]:
    """Return a comparison as plain data for JSON; lengths are decimals in the document's unit.

    ``yield_curve`` and ``sweet_spots`` are those of the first alternative's sheet; ``yields`` holds every sheet's.
    Of an alternative without a plan every figure of the plan is null, and ``reasons`` says why.
    """
    project = found.project
    first = found.curves[0] if found.curves else None
    return {
        "schema": SCHEMA,
        "project": project.name,
        "unit": project.unit,
        "currency": project.project.currency,
        "alternatives": [_alternative(found, row) for row in found.rows],
        "differences": list(differences(found.rows, project.unit, project.project.currency)),
        "yield_curve": [] if first is None else _points(found, first),
        "sweet_spots": [] if first is None else _spots(first),
        "rule_of_thumb": []
        if first is None
        else [[number(height), rule_of_thumb(first.sheet.width, height)] for height in found.heights],
        "within": [_within(label, one) for label, one in found.within],
        "carry": _carry(found),
        "offers": [
            {
                "stock": offer.stock.name,
                "price": number(Fraction(offer.stock.price)),
                "usable_area": round(float(offer.area), 4),
                "price_per_area": round(float(offer.per_area), 4),
                "area_unit": AREA[project.unit][0],
            }
            for offer in offers(project)
        ],
        "halves": [
            {
                "whole": pair.whole.name,
                "half": pair.half.name,
                "two_cost_more": number(pair.dearer),
                "less_usable_area": round(float(pair.less_area), 4),
            }
            for pair in halves(project)
        ],
        "yields": [
            {
                "sheet": curve.name,
                "width": number(curve.sheet.width),
                "edge_trim": number(curve.sheet.trim),
                "thickness": number(curve.sheet.rule.thickness),
                "kerf": number(curve.sheet.rule.kerf),
                "yield_curve": _points(found, curve),
                "sweet_spots": _spots(curve),
            }
            for curve in found.curves
        ],
    }


def _within(label: str, one: Within) -> dict[str, Any]:
    """Return what a limit does of an alternative; ``proven``: no plan does more rows, or more pieces after all rows."""
    return {
        "label": label,
        "budget": one.limit.money,
        "sheets": one.limit.sheets,
        "rows": one.rows[0],
        "rows_asked": one.rows[1],
        "rail": number(one.rail[0]),
        "rail_asked": number(one.rail[1]),
        "other_pieces": one.others[0],
        "other_pieces_asked": one.others[1],
        "cost": None if one.plan is None else one.plan.cost,
        "proven": one.proven,
        "stopped_early": one.early,
    }


def _carry(found: Comparison) -> dict[str, Any] | None:
    """Return what cutting in the shop of purchase comes to; null where everything fits the vehicle."""
    made = found.carried
    if made is None:
        return None
    return {
        "too_large": [sheet.name for sheet in made.too_large],
        "cuts": [
            {
                "sheet": cut.sheet.name,
                "cut": cut.cut,
                "pieces": [[number(length), number(width)] for length, width in cut.pieces],
            }
            for cut in made.cuts
        ],
        "ways_planned": made.tried,
        "cost": None if made.plan is None else made.plan.cost,
        "cost_bound": None if made.plan is None else made.plan.cost_bound,
        "proven": made.plan is not None and made.plan.proven,
    }


def choice_of(project: Project, row: Row) -> dict[str, Any]:
    """Return what an alternative was planned with: its own values, or the project's."""
    choice, saw, cleats = row.alternative.choice, project.saw, project.cleats
    gap = choice.gap if choice.gap is not None or project.wall is None else project.wall.gap
    values = {
        "cleat_height": choice.cleat_height or cleats.wall_height,
        "thickness": choice.thickness or cleats.thickness,
        "kerf": saw.kerf if choice.kerf is None else choice.kerf,
        "gap": gap,
    }
    return {key: None if value is None else number(value) for key, value in values.items()} | {"sheet": choice.sheet}


def _alternative(found: Comparison, row: Row) -> dict[str, Any]:
    project = found.project
    figures = {column.key: column.value(row) for column in columns(project.unit, project.project.currency)}
    buy = [] if row.plan is None else [{"stock": line.stock, "count": line.count} for line in row.plan.buy]
    head = {"label": row.alternative.label} | choice_of(project, row) | {"planned": row.plan is not None}
    return head | figures | {"buy": buy, "stopped_early": row.early, "reasons": list(row.reasons)}


def _points(found: Comparison, curve: Curve) -> list[list[float | int]]:
    return [[number(height), count] for height, count in curve.sheet.curve(*found.between)]


def _spots(curve: Curve) -> list[dict[str, Any]]:
    def length(value: Fraction | None) -> float | None:
        return None if value is None else number(value)

    return [
        {
            "count": spot.count,
            "tallest": number(spot.tallest),
            "pairs": spot.pairs,
            "lone": spot.lone,
            "thin_kerf": length(spot.thin_kerf),
            "no_trim": length(spot.no_trim),
            "confirmed": curve.confirmed[at] if at < len(curve.confirmed) else None,
        }
        for at, spot in enumerate(curve.spots)
    ]


# -- tables


def compare_csv(found: Comparison) -> str:
    """Return one line for each alternative, with the keys of the JSON document as columns."""
    rows = [_alternative(found, row) for row in found.rows]
    keys = [key for key in rows[0] if key != "buy"]

    def cell(value: object) -> object:
        return "; ".join(map(str, value)) if isinstance(value, list) else "" if value is None else value

    return table_csv((*keys, "unit"), [(*(cell(row[key]) for key in keys), found.project.unit) for row in rows])


YIELD_COLUMNS: Final = (
    "sheet",
    "count",
    "tallest",
    "tallest_decimal",
    "pairs",
    "lone",
    "thin_kerf",
    "no_trim",
    "confirmed",
    "unit",
)


def yield_csv(found: Comparison) -> str:
    """Return the sweet spots of every sheet, one a line, tallest heights as read off a rule and as decimals."""
    return table_csv(YIELD_COLUMNS, list(_yield_rows(found)))


def _yield_rows(found: Comparison) -> Iterator[tuple[object, ...]]:
    unit, step = found.project.unit, found.project.project.fence_step

    def length(value: Fraction | None) -> str:
        return "" if value is None else show_length(value, unit, step)

    for curve in found.curves:
        for at, spot in enumerate(curve.spots):
            sure = curve.confirmed[at] if at < len(curve.confirmed) else ""
            yield (
                curve.name,
                spot.count,
                length(spot.tallest),
                number(spot.tallest),
                spot.pairs,
                spot.lone,
                length(spot.thin_kerf),
                length(spot.no_trim),
                sure,
                unit,
            )
