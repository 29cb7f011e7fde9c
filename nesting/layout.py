"""Cut trees: one rectangle of a layout and the cut that divides it, in exact lengths.

All lengths are :class:`fractions.Fraction` in the document's unit. x runs along the stock's length
(the face grain, where it has one), y across it; the origin is one corner. A *rip* is parallel to x
and parts y; a *crosscut* is parallel to y and parts x.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

Role = Literal["cut", "part", "offcut", "waste"]
CutKind = Literal["rip", "crosscut"]


@dataclass(frozen=True, slots=True)
class Node:
    """A rectangle of a layout.

    For a cleat (a piece of a bevel rip) ``width`` is the tall face, so the outlines of the two pieces
    of one blank overlap in plan: the low piece starts at the blank's low edge, the high one ends at its
    high edge. ``pieces`` holds the low side first; one piece only where the blade eats the rest.
    """

    id: str
    x: Fraction
    y: Fraction
    length: Fraction
    width: Fraction
    role: Role
    cut: CutKind | None = None
    bevel: Fraction = Fraction(0)
    pieces: tuple[Node, ...] = ()
    part: str | None = None
    turned: bool = False

    def walk(self) -> Iterator[Node]:
        """Yield this rectangle and all below it, parents first, low side first."""
        todo = [self]
        while todo:
            node = todo.pop()
            yield node
            todo += reversed(node.pieces)


@dataclass(frozen=True, slots=True)
class Layout:
    """One stock piece used: which stock, its whole outline, and the tree of cuts (root id = layout id)."""

    id: str
    stock: str
    length: Fraction
    width: Fraction
    thickness: Fraction
    tree: Node


def stages(layout: Layout) -> int:
    """Return the greatest number of alternations of rip and crosscut on a way from the stock to a piece.

    A bevel rip counts as a rip. Cuts at the root that only take waste off the stock's outline do not count:
    they trim edges and bring the piece to size.
    """
    tree = layout.tree
    while tree.role == "cut" and not tree.bevel:
        kept = [piece for piece in tree.pieces if piece.role != "waste"]
        if len(kept) != 1 or not any(_at_edge(layout, piece) for piece in (*tree.pieces, tree) if piece is not kept[0]):
            break
        tree = kept[0]
    deepest = 0
    todo: list[tuple[Node, CutKind | None, int]] = [(tree, None, 0)]
    while todo:
        node, last, count = todo.pop()
        if node.role == "cut":
            here = count + (node.cut != last)
            deepest = max(deepest, here)
            todo += [(piece, node.cut, here) for piece in node.pieces]
    return deepest


def _at_edge(layout: Layout, node: Node) -> bool:
    ends_x, ends_y = node.x + node.length, node.y + node.width
    return node.x == 0 or node.y == 0 or ends_x == layout.length or ends_y == layout.width
