"""Stock and money: what is cut exists, in the number there is, at the price it has."""

from __future__ import annotations

from collections import Counter

from nesting.check.report import CENT, Findings, Terms
from nesting.plan import Plan


def check_money(plan: Plan, terms: Terms, findings: Findings) -> None:
    """Check stocks, their numbers, the buying list, the cost, and what the bound claims."""
    used = Counter(layout.stock for layout in plan.layouts)
    for layout in plan.layouts:
        stock = terms.stocks.get(layout.stock)
        if stock is None:
            findings.add("stock", layout.id, f"there is no stock called {layout.stock!r}")
            continue
        for what, found, wanted in (
            ("length", layout.length, stock.length),
            ("width", layout.width, stock.width),
            ("thickness", layout.thickness, stock.thickness),
        ):
            findings.equal("stock", layout.id, f"the {what} of {layout.stock!r}", found, float(wanted))
    for name, times in used.items():
        known = terms.stocks.get(name)
        if known is not None and known.limit is not None and times > known.limit:
            findings.add("stock", name, f"{times} are cut, there are only {known.limit}")
    counts = {line.stock: line.count for line in plan.buy}
    for name, known in terms.stocks.items():
        if counts.get(name, 0) != used[name] and (known.price or name in counts):
            findings.add("money", name, f"{used[name]} are cut, {counts.get(name, 0)} are on the buying list")
    for line in plan.buy:
        stock = terms.stocks.get(line.stock)
        if stock is None:
            findings.add("money", line.stock, "is on the buying list, but no such stock exists")
            continue
        findings.equal("money", line.stock, "the unit price", line.unit_price, float(stock.price), CENT)
    check_sums(plan, findings)


def check_sums(plan: Plan, findings: Findings) -> None:
    """Check what the money says of itself: lines, their sum, and the bound."""
    for name, times in Counter(line.stock for line in plan.buy).items():
        if times > 1:
            findings.add("money", name, "is on the buying list twice")
    for line in plan.buy:
        findings.equal("money", line.stock, "the cost", line.cost, line.count * line.unit_price, CENT)
    findings.equal("money", "plan", "the cost", plan.cost, sum(line.cost for line in plan.buy), CENT)
    if plan.cost_bound > plan.cost + CENT:
        findings.add("bound", "plan", "the bound is above the cost of the plan itself")
    if plan.proven and plan.cost_bound < plan.cost - CENT:
        findings.add("bound", "plan", "the plan is said to be proven, but its bound is below its cost")
    if not plan.proven and plan.cost_bound >= plan.cost:
        findings.add("bound", "plan", "the bound reaches the cost, so the plan is proven, but does not say so")
