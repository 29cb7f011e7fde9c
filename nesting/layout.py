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
        yield self
        for piece in self.pieces:
            yield from piece.walk()


@dataclass(frozen=True, slots=True)
class Layout:
    """One stock piece used: which stock, its whole outline, and the tree of cuts (root id = layout id)."""

    id: str
    stock: str
    length: Fraction
    width: Fraction
    thickness: Fraction
    tree: Node
