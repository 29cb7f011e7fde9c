"""What lies on the face of a sheet: the visible piece of every leaf of a cut tree, and every cut between them.

The pieces of a bevel rip overlap in plan, because one tall face is up and the other one is down. On the face
that is up the blade leaves a slot of k / cos b; which side of it is tall follows from how the blade leans. All
figures here are plain floats in the document's unit, y up from the low edge: they are only drawn.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Protocol, SupportsFloat

HAIR = 1e-6


class Piece(Protocol):
    """A rectangle of a layout, from the plan document or from the solver's tree."""

    @property
    def id(self) -> str: ...  # noqa: D102
    @property
    def x(self) -> SupportsFloat: ...  # noqa: D102
    @property
    def y(self) -> SupportsFloat: ...  # noqa: D102
    @property
    def length(self) -> SupportsFloat: ...  # noqa: D102
    @property
    def width(self) -> SupportsFloat: ...  # noqa: D102
    @property
    def role(self) -> str: ...  # noqa: D102
    @property
    def cut(self) -> str | None: ...  # noqa: D102
    @property
    def bevel(self) -> SupportsFloat: ...  # noqa: D102
    @property
    def pieces(self) -> tuple[Piece, ...] | list[Piece]: ...  # noqa: D102
    @property
    def part(self) -> str | None: ...  # noqa: D102
    @property
    def turned(self) -> bool: ...  # noqa: D102


@dataclass(frozen=True, slots=True)
class Face:
    """The visible rectangle of a leaf; ``size`` is the piece's own length and width (a cleat's tall face)."""

    id: str
    role: str
    name: str
    size: tuple[float, float]
    x: float
    y: float
    right: float
    top: float
    bevelled: tuple[bool, bool] = (False, False)
    """Whether the low and the high edge are bevelled."""

    @property
    def area(self) -> float:
        """Visible area."""
        return (self.right - self.x) * (self.top - self.y)


@dataclass(frozen=True, slots=True)
class Cut:
    """The slot a cut leaves on the face: from ``low`` to ``high`` across it, ``start`` to ``end`` along it.

    ``depth`` counts how often the direction of cutting changed above it in the tree: 0 for the first cuts.
    ``rising`` tells a bevel's lean seen from the high end of the strip: the blade runs from below on the low side
    to above on the high side.
    """

    piece: str
    kind: str
    low: float
    high: float
    start: float
    end: float
    depth: int
    bevel: float = 0.0
    rising: bool = True

    @property
    def at(self) -> float:
        """Middle of the slot."""
        return (self.low + self.high) / 2


@dataclass(frozen=True, slots=True)
class Sheet:
    """All that is seen on one stock piece."""

    faces: tuple[Face, ...]
    cuts: tuple[Cut, ...]


@dataclass(frozen=True, slots=True)
class _View:
    """The part of a piece that is seen across the grain, and which of those edges are bevelled."""

    low: float = -math.inf
    high: float = math.inf
    bevelled: tuple[bool, bool] = (False, False)


def seen(tree: Piece, thickness: float, rising: Mapping[str, bool]) -> Sheet:
    """Return the faces and cuts of a tree; ``rising`` tells for pieces that are bevel-ripped how the blade leans.

    A bevel rip it does not name is taken to leave the low side's tall face up.
    """
    faces: list[Face] = []
    cuts: list[Cut] = []
    stack: list[tuple[Piece, _View, int, str | None]] = [(tree, _View(), 0, tree.cut)]
    while stack:
        node, view, depth, before = stack.pop()
        if node.role != "cut":
            faces.append(_face(node, view))
            continue
        depth += node.cut != before
        cut, views = _cut(node, view, depth, thickness, rising.get(node.id, True))
        cuts.append(cut)
        stack += [
            (piece, view, depth, node.cut) for piece, view in reversed(list(zip(node.pieces, views, strict=True)))
        ]
    return Sheet(tuple(faces), tuple(cuts))


def _face(node: Piece, view: _View) -> Face:
    x, y, length, width = map(float, (node.x, node.y, node.length, node.width))
    low, high = max(y, view.low), min(y + width, view.high)
    edges = (view.bevelled[0] and low <= view.low + HAIR, view.bevelled[1] and high >= view.high - HAIR)
    size = (width, length) if node.turned else (length, width)
    return Face(node.id, node.role, node.part or "", size, x, low, x + length, high, edges)


def _cut(node: Piece, view: _View, depth: int, thickness: float, rising: bool) -> tuple[Cut, Iterator[_View]]:
    x, y, length, width = map(float, (node.x, node.y, node.length, node.width))
    low, high = max(y, view.low), min(y + width, view.high)
    if node.cut == "crosscut":
        starts = [float(piece.x) for piece in node.pieces]
        ends = [float(piece.x) + float(piece.length) for piece in node.pieces]
        slot = _slot(x, x + length, starts, ends)
        return Cut(node.id, "crosscut", *slot, low, high, depth), iter([view] * len(node.pieces))
    starts = [float(piece.y) for piece in node.pieces]
    ends = [float(piece.y) + float(piece.width) for piece in node.pieces]
    bevel = float(node.bevel)
    if not bevel:
        slot = _slot(y, y + width, starts, ends)
        return Cut(node.id, "rip", *slot, x, x + length, depth), iter([view] * len(node.pieces))
    rise = thickness * math.tan(math.radians(bevel))
    low_only = len(node.pieces) == 1 and starts[0] <= y + HAIR
    if rising:  # the low piece is tall above, the high one below
        slot = (ends[0], min(starts[-1] + rise, y + width)) if len(node.pieces) > 1 else (ends[0], y + width)
        if len(node.pieces) == 1 and not low_only:
            slot = (y, starts[0] + rise)
    else:
        slot = (ends[0] - rise, starts[-1]) if len(node.pieces) > 1 else (ends[0] - rise, y + width)
        if len(node.pieces) == 1 and not low_only:
            slot = (y, starts[0])
    slot = (min(max(slot[0], low), high), min(max(slot[1], low), high))
    below = _View(view.low, slot[0], (view.bevelled[0], True))
    above = _View(slot[1], view.high, (True, view.bevelled[1]))
    views = [below, above] if len(node.pieces) > 1 else [below if low_only else above]
    return Cut(node.id, "rip", *slot, x, x + length, depth, bevel, rising), iter(views)


def _slot(start: float, end: float, starts: list[float], ends: list[float]) -> tuple[float, float]:
    """Return where the blade runs between two pieces, or beside one where it eats the rest."""
    if len(starts) > 1:
        return ends[0], starts[1]
    return (ends[0], end) if starts[0] <= start + HAIR else (start, starts[0])
