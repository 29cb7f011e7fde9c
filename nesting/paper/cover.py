"""The first page of the packet: what to buy, what it costs, what is proven, and what to mind."""

from __future__ import annotations

from typing import Any, Final, TypeAlias

from nesting.draw.setting import steps_named
from nesting.draw.subject import rule_of
from nesting.money import money
from nesting.paper.tables import currency_of
from nesting.paper.words import count_of_settings, counted, planned_anew, proof, sheet_by_sheet, shown, together
from nesting.plan import Plan
from nesting.trade.cautions import CAUTIONS

MOST_REASONS: Final = 3
Section: TypeAlias = dict[str, Any]
"""One section of the packet as plain data: ``kind`` names the function of the template that sets it."""


_UNITS: Final = {"in": "inches", "mm": "millimetres"}


def cover(plan: Plan) -> list[Section]:
    """Return the cover."""
    return [
        {
            "kind": "cover",
            "heading": shown(plan.project, 400) or "Plan",
            "lines": [_in_short(plan), f"Lengths in {_UNITS[plan.unit]}."],
            "buy": _buying_list(plan),
            "total": money(plan.cost, shown(currency_of(plan), 12)),
            "blocks": [
                {"title": title, "sentences": [together(sentence) for sentence in sentences]}
                for title, sentences in (
                    ("Planned anew", planned_anew(plan)),
                    ("What is proven", _proven(plan)),
                    ("Settings", _settings(plan)),
                    ("Look out for", _warnings(plan)),
                    ("Cautions", list(CAUTIONS)),
                )
                if sentences
            ],
        }
    ]


def _in_short(plan: Plan) -> str:
    parts = sum(node.role == "part" for layout in plan.layouts for node in layout.tree.walk())
    return f"{counted(parts, 'part')} from {counted(len(plan.layouts), 'piece')} of stock."


def _buying_list(plan: Plan) -> list[dict[str, str]]:
    rule = rule_of(plan)
    sizes = {layout.stock: layout for layout in plan.layouts}
    rows = []
    for line in plan.buy:
        layout = sizes.get(line.stock)
        size = (
            f"{rule.size((layout.length, layout.width))} {plan.unit}, {rule.length(layout.thickness)} thick"
            if layout
            else ""
        )
        owned = not line.unit_price
        rows.append(
            {
                "count": f"{line.count} ×",
                "stock": shown(line.stock, 120),
                "size": together(size),
                "each": "owned already" if owned else f"at {money(line.unit_price)}",
                "cost": "" if owned else money(line.cost),
            }
        )
    return rows


def _proven(plan: Plan) -> list[str]:
    says = [proof(plan)]
    if plan.bound_text:
        why = shown(plan.bound_text, 1000)
        says.append(f"{why[0].upper()}{why[1:]}".rstrip(".") + ".")
    short = [part for part in plan.parts if part.made < part.asked]
    says += [f"{shown(part.name, 80)}: {part.made} of at most {part.asked}, from what is left over." for part in short]
    return says


def _settings(plan: Plan) -> list[str]:
    """Say how many settings there are, under which rules, and how many sheet by sheet would need."""
    says = [count_of_settings(plan)]
    if plan.work is None:
        return says
    if alone := sheet_by_sheet(plan):
        says.append(alone)
    if plan.work.rules:
        says.append("Rules in force: " + " ".join(shown(rule, 400) for rule in plan.work.rules))
    reasons = [shown(reason, 400) for reason in plan.work.recurring]
    if len(reasons) > MOST_REASONS:
        reasons[MOST_REASONS:] = [f"{len(reasons) - MOST_REASONS} more are made again, all told in plan.json."]
    return says + [f"{reason[0].upper()}{reason[1:]}" for reason in reasons if reason]


def _warnings(plan: Plan) -> list[str]:
    """Return the warnings that belong to no single cut."""
    return [
        shown(warning.text, 1000) + (f" ({shown(warning.where, 80)})" if warning.where else "")
        for warning in plan.warnings
        if not steps_named(warning.where) and not _at_a_piece(plan, warning.where)
    ]


def _at_a_piece(plan: Plan, where: str) -> bool:
    return any(step.piece == where.strip() for step in plan.steps)
