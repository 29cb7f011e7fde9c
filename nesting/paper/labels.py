"""One label for each part: what it is, how large, and the step that frees it; in working order."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from nesting.draw.subject import rule_of
from nesting.paper.tables import table_csv
from nesting.plan import Plan

COLUMNS: Final = (
    "label",
    "part",
    "length",
    "length_decimal",
    "width",
    "width_decimal",
    "thickness",
    "thickness_decimal",
    "unit",
    "layout",
    "piece",
    "stock",
    "step",
)


@dataclass(frozen=True, slots=True)
class Label:
    """What stands on the label of one part; lengths in the plan's unit, a cleat's width is its tall face."""

    number: int
    part: str
    length: float
    width: float
    thickness: float
    layout: str
    piece: str
    stock: str
    step: int | None
    """The pass of a saw after which the part lies free; ``None`` where no cut is needed."""


def labels_of(plan: Plan) -> tuple[Label, ...]:
    """Return the labels of all parts in the order in which the steps free them."""
    freed = {made: step.n for step in plan.steps for made in step.makes}
    found = [
        (freed.get(node.id), layout, node)
        for layout in plan.layouts
        for node in layout.tree.walk()
        if node.role == "part"
    ]
    found.sort(key=lambda entry: entry[0] or 0)
    return tuple(
        Label(
            number,
            node.part or "",
            node.width if node.turned else node.length,
            node.length if node.turned else node.width,
            layout.thickness,
            layout.id,
            node.id,
            layout.stock,
            step,
        )
        for number, (step, layout, node) in enumerate(found, 1)
    )


def labels_csv(plan: Plan) -> str:
    """Return the labels as a table, one a line, for a label printer or a mail merge."""
    rule = rule_of(plan)
    return table_csv(
        COLUMNS,
        (
            (
                label.number,
                label.part,
                *(cell for side in (label.length, label.width, label.thickness) for cell in (rule.length(side), side)),
                plan.unit,
                label.layout,
                label.piece,
                label.stock,
                label.step or "",
            )
            for label in labels_of(plan)
        ),
    )
