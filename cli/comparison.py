"""A comparison in words: the table of alternatives, what sets them apart, and the sweet spots of the yield curve."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from cli.terminal import counted, heading, name, plain, table
from nesting.compare.table import columns, telling
from nesting.compare.words import differences
from nesting.lengths import show_length
from nesting.money import money
from nesting.yield_curve import rule_of_thumb

if TYPE_CHECKING:
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
    for curve in found.curves[:1]:
        yield ""
        yield from _curve(found, curve)
    yield ""
    yield heading("Caution")
    yield f"  {CAUTION}"
    if written is not None:
        yield ""
        yield f"Written into {name(str(written.folder))}: {', '.join(written.files)}."


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
