"""The drawings of a comparison: bars for what sets the alternatives apart, and the yield curve."""

from __future__ import annotations

from collections.abc import Callable

from nesting.compare.comparison import Comparison
from nesting.compare.table import FOOT, Row
from nesting.draw.bars import MOST_BARS, Measure, draw_bars
from nesting.draw.yield_drawing import MOST_CURVES, draw_yield
from nesting.money import money

MOST_DRAWN = 12
"""Alternatives drawn; of more, the cheapest."""


def compare_svg(found: Comparison) -> str:
    """Return bars of cost, yield, waste, settings and what a wall adds; of very many alternatives the cheapest."""
    rows = list(found.rows)
    if len(rows) > min(MOST_DRAWN, MOST_BARS):
        rows = sorted(rows, key=lambda row: float("inf") if row.plan is None else row.plan.cost)[:MOST_DRAWN]
    currency = found.project.project.currency
    long, per = FOOT[found.project.unit]
    measures = [
        Measure(
            f"Cost, {currency}",
            tuple(None if row.plan is None else row.plan.cost for row in rows),
            tuple("no plan" if row.plan is None else money(row.plan.cost) for row in rows),
            "least",
            tuple(None if row.plan is None else row.plan.cost_bound for row in rows),
        ),
        _measure("Cleats per sheet", rows, lambda row: row.cleats_per_sheet, "{:.0f}", "most"),
        _measure("Sheets to buy", rows, lambda row: row.sheets, "{:.0f}", "least"),
        _measure("Waste", rows, lambda row: None if row.waste is None else 100 * row.waste, "{:.1f} %", "least"),
        _measure(
            "Settings at the saw",
            rows,
            lambda row: None if row.plan is None else row.plan.setups.total,
            "{:.0f}",
            "least",
        ),
        _measure("Rows on the wall", rows, lambda row: row.rows, "{:.0f}", "most"),
        _measure(
            f"Rail, {long}", rows, lambda row: None if row.rail is None else row.rail / float(per), "{:.1f}", "most"
        ),
        _measure(
            "Holders that fit", rows, lambda row: None if row.holders is None else row.holders[0], "{:.0f}", "most"
        ),
        _measure(
            "Worst load, share of capacity",
            rows,
            lambda row: None if row.worst_load is None else 100 * row.worst_load,
            "{:.0f} %",
            "least",
        ),
    ]
    known = [measure for measure in measures[1:] if any(value is not None for value in measure.values)]
    alike = [measure for measure in known if len(set(measure.figures)) == 1 and len(rows) > 1]
    told = [measures[0], *(measure for measure in known if measure not in alike)]
    legend = ["Filled: the best of its block."]
    if any(row.plan is not None and not row.plan.proven for row in rows):
        legend += [
            "Mark across a bar: no plan can cost less than this;",
            "a cost without a mark is proven to be the least.",
        ]
    legend += [f"The same for all: {measure.name.lower()} {measure.figures[0]}." for measure in alike]
    if len(rows) < len(found.rows):
        legend.append(f"Shown are the {len(rows)} cheapest of {len(found.rows)}; all are in the table.")
    return draw_bars(f"{found.project.name}: alternatives", [row.alternative.label for row in rows], told, legend)


def _measure(name: str, rows: list[Row], value: Callable[[Row], float | None], form: str, best: str) -> Measure:
    values = tuple(value(row) for row in rows)
    return Measure(name, values, tuple("–" if one is None else form.format(one) for one in values), best)


def yield_svg(found: Comparison) -> str | None:
    """Return the yield curves of the first ``MOST_CURVES`` sheets; None where no sheet suits the cleats."""
    if not found.curves:
        return None
    drawn = [(curve.name, curve.sheet) for curve in found.curves[:MOST_CURVES]]
    project = found.project
    title = f"{project.name}: cleats per sheet"
    return draw_yield(title, drawn, found.heights, project.unit, project.project.fence_step)
