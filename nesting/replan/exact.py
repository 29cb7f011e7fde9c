"""From a plan file back to exact lengths: layouts and steps as the planning code holds them.

The file holds decimals to nine places. All square sizes are whole multiples of one small length, for they are sums of
lengths of the job, kerfs and marks of the fence; sizes at a bevel follow from the bevel rule. So nothing is lost, and a
part fits a leftover of exactly its size.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import Final

from pydantic import BaseModel

from nesting.layout import Layout, Node
from nesting.plan import LayoutDocument, NodeDocument, Plan
from nesting.project.model import Project
from nesting.steps import Step
from nesting.trade.bevel import Bevel
from nesting.wall.holders import build_all

FINEST: Final = 10**8
"""Multiples of a length finer than one part in so many cannot be told apart in nine places."""
NEAR: Final = Fraction(1, 10**7)
ZERO: Final = Fraction(0)


class Ruler:
    """Reads decimals of a plan file as the exact lengths they were."""

    def __init__(self, project: Project) -> None:
        found = set(_lengths(project))
        built, _ = build_all(project)
        for one in built:
            parts = (*one.parts, *([one.spacer] if one.spacer is not None else ()))
            found |= {side for part in parts for side in (part.length, part.width)}
        self.project = project
        self.marks = math.lcm(*(length.denominator for length in found))

    def __call__(self, value: float) -> Fraction:
        """Return the exact length of a decimal; the decimal itself where none is near."""
        if self.marks <= FINEST:
            near = Fraction(round(value * self.marks), self.marks)
            if abs(near - Fraction(value)) <= Fraction(2, 10**9):
                return near
        return Fraction(repr(value))

    def on_fence(self, value: float) -> Fraction | None:
        """Return the mark of the fence that a decimal stands for, None where none is near."""
        step = self.project.project.fence_step
        mark = round(Fraction(value) / step) * step
        return mark if abs(mark - Fraction(value)) <= NEAR else None

    def layout(self, layout: LayoutDocument) -> Layout:
        """Return a layout in exact lengths."""
        length, width, thickness = map(self, (layout.length, layout.width, layout.thickness))
        return Layout(layout.id, layout.stock, length, width, thickness, self._tree(layout, length, width, thickness))

    def _tree(self, layout: LayoutDocument, length: Fraction, width: Fraction, thickness: Fraction) -> Node:
        boxes: dict[int, tuple[Fraction, Fraction, Fraction, Fraction]] = {id(layout.tree): (ZERO, ZERO, length, width)}
        order = [layout.tree]
        for node in order:  # parents before their pieces; grows as it goes
            sizes = self._sizes(node, boxes[id(node)], thickness)
            for piece, box in zip(node.pieces, sizes, strict=True):
                boxes[id(piece)] = box
            order.extend(node.pieces)
        made: dict[int, Node] = {}
        for node in reversed(order):
            made[id(node)] = Node(
                node.id,
                *boxes[id(node)],
                node.role,
                node.cut,
                self(node.bevel) if node.bevel else ZERO,
                tuple(made[id(piece)] for piece in node.pieces),
                node.part,
                node.turned,
            )
        return made[id(layout.tree)]

    def _sizes(
        self, node: NodeDocument, box: tuple[Fraction, Fraction, Fraction, Fraction], thickness: Fraction
    ) -> Iterator[tuple[Fraction, Fraction, Fraction, Fraction]]:
        """Yield the exact rectangles of the pieces of a cut."""
        x, y, length, width = box
        if not node.pieces:
            return
        rip = node.cut == "rip"
        size, low = (width, y) if rip else (length, x)
        told = [piece.width if rip else piece.length for piece in node.pieces]
        at_low = abs((node.pieces[0].y - node.y) if rip else (node.pieces[0].x - node.x)) <= NEAR
        gap = self.project.saw.kerf
        if node.bevel:
            rule = Bevel(thickness, gap, self(node.bevel), self.project.project.fence_step)
            first = self._tall(told[0], rule.rise)
            rest = size + rule.rise - rule.gap - first
        else:
            first = self(told[0])
            rest = size - gap - first
        exact = [first, rest if len(told) > 1 and abs(rest - Fraction(told[1])) <= NEAR else self(told[-1])]
        for place, side in enumerate(exact[: len(told)]):
            at = low if (place == 0 and at_low) else low + size - side
            yield (x, at, length, side) if rip else (at, y, side, width)

    def _tall(self, value: float, rise: Fraction) -> Fraction:
        """Return the tall face that a setting at the table gave: its short face, or itself, is a mark of the fence."""
        short = self.on_fence(value - float(rise))
        if short is not None:
            return short + rise
        return self.on_fence(value) or self(value)

    def steps(self, plan: Plan, layouts: Mapping[str, Layout]) -> tuple[Step, ...]:
        """Return the steps of a plan, settings as the exact sizes of the pieces held; ``layouts`` by their ids."""
        nodes = {node.id: node for layout in layouts.values() for node in layout.tree.walk()}
        found = []
        for step in plan.steps:
            held = nodes[step.makes[0] if step.against == "low" else step.makes[-1]]
            size = held.width if step.cut == "rip" else held.length
            bevel = nodes[step.piece].bevel
            if step.leans == "away":
                size -= Bevel(layouts[step.layout].thickness, ZERO, bevel, Fraction(1)).rise
            setting = size if abs(size - Fraction(step.setting)) <= NEAR else self(step.setting)
            found.append(
                Step(
                    step.n,
                    step.layout,
                    step.piece,
                    step.station,
                    step.cut,
                    bevel,
                    setting,
                    step.against,
                    step.leans,
                    step.makes,
                    step.setup,
                )
            )
        return tuple(found)


def _lengths(project: Project) -> Iterator[Fraction]:
    """Yield every exact number that a project holds, whatever table it stands in."""
    todo: list[object] = [project]
    while todo:
        one = todo.pop()
        if isinstance(one, Fraction):
            yield one
        elif isinstance(one, BaseModel):
            todo += [getattr(one, name) for name in type(one).model_fields]
        elif isinstance(one, tuple | list):
            todo += one
