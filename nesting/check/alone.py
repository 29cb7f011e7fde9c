"""What a plan says of itself: checked where the project it was made for is not known.

Kerf and bevel are read off the plan's own cuts; that they are the same everywhere, and that everything else follows
from them, can be checked all the same.
"""

from __future__ import annotations

from collections import Counter

from nesting.check.geometry import check_tree, high_of, low_of
from nesting.check.loads import check_table
from nesting.check.money import check_sums
from nesting.check.parts import parts_of
from nesting.check.replay import check_setups, check_steps
from nesting.check.report import TOLERANCE, Blade, Findings
from nesting.plan import Plan

NOT_CHECKED = (
    "The plan does not hold the project it was made for: kerf and bevel were read off its own cuts, and whether sled "
    "and fence share a table was taken from its count of settings.",
    "Not checked without the project: that the parts are those asked for, grain, edge trims, prices, how many pieces "
    "of a stock there are, limits on stages, and what the saw can do.",
)
NO_CUT = "No cut shows the kerf, so neither the trees nor the steps could be replayed."
RULES = (
    "root",
    "ids",
    "roles",
    "cuts",
    "kerf",
    "bevel",
    "overlap",
    "money",
    "bound",
    "sizes",
    "demand",
    "steps",
    "setups",
    "load",
)


def check_alone(plan: Plan, findings: Findings) -> tuple[str, ...]:
    """Check a plan without its project and return notes on what could not be checked."""
    check_sums(plan, findings)
    used = Counter(layout.stock for layout in plan.layouts)
    for line in plan.buy:
        if line.count != used[line.stock]:
            findings.add("money", line.stock, f"{used[line.stock]} are cut, {line.count} are on the buying list")
    _check_list(plan, findings)
    _check_count(plan, findings)
    check_table(plan, findings)
    blade = _blade(plan)
    if blade is None:
        return (*NOT_CHECKED, NO_CUT)
    for layout in plan.layouts:
        check_tree(layout, blade, findings)
    check_steps(plan, blade, findings)
    return NOT_CHECKED


def _blade(plan: Plan) -> Blade | None:
    """Read kerf and bevel off the first cuts that show them; with no cut at all the kerf does not matter."""
    kerf, bevel, cuts = None, 0.0, 0
    for layout in plan.layouts:
        for node in layout.tree.walk():
            if node.role != "cut":
                continue
            cuts += 1
            bevel = bevel or node.bevel
            if kerf is None and not node.bevel and len(node.pieces) == 2:
                low, high = node.pieces
                kerf = low_of(high, node.cut) - high_of(low, node.cut)
    if kerf is None and cuts:
        return None
    return Blade(max(0.0, kerf or 0.0), 0.0, bevel)


def _check_list(plan: Plan, findings: Findings) -> None:
    """Check the list of parts against the trees."""
    rows = {row.name: row for row in plan.parts}
    if len(rows) < len(plan.parts):
        findings.add("demand", "plan", "a part is listed twice")
    made: Counter[str] = Counter()
    for layout in plan.layouts:
        for node, bevels in parts_of(layout.tree):
            row = rows.get(node.part or "")
            made[node.part or ""] += 1
            if row is None:
                findings.add("demand", node.id, f"{node.part!r} is not on the list of parts")
                continue
            along, across = (node.width, node.length) if node.turned else (node.length, node.width)
            findings.equal("sizes", node.id, f"the length of {row.name!r}", along, row.length)
            if not bevels:
                findings.equal("sizes", node.id, f"the width of {row.name!r}", across, row.width)
            elif across < row.width - TOLERANCE:
                findings.add("sizes", node.id, f"the tall face of {row.name!r} is {across:g}, asked is {row.width:g}")
    for row in rows.values():
        findings.equal("demand", row.name, "the listed number made", row.made, made[row.name])
        if row.made > row.asked:
            findings.add("demand", row.name, f"{row.asked} are wanted, {row.made} are made")


def _check_count(plan: Plan, findings: Findings) -> None:
    """Recount the settings for sled and fence on one table, else apart; either may have been meant."""
    shared, apart = Findings(), Findings()
    check_setups(plan, True, shared)
    check_setups(plan, False, apart)
    if shared.faults and apart.faults:
        findings.faults += shared.faults
