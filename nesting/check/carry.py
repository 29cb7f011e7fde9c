"""What has to be carried home: a stock to buy that does not fit the vehicle is never passed over in silence."""

from __future__ import annotations

from nesting.check.report import Findings, Terms
from nesting.plan import Plan

CODE = "too_large_to_carry"


def check_carry(plan: Plan, terms: Terms, findings: Findings) -> None:
    """Check that every bought stock fits ``carry_length`` by ``carry_width`` either way, or that a warning says so."""
    head = terms.project.project
    longest = float("inf") if head.carry_length is None else float(head.carry_length)
    widest = float("inf") if head.carry_width is None else float(head.carry_width)
    warned = {warning.where for warning in plan.warnings if warning.code == CODE}
    for name in sorted({layout.stock for layout in plan.layouts}):
        stock = terms.stocks.get(name)
        if stock is None or not stock.price or name in warned:
            continue
        length, width = float(stock.length), float(stock.width)
        if not ((length <= longest and width <= widest) or (width <= longest and length <= widest)):
            findings.add(
                "carry", name, f"{length:g} × {width:g} does not fit the vehicle, and the plan does not say so"
            )
