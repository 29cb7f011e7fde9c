"""The steps and the buying list as tables for a spreadsheet (CSV as RFC 4180 has it, UTF-8).

Lengths stand twice: as a person reads them off a rule, and as the decimal of the plan file. Whoever's name
stands in a cell, no spreadsheet takes it for a formula: cells of text that start with =, +, -, @, a tab or
a return get an apostrophe before them (the remedy that the Open Worldwide Application Security Project
gives for "CSV injection").
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping
from typing import Final

from nesting.draw.subject import Rule, rule_of
from nesting.plan import LayoutDocument, Plan

STEP_COLUMNS: Final = (
    "n",
    "layout",
    "piece",
    "station",
    "cut",
    "bevel",
    "setting",
    "setting_decimal",
    "unit",
    "against",
    "leans",
    "makes",
    "setup",
)
BUY_COLUMNS: Final = (
    "stock",
    "count",
    "length",
    "length_decimal",
    "width",
    "width_decimal",
    "thickness",
    "thickness_decimal",
    "unit",
    "unit_price",
    "cost",
    "currency",
)
FORMULA: Final = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
"""What a spreadsheet may take for the beginning of a formula."""


def steps_csv(plan: Plan) -> str:
    """Return the passes of the saws, one a line, in working order; ``makes`` holds node ids between blanks."""
    rule = rule_of(plan)
    return table_csv(
        STEP_COLUMNS,
        (
            (
                step.n,
                step.layout,
                step.piece,
                step.station,
                step.cut,
                step.bevel,
                rule.length(step.setting),
                step.setting,
                plan.unit,
                step.against,
                step.leans or "",
                " ".join(step.makes),
                step.setup,
            )
            for step in plan.steps
        ),
    )


def buy_csv(plan: Plan) -> str:
    """Return the buying list, one stock a line, with the size of one piece."""
    rule = rule_of(plan)
    sizes = {layout.stock: layout for layout in plan.layouts}
    currency = currency_of(plan)
    return table_csv(
        BUY_COLUMNS,
        (
            (
                line.stock,
                line.count,
                *_size(sizes.get(line.stock), rule),
                plan.unit,
                line.unit_price,
                line.cost,
                currency,
            )
            for line in plan.buy
        ),
    )


def currency_of(plan: Plan) -> str:
    """Return the currency of the plan's prices: its job's, or USD as the project file has it by default."""
    project = (plan.job or {}).get("project")
    currency = project.get("currency") if isinstance(project, Mapping) else None
    return currency if isinstance(currency, str) else "USD"


def _size(layout: LayoutDocument | None, rule: Rule) -> tuple[str | float, ...]:
    """Return length, width and thickness, each shown and as a decimal."""
    if layout is None:
        return ("",) * 6
    sides = (layout.length, layout.width, layout.thickness)
    return tuple(cell for side in sides for cell in (rule.length(side), side))


def table_csv(columns: tuple[str, ...], rows: Iterable[tuple[object, ...]]) -> str:
    """Return a table for a spreadsheet, its columns named in the first line; no cell is taken for a formula.

    >>> table_csv(("part", "made"), [("=1+1", 2.0)]).splitlines()
    ['part,made', "'=1+1,2"]
    """
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow(columns)
    for row in rows:
        writer.writerow(_cell(value) for value in row)
    return text.getvalue()


def _cell(value: object) -> object:
    if isinstance(value, float) and value.is_integer():
        return int(value)
    if isinstance(value, str) and value.startswith(FORMULA):
        return f"'{value}"
    return value
