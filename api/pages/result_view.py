"""A finished plan as its page shows it: what to buy first, how sure, layouts, wall, loads, work, warnings, files.

Pure: a plan and the names of its papers go in. The words are those of the packet.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Any, Final

from nesting.draw.faces import seen
from nesting.draw.listing import listed
from nesting.draw.setting import steps_named
from nesting.draw.subject import rule_of, subject_of
from nesting.draw.words import described
from nesting.money import money
from nesting.paper.cover import cover
from nesting.paper.load_table import STOP, WARN, share, verdict, worst_first
from nesting.paper.tables import currency_of
from nesting.paper.words import counted, shown, together
from nesting.plan import Plan

FILES: Final = (
    ("packet.pdf", "The packet: everything on paper, to print and take along"),
    ("plan.zip", "All papers in one"),
    ("buy.csv", "Buying list, for a spreadsheet"),
    ("steps.csv", "Steps, for a spreadsheet"),
    ("labels.csv", "Labels of the parts, for a spreadsheet"),
    ("load.csv", "Load table, for a spreadsheet"),
    ("layouts.dxf", "Layouts for other drawing programs"),
    ("plan.json", "Plan file, for other programs"),
)


@dataclass(frozen=True, slots=True)
class LayoutShown:
    """One layout: its id, what it is cut from, and its drawing in words for who cannot see it."""

    id: str
    stock: str
    size: str
    parts: str
    alt: str


@dataclass(frozen=True, slots=True)
class LoadLine:
    """One check of the load table; ``mark`` says in words where it stands."""

    item: str
    check: str
    demand: str
    capacity: str
    share: str
    mark: str
    sentence: str
    remedy: str


@dataclass(frozen=True, slots=True)
class Result:
    """What the page of a finished plan shows."""

    heading: str
    in_short: tuple[str, ...]
    buy: tuple[dict[str, str], ...]
    total: str
    bought: str
    sure: tuple[str, ...]
    settings: tuple[str, ...]
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
    layouts: tuple[LayoutShown, ...]
    wall: tuple[str, ...] | None
    verdict: str
    loads: tuple[LoadLine, ...]
    files: tuple[tuple[str, str], ...]


def result(plan: Plan, papers: Collection[str]) -> Result:
    """Return what to show of a plan whose papers bear these names."""
    page: dict[str, Any] = cover(plan)[0]
    blocks = {block["title"]: tuple(block["sentences"]) for block in page["blocks"]}
    there = {*papers, "plan.zip"}
    return Result(
        heading=page["heading"],
        in_short=tuple(page["lines"]),
        buy=tuple(page["buy"]),
        total=page["total"],
        bought=_bought(plan),
        sure=blocks.get("What is proven", ()),
        settings=blocks.get("Settings", ()),
        warnings=blocks.get("Look out for", ()),
        cautions=blocks.get("Cautions", ()),
        layouts=tuple(_layouts(plan)),
        wall=_wall(plan) if "wall.svg" in there else None,
        verdict="" if plan.load is None or not plan.load.rows else verdict(plan.load),
        loads=tuple(_loads(plan)),
        files=tuple((name, words) for name, words in FILES if name in there),
    )


def _bought(plan: Plan) -> str:
    """Say what of a plan made anew is bought already."""
    if plan.replaces is None:
        return ""
    currency = shown(currency_of(plan), 12)
    more = plan.replaces.more
    on_top = f"{money(more, currency)} more is to be bought now" if more else "nothing more is to be bought"
    return f"{money(plan.replaces.cost, currency)} of it is bought already; {on_top}."


def _layouts(plan: Plan) -> Sequence[LayoutShown]:
    rule = rule_of(plan)
    found = []
    for layout in plan.layouts:
        subject = subject_of(plan, layout.id)
        sheet = seen(layout.tree, layout.thickness, subject.rising)
        title, desc = described(subject, sheet, listed(sheet.faces, rule.finest)[0])
        parts = sum(node.role == "part" for node in layout.tree.walk())
        found.append(
            LayoutShown(
                layout.id,
                shown(layout.stock, 120),
                f"{together(rule.size((layout.length, layout.width)))} {plan.unit}",
                counted(parts, "part"),
                f"{title}. {desc}",
            )
        )
    return found


def _wall(plan: Plan) -> tuple[str, ...]:
    wall = plan.wall
    if wall is None:
        return ()
    pieces = sum(len(row.pieces) for row in wall.rows)
    says = [f"{counted(len(wall.rows), 'row')} of cleats in {counted(pieces, 'piece')}."]
    if wall.holders:
        proof = "" if wall.hanging_proven else " This is the best place found for them, not proven the best there is."
        says.append(f"{counted(len(wall.holders), 'holder')} on it.{proof}")
    says += [shown(f"{left.holder}: {left.text}", 600) for left in wall.left_out]
    if wall.splicing is not None and wall.splicing.text:
        says.append(shown(wall.splicing.text, 600))
    return tuple(map(together, says))


def _loads(plan: Plan) -> Sequence[LoadLine]:
    rows = [] if plan.load is None else worst_first(plan.load)
    return [
        LoadLine(
            item=shown(row.item, 80),
            check=shown(row.check, 120),
            demand=f"{row.demand:.4g} {row.unit}",
            capacity=f"{row.capacity:.4g} {row.unit}",
            share=share(row),
            mark="too much" if row.ratio > STOP else "near the limit" if row.ratio > WARN else "passes",
            sentence=shown(row.sentence, 1000),
            remedy=shown(row.remedy, 1000),
        )
        for row in rows
    ]


def at_steps(plan: Plan) -> tuple[tuple[str, str], ...]:
    """Return the warnings that belong to single steps: which steps, and the sentence."""
    return tuple(
        (shown(warning.where, 200), together(shown(warning.text, 2000)))
        for warning in plan.warnings
        if steps_named(warning.where)
    )
