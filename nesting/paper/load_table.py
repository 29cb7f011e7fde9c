"""The load table on paper and in a spreadsheet: which rows come first, and what they say in short."""

from __future__ import annotations

from typing import Final

from nesting.paper.tables import table_csv
from nesting.paper.words import counted
from nesting.plan import Plan
from nesting.plan_load import LoadDocument, LoadRowDocument

LOAD_COLUMNS: Final = ("item", "check", "demand", "capacity", "unit", "ratio", "governs", "source")
WARN, STOP = 0.8, 1.0


def load_csv(plan: Plan) -> str:
    """Return the load table, one check a line, in the plan's order; only the header where there is none."""
    rows = () if plan.load is None else plan.load.rows
    return table_csv(LOAD_COLUMNS, (tuple(getattr(row, column) for column in LOAD_COLUMNS) for row in rows))


def worst_first(load: LoadDocument) -> list[LoadRowDocument]:
    """Return the rows by ratio, the greatest first."""
    return sorted(load.rows, key=lambda row: -row.ratio)


def verdict(load: LoadDocument) -> str:
    """Say in one sentence how the table came out."""
    over = sum(row.ratio > STOP for row in load.rows)
    near = sum(WARN < row.ratio <= STOP for row in load.rows)
    if over:
        return (
            f"Do not build this as it is: {counted(over, 'check')} of {len(load.rows)} "
            f"{'is' if over == 1 else 'are'} above what may be carried" + (f", {near} more near it." if near else ".")
        )
    if near:
        return f"All {len(load.rows)} checks pass, {near} of them near the limit."
    return f"All {len(load.rows)} checks pass, none above 80 %."


def share(row: LoadRowDocument) -> str:
    """Return a row's ratio in per cent, whole where it is not tiny.

    >>> share(LoadRowDocument(item="a", check="b", demand=1, capacity=4, unit="lb", ratio=0.25, governs="", source=""))
    '25 %'
    """
    return "no hold at all" if row.ratio >= 999 else f"{100 * row.ratio:.0f} %"
