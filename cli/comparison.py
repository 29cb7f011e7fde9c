"""A comparison in words: the table of alternatives, what sets them apart, and the sweet spots of the yield curve."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from cli.terminal import counted, heading, name, plain, table
from nesting.compare.buying import AREA, halves, offers
from nesting.compare.table import FOOT, columns, telling
from nesting.compare.words import differences
from nesting.lengths import show_length
from nesting.money import money
from nesting.yield_curve import rule_of_thumb

if TYPE_CHECKING:
    from nesting.compare.carry import Carried
    from nesting.compare.comparison import Comparison, Curve
    from nesting.compare.table import Column, Row
    from nesting.paper.folder import Written

MOST_ACROSS = 5
"""Alternatives that stand side by side; more stand below one another."""
CAUTION = (
    "A comparison is arithmetic on the file's prices and sizes. Measure kerf and thickness first; plan before you buy."
)


def comparison(found: Comparison, written: Written | None) -> Iterator[str]:
    """Yield the lines that ``compare`` prints."""
    project = found.project
    yield heading(f"{name(project.name)}: {counted(len(found.rows), 'alternative')}")
    yield ""
    yield from _alternatives(found)
    sentences = differences(found.rows, project.unit, plain(project.project.currency))
    if sentences:
        yield ""
        for sentence in sentences:
            yield plain(sentence)
    missing = [row for row in found.rows if row.plan is None]
    if missing:
        yield ""
        yield heading("Cannot be done")
        for row in missing:
            for reason in row.reasons:
                yield f"  {plain(row.alternative.label)}: {plain(reason)}"
    if found.within:
        yield ""
        yield from _within(found)
    for curve in found.curves[:1]:
        yield ""
        yield from _curve(found, curve)
    bought = list(_buying(found))
    if bought:
        yield ""
        yield heading("Buying")
        yield from (f"  {line}" for line in bought)
    if found.carried is not None:
        yield ""
        yield heading("Carrying it home")
        yield from (f"  {line}" for line in _carrying(found, found.carried))
    yield ""
    yield heading("Caution")
    yield f"  {CAUTION}"
    if written is not None:
        yield ""
        yield f"Written into {name(str(written.folder))}: {', '.join(written.files)}."
        if "plan.json" in written.files:
            which = "within the limit" if found.best is not None else "with sheets cut in the shop"
            yield f"The plan in it is the one {which}."


def _alternatives(found: Comparison) -> list[str]:
    project = found.project
    told = telling(columns(project.unit, plain(project.project.currency)), found.rows)
    labels = [plain(row.alternative.label) for row in found.rows]
    cells = [[_cell(column, row) for row in found.rows] for column in told]
    headings = [column.heading for column in told]
    if len(labels) <= MOST_ACROSS:
        rows = [("", *labels), *((head, *line) for head, line in zip(headings, cells, strict=True))]
        return [f"  {line}" for line in table(rows, right=tuple(range(1, len(labels) + 1)))]
    across: list[tuple[str, ...]] = (
        [("", *headings), *zip(labels, *cells, strict=True)] if cells else [(label,) for label in labels]
    )
    return [f"  {line}" for line in table(across, right=tuple(range(1, len(headings) + 1)))]


def _cell(column: Column, row: Row) -> str:
    value: Any = column.value(row)
    if value is None:
        return "–"
    if column.key in ("cost", "cost_bound"):
        return money(value)
    if column.key in ("waste", "worst_load"):
        return f"{100 * value:.0f} %"
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:.1f}" if isinstance(value, float) else f"{value}"


def _within(found: Comparison) -> Iterator[str]:
    """Say what the limit does of each alternative."""
    project, currency = found.project, plain(found.project.project.currency)
    long, per = FOOT[project.unit]
    limit = found.within[0][1].limit
    told = money(limit.money, currency) if limit.money is not None else counted(limit.sheets or 0, "sheet to buy")
    yield heading(f"Within {told}: rows first, then running length, then the rest in the order of the file")
    row = "row" if project.wall is not None else "wall cleat"
    for label, one in found.within:
        if one.plan is None:
            sure = "" if one.proven else ", as far as was found"
            yield f"  {plain(label)}: not even one {row}{sure}."
            continue
        says = [f"{one.rows[0]} of {counted(one.rows[1], row)}"] if one.rows[1] else []
        if one.part.until is not None:
            until = show_length(one.part.until, project.unit, project.project.fence_step)
            says.append(f"the next one up to {until} {project.unit}")
        if one.rows[1]:
            says.append(f"{float(one.rail[0] / per):.1f} of {float(one.rail[1] / per):.1f} {long} of rail")
        says.append(f"{one.others[0]} of {counted(one.others[1], 'other piece')}")
        sure = "no plan does more" if one.proven else "more is not ruled out"
        yield f"  {plain(label)}: {', '.join(says)}, for {money(one.plan.cost, currency)} ({sure})."


def _buying(found: Comparison) -> Iterator[str]:
    """Say which mix is cheapest, what usable area costs, and what two halves cost against one whole."""
    project, currency = found.project, plain(found.project.project.currency)
    planned = [row for row in found.rows if row.plan is not None]
    cheapest = min(planned, key=lambda row: row.plan.cost if row.plan else 0.0, default=None)
    if cheapest is not None and cheapest.plan is not None and cheapest.plan.buy:
        mix = ", ".join(f"{line.count} × {name(line.stock)}" for line in cheapest.plan.buy)
        sure = "proven" if cheapest.plan.proven else "as far as was found"
        yield f"Cheapest mix, {plain(cheapest.alternative.label)}: {mix} ({sure})."
    what = AREA[project.unit][0]
    for offer in offers(project):
        yield f"{name(offer.stock.name)}: {money(round(offer.per_area, 2), currency)} a usable {what}."
    for pair in halves(project):
        more = "more" if pair.dearer > 0 else "less"
        lost = f", and {float(pair.less_area):.2f} {what} of usable area is lost" if pair.less_area > 0 else ""
        yield (
            f"Two {name(pair.half.name)} cost {money(abs(pair.dearer), currency)} {more} than one "
            f"{name(pair.whole.name)}{lost}."
        )


def _carrying(found: Comparison, made: Carried) -> Iterator[str]:
    """Say which sheets do not fit, how to have them cut in the shop, and what the job costs then."""
    project, currency = found.project, plain(found.project.project.currency)

    def size(sides: tuple[Fraction, Fraction]) -> str:
        return " × ".join(show_length(side, project.unit, project.project.fence_step) for side in sides)

    for sheet in made.too_large:
        yield f"{name(sheet.name)}, {size((sheet.length, sheet.width))} {project.unit}, does not fit the vehicle."
    if made.plan is None:
        yield "No way of cutting it in the shop was found that fits and does the job."
        return
    bought = {line.stock for line in made.plan.buy}
    for cut in made.cuts:
        if any(stock.startswith(f"{cut.sheet.name[:80]}: ") for stock in bought):
            pieces = ", ".join(map(size, cut.pieces))
            yield f"Have each {name(cut.sheet.name)} {cut.cut} in the shop: {pieces} {project.unit}."
    sure = "proven least" if made.plan.proven else f"bound {money(made.plan.cost_bound, currency)}"
    yield f"The job costs {money(made.plan.cost, currency)} then ({sure}; {counted(made.tried, 'way')} planned)."


def _curve(found: Comparison, curve: Curve) -> Iterator[str]:
    project, step = found.project, found.project.project.fence_step

    def length(value: Fraction | None) -> str:
        return "–" if value is None else show_length(value, project.unit, step)

    yield heading(f"Cleats from one {name(curve.name)}, each as long as the sheet")
    asked = [height for height in found.heights if height > curve.sheet.rule.rise]
    less = {"a thin-kerf blade": curve.sheet.with_thin_kerf(project.unit), "no edge trim": curve.sheet.without_trim()}
    for height in asked:
        division = curve.sheet.division(height)
        gains = [f"{other.count(height)} with {what}" for what, other in less.items() if other is not None]
        yield (
            f"  {length(height)} {project.unit}: {division.count} ({counted(division.pairs, 'pair')}, {division.lone} "
            f"lone)" + "".join(f"; {gain}" for gain in gains) + "."
        )
    thumbs = [
        f"{length(curve.sheet.width)} / {length(height)} = {rule_of_thumb(curve.sheet.width, height)}"
        for height in asked
    ]
    yield f"  Rule of thumb, without kerf, bevel or trim: {', '.join(thumbs)} (common practice, no source)."
    yield "  Sweet spots, the tallest cleat that still gives so many:"
    rows: list[tuple[str, ...]] = [("", "count", "tallest", "thin-kerf blade", "no edge trim", "solver")]
    shown = _near(curve, asked)
    for at in shown:
        spot = curve.spots[at]
        sure = "agrees" if at < len(curve.confirmed) and curve.confirmed[at] else "not asked"
        if at < len(curve.confirmed) and not curve.confirmed[at]:
            sure = "neither found nor refuted"
        rows.append(("", str(spot.count), length(spot.tallest), length(spot.thin_kerf), length(spot.no_trim), sure))
    yield from (f"  {line}" for line in table(rows, right=(1, 2, 3, 4)))


def _near(curve: Curve, heights: Sequence[Fraction]) -> list[int]:
    """Return which sweet spots to print: those of the heights asked for, what lies between, and two on either side."""
    counts = [curve.sheet.count(height) for height in heights]
    if not counts:
        return list(range(len(curve.spots)))
    return [at for at, spot in enumerate(curve.spots) if min(counts) - 2 <= spot.count <= max(counts) + 2]
