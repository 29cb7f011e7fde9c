"""A plan in the words of the shop: what to buy, one line a layout, what is proven, what to look out for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from cli.terminal import counted, heading, name, plain, table
from nesting.draw.faces import seen
from nesting.draw.subject import rule_of, subject_of
from nesting.draw.words import share_used
from nesting.money import money
from nesting.paper.contents import DXF
from nesting.paper.dxf import HOW_TO_GET
from nesting.paper.load_table import STOP, WARN, share, verdict, worst_first
from nesting.paper.tables import currency_of
from nesting.paper.words import count_of_settings, proof, sheet_by_sheet
from nesting.trade.cautions import CAUTIONS

if TYPE_CHECKING:
    from nesting.paper.folder import Written
    from nesting.plan import LayoutDocument, Plan
    from nesting.plan_load import LoadDocument
    from nesting.plan_wall import WallDocument

MOST_REASONS = 3
FEWEST_LOADS, MOST_LOADS = 3, 8


def summary(plan: Plan, sentences: Sequence[str], written: Written | None, *, stopped: bool) -> Iterator[str]:
    """Yield the lines that ``plan`` prints; ``sentences`` say what was proven and what easier cutting costs."""
    currency = plain(currency_of(plan))
    yield heading(f"{name(plan.project)}: {money(plan.cost, currency)}")
    yield ""
    yield heading("Buy")
    yield from _buying_list(plan, currency)
    yield ""
    yield heading("Layouts")
    yield from _layouts(plan)
    yield ""
    if plan.wall is not None:
        yield heading("Wall")
        yield from _wall(plan.wall)
        yield ""
    yield heading("Settings")
    yield from _settings(plan)
    yield ""
    yield heading("What was proven")
    if stopped and not plan.proven:
        yield "  The search was stopped early: this is the best plan so far, and it is unproven."
    yield f"  {plain(proof(plan))}"
    for sentence in sentences:
        yield f"  {plain(sentence)}"
    if plan.load is not None and plan.load.rows:
        yield ""
        yield heading("Loads")
        yield from _loads(plan.load)
    if plan.warnings:
        yield ""
        yield heading("Warnings")
        for warning in plan.warnings:
            yield f"  {plain(warning.text)}" + (f" ({name(warning.where)})" if warning.where else "")
    yield ""
    yield heading("Cautions")
    for caution in CAUTIONS:
        yield f"  {caution}"
    if written is not None:
        yield ""
        yield f"Written into {name(str(written.folder))}: {_files(written.files)}."
        if DXF not in written.files:
            yield HOW_TO_GET


def _buying_list(plan: Plan, currency: str) -> list[str]:
    rows: list[tuple[str, ...]] = [
        (
            f"  {line.count} ×",
            name(line.stock),
            f"at {money(line.unit_price)}" if line.unit_price else "owned already",
            money(line.cost, currency) if line.unit_price else "",
        )
        for line in plan.buy
    ]
    if not rows:
        return ["  Nothing."]
    total = ("  in all", "", "", money(plan.cost, currency))
    return table([*rows, total] if len(rows) > 1 else rows, right=(2, 3))


def _loads(load: LoadDocument) -> Iterator[str]:
    """Yield how the load table came out and its worst rows; the warnings tell what to do about those above 80 %."""
    yield f"  {verdict(load)}"
    rows = worst_first(load)
    shown = max(FEWEST_LOADS, min(MOST_LOADS, sum(row.ratio > WARN for row in rows)))
    yield from table(
        [
            (
                f"  {name(row.item)}",
                row.check,
                share(row),
                "DO NOT BUILD" if row.ratio > STOP else "near" if row.ratio > WARN else "",
            )
            for row in rows[:shown]
        ],
        right=(2,),
    )
    total = next((row for row in load.rows if (row.item, row.check) == ("wall", "total weight")), None)
    if total is not None:
        yield f"  {total.sentence}"
    if load.assumed:
        yield "  The wood of the studs is not known; the weakest group was taken (species in [wall.studs])."


def _layouts(plan: Plan) -> list[str]:
    rule = rule_of(plan)
    return table(
        [
            (
                f"  {plain(layout.id)}",
                name(layout.stock),
                f"{rule.size((layout.length, layout.width))} {plan.unit}",
                *_use(plan, layout),
            )
            for layout in plan.layouts
        ],
        right=(3, 4),
    )


def _use(plan: Plan, layout: LayoutDocument) -> tuple[str, str]:
    sheet = seen(layout.tree, layout.thickness, subject_of(plan, layout.id).rising)
    parts = sum(face.role == "part" for face in sheet.faces)
    return counted(parts, "part"), f"{100 * share_used(layout, sheet):.0f} % used"


def _wall(wall: WallDocument) -> Iterator[str]:
    """Yield what hangs on the wall, and what found no place."""
    if wall.rows:
        pieces = sum(len(row.pieces) for row in wall.rows)
        joints = pieces - sum(len(row.runs) for row in wall.rows)
        yield f"  {counted(len(wall.rows), 'row')} of {counted(pieces, 'piece')}, {counted(joints, 'joint')} on studs."
    asked = sum(built.quantity for built in wall.built)
    if asked and wall.rows:
        yield f"  {len(wall.holders)} of {counted(asked, 'holder')} hang."
    elif asked:
        yield f"  {counted(asked, 'holder')} without a wall."
    for left in wall.left_out:
        yield f"  {plain(left.text)}"


def _settings(plan: Plan) -> Iterator[str]:
    yield f"  {count_of_settings(plan)}"
    work = plan.work
    if work is None:
        return
    if alone := sheet_by_sheet(plan):
        yield f"  {alone}"
    if work.among > 1:
        yield f"  The layouts were chosen for it among {work.among} sets of equal cost."
    yield "  Rules in force:"
    for rule in work.rules:
        yield f"    {plain(rule)}"
    yield from _recurring(work.recurring)


def _recurring(reasons: Sequence[str]) -> Iterator[str]:
    """Yield why settings are made more than once, the first few of them."""
    if not reasons:
        return
    yield f"  {counted(len(reasons), 'setting')} made again:"
    for reason in reasons[:MOST_REASONS]:
        yield f"    {plain(reason)}"
    if len(reasons) > MOST_REASONS:
        yield f"    and {len(reasons) - MOST_REASONS} more, all in plan.json under work."


def _files(files: Sequence[str]) -> str:
    drawings = sum("/" in file for file in files)
    tops = [file for file in files if "/" not in file]
    return ", ".join([*tops, f"{counted(drawings, 'drawing')} in layouts"])
