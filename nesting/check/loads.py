"""The load table: ratios that are demand over capacity, warnings where they belong, nothing left out of the sums.

The checker does not reckon strengths anew; it sees to it that the table says of itself what its figures say.
"""

from __future__ import annotations

from nesting.check.report import TOLERANCE, Findings, Terms
from nesting.plan import Plan
from nesting.plan_load import LoadRowDocument

WARNED, REFUSED = 0.8, 1.0
NOTHING = 999.0
"""The ratio written where a piece carries nothing."""


def check_table(plan: Plan, findings: Findings) -> None:
    """Check every row by itself, and that rows above 0.8 and above 1 have their warnings."""
    if plan.load is None:
        return
    for row in plan.load.rows:
        place = f"{row.item}, {row.check}"
        wanted, within = (NOTHING if row.demand > 0 else 0.0), TOLERANCE
        if row.capacity > 0:  # demand and capacity are exact to 1e-6 each
            wanted = min(NOTHING, row.demand / row.capacity)
            within *= 1 + (1 + wanted) / row.capacity
        findings.equal("load", place, "the ratio", row.ratio, wanted, within)
        if row.ratio > WARNED and not _warned(plan, row):
            what = "not to be built" if row.ratio > REFUSED else "near its limit"
            findings.add("load", place, f"the ratio is {row.ratio:g}, but no warning says that it is {what}")


def _warned(plan: Plan, row: LoadRowDocument) -> bool:
    code = "overloaded" if row.ratio > REFUSED else "high_load"
    return any(
        warning.code == code
        and row.check in warning.text
        and (warning.where == row.item or row.item in warning.text)
        and (code != "overloaded" or "Do not build" in warning.text)
        for warning in plan.warnings
    )


def check_loads(plan: Plan, terms: Terms, findings: Findings) -> None:
    """Check the table, that no holder that hangs is left out of it, and that all contents are in the wall's total."""
    check_table(plan, findings)
    wall = plan.wall
    if wall is None:
        return
    if plan.load is None:
        if wall.holders or wall.built:
            findings.add("load", "plan", "says what hangs where, but not what it carries")
        return
    items = {row.item for row in plan.load.rows}
    for name in sorted({hung.holder for hung in wall.holders} - items):
        findings.add("load", name, "hangs on the wall, but its load is not checked")
    contents = {holder.name: float(holder.load) for holder in terms.project.holder}
    hangs = sum(contents.get(hung.holder, 0.0) for hung in wall.holders)
    total = next((row for row in plan.load.rows if (row.item, row.check) == ("wall", "total weight")), None)
    if wall.holders and (total is None or total.demand < hangs - TOLERANCE):
        findings.add("load", "wall", f"carries contents of {hangs:g} in all, which its total does not hold")
