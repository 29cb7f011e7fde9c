"""One step as two small pictures: the piece with the fence, stop or guide and the cut, then what comes of it.

The piece lies as in its layout's drawing, so that the two can be laid side by side. Nothing is to scale: thin
pieces are drawn thick enough to be seen. In points.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from nesting.draw.ink import Arrow, Hatch, Line, Mark, Page, Rect, Text, box
from nesting.draw.lettering import advance, clean, shortened
from nesting.plan import NodeDocument, StepDocument

WIDTH: Final = 224.0
_LONG, _LEAST, _HIGH = 84.0, 16.0, 32.0
_BAR = 6.0
_GAP = 7.0
_THIN = 7.0
"""Least that a piece measures across its cut."""
_MARGIN = 7.0
_LETTERS = 9.0
_TOLD = 6
"""Fewer letters of a name, its ellipsis among them, tell nothing."""


def piece_page(step: StepDocument, nodes: Mapping[str, NodeDocument], letters: float = _LETTERS) -> Page:
    """Return the pictures of one step; ``nodes`` holds the rectangles of its layout by their ids.

    The hatched bar is the fence or the stop at the piece's reference edge, or the guide on the measured side.
    ``letters``: size of the names of what comes of it, those that fit.
    """
    node = nodes[step.piece]
    length, width = _shape(node.length, node.width)
    rip = step.cut == "rip"
    height = width + 2 * _MARGIN + (_GAP if rip else 0.0)
    middle = height / 2
    first = Rect(_MARGIN, middle - width / 2, length, width, weight=1.2, fill="paper")
    across = width if rip else length
    whole = node.width if rip else node.length
    at = _within(step.setting / whole * across, across)
    if step.against == "high":
        at = across - at
    marks: list[Mark] = [first, *_holder(step, first, at), *_cut(first, at, rip=rip, dotted=step.bevel > 0)]
    after = _MARGIN + _LONG + _MARGIN + 22
    marks.append(Arrow(after - 21, middle, after - 5, middle, weight=1.0))
    marks += _after(step, nodes, after, middle, (length, width), at, letters)
    return Page(WIDTH, height, "", "", tuple(marks))


def _shape(length: float, width: float) -> tuple[float, float]:
    """Return how large to draw a piece: in its proportions as far as it can be seen."""
    scale = min(_LONG / length, _HIGH / width)
    return max(length * scale, 2 * _LEAST), max(width * scale, _LEAST)


def _within(at: float, across: float) -> float:
    """Keep a cut clear of both edges of its piece."""
    return min(max(at, _THIN), across - _THIN) if across > 2 * _THIN else across / 2


def _cut(piece: Rect, at: float, *, rip: bool, dotted: bool) -> list[Mark]:
    dashes = (1.5, 2.5) if dotted else (5.0, 2.5)
    if rip:
        y = piece.y + piece.height - at
        return [Line(piece.x - 5, y, piece.x + piece.width + 5, y, weight=1.6, dashes=dashes)]
    x = piece.x + at
    return [Line(x, piece.y - 5, x, piece.y + piece.height + 5, weight=1.6, dashes=dashes)]


def _holder(step: StepDocument, piece: Rect, at: float) -> list[Mark]:
    """Draw what the piece lies against; the guide of the guided saw lies on the piece, at the cut."""
    low, rip = step.against == "low", step.cut == "rip"
    right, bottom = piece.x + piece.width, piece.y + piece.height
    if step.station == "breakdown saw" and rip:
        edge = (piece.x, bottom - at - (0.0 if low else _BAR))
    elif step.station == "breakdown saw":
        edge = (piece.x + at - (_BAR if low else 0.0), piece.y)
    elif rip:
        edge = (piece.x, bottom if low else piece.y - _BAR)
    else:
        edge = (piece.x - _BAR if low else right, piece.y)
    size = (piece.width, _BAR) if rip else (_BAR, piece.height)
    return [Rect(*edge, *size, weight=1.0, fill="paper"), Hatch(box(*edge, *size), 2.4, 0.7)]


def _after(
    step: StepDocument,
    nodes: Mapping[str, NodeDocument],
    left: float,
    middle: float,
    size: tuple[float, float],
    at: float,
    letters: float,
) -> list[Mark]:
    rip = step.cut == "rip"
    length, width = size
    made = [nodes[name] for name in step.makes]
    low_is_made = len(made) > 1 or _is_low(made[0], nodes[step.piece], rip=rip)
    sides: list[tuple[NodeDocument | None, float]] = [
        (made[0] if low_is_made else None, at),
        (made[-1] if len(made) > 1 or not low_is_made else None, (width if rip else length) - at),
    ]
    marks: list[Mark] = []
    place = 0.0
    for node, extent in sides:
        if node is not None:
            top = middle + (width + _GAP) / 2 - place - extent
            shape = (left, top, length, extent) if rip else (left + place, middle - width / 2, extent, width)
            marks += _piece(node, shape, letters)
        place += extent + _GAP
    return marks


def _is_low(node: NodeDocument, whole: NodeDocument, *, rip: bool) -> bool:
    if rip:
        return node.y - whole.y < whole.y + whole.width - node.y - node.width
    return node.x - whole.x < whole.x + whole.length - node.x - node.length


def _piece(node: NodeDocument, shape: tuple[float, float, float, float], letters: float) -> list[Mark]:
    x, y, width, height = shape
    if node.role == "waste":
        return [Rect(*shape, weight=0.8), Hatch(box(*shape), 4.0, 0.6)]
    dashes = (4.0, 2.5) if node.role == "offcut" else ()
    marks: list[Mark] = [Rect(*shape, weight=1.8 if node.role == "part" else 1.0, dashes=dashes, fill="paper")]
    bold = node.role == "part"
    words = clean(node.part or "") if node.part else "keep" if node.role == "offcut" else node.id
    if bold and advance(words, letters, bold=True) > width - 4:
        words = shortened(words, width - 4, letters, bold=True)
        words = words if len(words) > _TOLD else ""
    if words and height >= letters + 3 and advance(words, letters, bold=bold) <= width - 3:
        marks.append(Text(x + width / 2, y + height / 2 + 0.355 * letters, words, letters, bold=bold, anchor="middle"))
    return marks
