"""Plays steps on bare rectangles, by the rules of the plan file alone; knows nothing of how the steps were found."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable
from fractions import Fraction

from nesting.layout import Layout, Node
from nesting.steps import Step

NEAR = Fraction(1, 10**9)


def close(a: Fraction, b: Fraction) -> bool:
    return abs(a - b) < NEAR


def box(node: Node) -> tuple[Fraction, Fraction, Fraction, Fraction]:
    return node.x, node.y, node.length, node.width


def play(layouts: Iterable[Layout], steps: Iterable[Step], kerf: Fraction) -> None:
    """Assert that the steps produce every node of every layout, each piece existing before it is cut."""
    nodes = {node.id: (layout, node) for layout in layouts for node in layout.tree.walk()}
    assert len(nodes) == sum(1 for layout in layouts for _ in layout.tree.walk()), "ids are unique"
    there = {layout.tree.id for layout in layouts}
    for step in steps:
        layout, node = nodes[step.piece]
        assert step.layout == layout.id
        assert step.piece in there
        there.remove(step.piece)
        assert (node.cut, node.bevel) == (step.cut, step.bevel)
        assert step.makes == tuple(piece.id for piece in node.pieces)
        size, along = (node.width, node.length) if step.cut == "rip" else (node.length, node.width)
        tangent = Fraction(math.tan(math.radians(step.bevel))) * layout.thickness
        gap = kerf / Fraction(math.cos(math.radians(step.bevel)))
        near = step.setting + (tangent if step.leans == "away" else 0)
        far = size + tangent - gap - near
        low, high = (near, far) if step.against == "low" else (far, near)
        start = node.y if step.cut == "rip" else node.x
        sizes = {"low": (start, low), "high": (start + size - high, high)}
        if len(step.makes) == 1:
            del sizes["high" if step.against == "low" else "low"]
            assert far <= tangent + NEAR, "the blade eats the rest"
        for (at, wide), piece in zip(sizes.values(), node.pieces, strict=True):
            got = (piece.y, piece.width, piece.length) if step.cut == "rip" else (piece.x, piece.length, piece.width)
            assert close(got[0], at)
            assert close(got[1], wide)
            assert got[2] == along
            there.add(piece.id)
    assert there == {i for i, (_, node) in nodes.items() if node.cut is None}


def kept(layouts: Iterable[Layout]) -> Counter[tuple[str, str | None, Fraction, Fraction]]:
    """Count what the layouts give: parts and offcuts with their sizes."""
    return Counter(
        (node.role, node.part, node.length, node.width)
        for layout in layouts
        for node in layout.tree.walk()
        if node.role in ("part", "offcut")
    )
