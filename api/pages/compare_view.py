"""A comparison as its page shows it: one column an alternative, one row for what tells them apart, the sweet spots.

Pure: the document of ``compare.json`` goes in.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Final

from nesting.draw.subject import USUAL_STEP
from nesting.lengths import show_length
from nesting.money import money
from nesting.paper.words import shown, together

MOST_SPOTS: Final = 12


@dataclass(frozen=True, slots=True)
class Measure:
    """One row of the table: what is measured, its value for each alternative, and which are the best of them."""

    name: str
    values: tuple[str, ...]
    best: tuple[bool, ...]


@dataclass(frozen=True, slots=True)
class Spot:
    """The tallest cleat that still gives so many from one sheet."""

    count: int
    tallest: str
    pairs: str
    asked: bool


@dataclass(frozen=True, slots=True)
class Compared:
    """What the page shows."""

    heading: str
    labels: tuple[str, ...]
    measures: tuple[Measure, ...]
    reasons: tuple[tuple[str, tuple[str, ...]], ...]
    differences: tuple[str, ...]
    spots: tuple[Spot, ...]
    sheet: str


def compared(document: Mapping[str, Any]) -> Compared:
    """Return a comparison as it is shown.

    Raises ``KeyError`` for a document that is no ``cleatwright/compare/1``.
    """
    rows: Sequence[Mapping[str, Any]] = document["alternatives"]
    labels = tuple(shown(str(row["label"]), 80) for row in rows)
    yields = document["yields"]
    return Compared(
        heading=shown(str(document["project"]), 200),
        labels=labels,
        measures=tuple(_measures(rows, str(document["currency"]), str(document["unit"]))),
        reasons=tuple(
            (label, tuple(shown(str(reason), 600) for reason in row["reasons"]))
            for label, row in zip(labels, rows, strict=True)
            if row["reasons"]
        ),
        differences=tuple(together(shown(str(text), 600)) for text in document["differences"]),
        spots=tuple(_spots(document, rows)),
        sheet=shown(str(yields[0]["sheet"]), 120) if yields else "",
    )


def _measures(rows: Sequence[Mapping[str, Any]], currency: str, unit: str) -> list[Measure]:
    long = "ft" if unit == "in" else "m"

    def cost(value: float) -> str:
        return money(value, shown(currency, 12))

    def whole(value: float) -> str:
        return f"{value:.0f}"

    def share(value: float) -> str:
        return f"{100 * value:.0f} %"

    def one(value: float) -> str:
        return f"{value:.1f}"

    kinds: tuple[tuple[str, str, Any, Any], ...] = (
        ("cost", "Cost", cost, min),
        ("cost_bound", "No plan can cost less than", cost, None),
        ("proven", "Proven cheapest", lambda value: "yes" if value else "no", None),
        ("sheets", "Sheets to buy", whole, min),
        ("cleats_per_sheet", "Cleats from one sheet", whole, max),
        ("running_per_sheet", f"Cleat from one sheet, {long}", one, max),
        ("waste", "Waste", share, min),
        ("fence_settings", "Settings of the fence", whole, min),
        ("settings", "All settings", whole, min),
        ("rows", "Rows on the wall", whole, max),
        ("rail", f"Cleat on the wall, {long}", one, max),
        ("holders_fit", "Holders that fit", whole, max),
        ("worst_load", "Worst load, of what may be carried", share, min),
        ("screws", "Screws", whole, min),
    )
    found = []
    for key, name, say, best in kinds:
        values = [row.get(key) for row in rows]
        given = [value for value in values if value is not None]
        if not given:
            continue
        target = best(given) if best is not None and len(set(map(say, given))) > 1 else None
        found.append(
            Measure(
                name,
                tuple("–" if value is None else together(say(value)) for value in values),
                tuple(target is not None and value is not None and say(value) == say(target) for value in values),
            )
        )
    return found


def _spots(document: Mapping[str, Any], rows: Sequence[Mapping[str, Any]]) -> list[Spot]:
    """Return the sweet spots around what was asked for."""
    unit, spots = document["unit"], document["sweet_spots"]
    step = USUAL_STEP[unit]
    asked = {row["cleats_per_sheet"] for row in rows}
    places = [place for place, spot in enumerate(spots) if spot["count"] in asked]
    if len(spots) > MOST_SPOTS:
        middle = (places[0] + places[-1]) // 2 if places else len(spots) // 2
        start = min(max(0, middle - MOST_SPOTS // 2), len(spots) - MOST_SPOTS)
        spots = spots[start : start + MOST_SPOTS]
    return [
        Spot(
            count=spot["count"],
            tallest=f"{together(_length(spot['tallest'], unit, step))} {unit}",
            pairs=f"{spot['pairs']} pairs" + (f", {spot['lone']} alone" if spot["lone"] else ""),
            asked=spot["count"] in asked,
        )
        for spot in spots
    ]


def _length(value: float, unit: Any, step: Fraction) -> str:
    return show_length(Fraction(value).limit_denominator(10**6), unit, step)
