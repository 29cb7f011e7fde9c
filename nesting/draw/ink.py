"""Ink on paper: what a workshop drawing is made of, and how it becomes SVG.

The only module that knows svgwrite. Lengths are in the page's unit (points, or pixels for a screen), y runs
down the page as in SVG. Hatching is drawn as lines and not as a pattern: every viewer and printer shows it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Final, Literal, TypeAlias

from nesting.draw.hand import SCREEN, Hand
from nesting.draw.lettering import clean

INK: Final = "#000"
PAPER: Final = "#fff"

Fill = Literal["none", "paper", "ink"]
Anchor = Literal["start", "middle", "end"]
_FILLS: Final[dict[Fill, str]] = {"none": "none", "paper": PAPER, "ink": INK}


@dataclass(frozen=True, slots=True)
class Rect:
    """A rectangle; ``weight`` 0 draws no outline."""

    x: float
    y: float
    width: float
    height: float
    weight: float = 0.5
    dashes: tuple[float, ...] = ()
    fill: Fill = "none"


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line; ``dots`` draws it as round dots ``dashes[1]`` apart."""

    x1: float
    y1: float
    x2: float
    y2: float
    weight: float = 0.5
    dashes: tuple[float, ...] = ()
    dots: bool = False


@dataclass(frozen=True, slots=True)
class Polyline:
    """A line through points, closed and filled where asked."""

    points: tuple[tuple[float, float], ...]
    weight: float = 0.5
    closed: bool = False
    fill: Fill = "none"


@dataclass(frozen=True, slots=True)
class Text:
    """One line of lettering, ``x``, ``y`` on its base line; ``turned`` reads upwards; ``white`` on an inked ground."""

    x: float
    y: float
    text: str
    size: float = 9.0
    bold: bool = False
    anchor: Anchor = "start"
    turned: bool = False
    white: bool = False


@dataclass(frozen=True, slots=True)
class Hatch:
    """A shape without holes, convex, filled with parallel lines rising at 45 degrees, ``spacing`` apart."""

    points: tuple[tuple[float, float], ...]
    spacing: float = 4.0
    weight: float = 0.4


@dataclass(frozen=True, slots=True)
class Arrow:
    """A line with an open head at its end, or at ``both`` ends."""

    x1: float
    y1: float
    x2: float
    y2: float
    weight: float = 0.8
    both: bool = False
    head: float = 5.0


@dataclass(frozen=True, slots=True)
class Group:
    """Things that belong together; the title is read aloud and shown under a pointer."""

    items: tuple[Mark, ...]
    title: str = ""
    desc: str = ""


Mark: TypeAlias = "Rect | Line | Polyline | Text | Hatch | Arrow | Group"


@dataclass(frozen=True, slots=True)
class Page:
    """A whole drawing; ``unit`` "pt" prints at its true size, "px" is for a screen."""

    width: float
    height: float
    title: str
    desc: str
    items: tuple[Mark, ...]
    unit: Literal["pt", "px"] = "pt"


def box(x: float, y: float, width: float, height: float) -> tuple[tuple[float, float], ...]:
    """Return the corners of a rectangle, for hatching it."""
    return ((x, y), (x + width, y), (x + width, y + height), (x, y + height))


def to_svg(page: Page, hand: Hand = SCREEN) -> str:
    """Return the page as an SVG document (SVG 1.1), sized so that it prints at true scale.

    >>> page = Page(72, 72, "A <square>", "One square.", (Rect(9, 9, 54, 54), Text(36, 40, "1 & 2", anchor="middle")))
    >>> "A &lt;square&gt;" in to_svg(page), 'width="25.4mm"' in to_svg(page)
    (True, True)
    """
    import svgwrite

    if page.unit == "pt":
        size = tuple(f"{_number(points / 72 * 25.4)}mm" for points in (page.width, page.height))
    else:
        size = (str(_number(page.width)), str(_number(page.height)))
    drawing = svgwrite.Drawing(size=size, debug=False)
    drawing["viewBox"] = f"0 0 {_number(page.width)} {_number(page.height)}"
    drawing["role"] = "img"
    drawing["font-family"] = hand.family
    drawing["fill"] = INK
    drawing.set_desc(title=clean(page.title), desc=clean(page.desc))
    _add(drawing, drawing, Rect(0, 0, page.width, page.height, weight=0, fill="paper"), hand)
    for item in page.items:
        _add(drawing, drawing, item, hand)
    return str(drawing.tostring())


def _add(drawing: Any, parent: Any, item: Mark, hand: Hand) -> None:
    match item:
        case Group():
            group = drawing.g()
            if item.title or item.desc:
                group.set_desc(title=clean(item.title) or None, desc=clean(item.desc) or None)
            for inner in item.items:
                _add(drawing, group, inner, hand)
            parent.add(group)
        case Rect():
            shape = drawing.rect(insert=_point(item.x, item.y), size=_point(max(item.width, 0), max(item.height, 0)))
            parent.add(_stroked(shape, item.weight, item.dashes, item.fill))
        case Line():
            shape = drawing.line(start=_point(item.x1, item.y1), end=_point(item.x2, item.y2))
            parent.add(_stroked(shape, item.weight, item.dashes, "none"))
            if item.dots:
                shape["stroke-linecap"] = "round"
        case Polyline():
            points = [_point(*point) for point in item.points]
            shape = drawing.polygon(points=points) if item.closed else drawing.polyline(points=points)
            shape["stroke-linejoin"] = "round"
            parent.add(_stroked(shape, item.weight, (), item.fill))
        case Hatch():
            if runs := _hatching(item):
                path = drawing.path(d=" ".join(f"M{_pair(*start)}L{_pair(*end)}" for start, end in runs))
                parent.add(_stroked(path, item.weight, (), "none"))
        case Arrow():
            _add(drawing, parent, Line(item.x1, item.y1, item.x2, item.y2, item.weight), hand)
            for head in _heads(item):
                _add(drawing, parent, head, hand)
        case Text():
            parent.add(_lettering(drawing, item, hand))


def _lettering(drawing: Any, item: Text, hand: Hand) -> Any:
    shape = drawing.text(clean(item.text), insert=_point(item.x, item.y))
    shape["font-size"] = _number(hand.size(item.text, item.size, bold=item.bold))
    if item.bold:
        shape["font-weight"] = "bold"
    if item.anchor != "start":
        shape["text-anchor"] = item.anchor
    if item.white:
        shape["fill"] = PAPER
    if item.turned:
        shape["transform"] = f"rotate(-90 {_pair(item.x, item.y)})"
    return shape


def _stroked(shape: Any, weight: float, dashes: tuple[float, ...], fill: Fill) -> Any:
    shape["fill"] = _FILLS[fill]
    if weight > 0:
        shape["stroke"] = INK
        shape["stroke-width"] = _number(weight)
        if dashes:
            shape["stroke-dasharray"] = " ".join(str(_number(dash)) for dash in dashes)
    return shape


def _heads(arrow: Arrow) -> list[Polyline]:
    ends = [(arrow.x1, arrow.y1, arrow.x2, arrow.y2)]
    if arrow.both:
        ends.append((arrow.x2, arrow.y2, arrow.x1, arrow.y1))
    heads = []
    for x1, y1, x2, y2 in ends:
        angle = math.atan2(y2 - y1, x2 - x1)
        barbs = [
            (x2 - arrow.head * math.cos(angle + turn), y2 - arrow.head * math.sin(angle + turn))
            for turn in (0.42, -0.42)
        ]
        heads.append(Polyline((barbs[0], (x2, y2), barbs[1]), arrow.weight))
    return heads


def _hatching(hatch: Hatch) -> list[tuple[tuple[float, float], tuple[float, float]]]:
    """Return the lines x + y = constant (constants on one grid for the whole page) clipped to the convex shape."""
    step = hatch.spacing * math.sqrt(2)
    sums = [x + y for x, y in hatch.points]
    edges = list(zip(hatch.points, hatch.points[1:] + hatch.points[:1], strict=True))
    runs = []
    for count in range(math.ceil(min(sums) / step), math.floor(max(sums) / step) + 1):
        level = count * step
        met = []
        for (x1, y1), (x2, y2) in edges:
            before, after = x1 + y1 - level, x2 + y2 - level
            if before * after <= 0 and before != after:
                part = before / (before - after)
                met.append((x1 + part * (x2 - x1), y1 + part * (y2 - y1)))
        if met and (start := min(met)) != (end := max(met)):
            runs.append((start, end))
    return runs


def _number(value: float) -> float | int:
    rounded = round(float(value), 3)
    return int(rounded) if rounded == int(rounded) else rounded


def _point(x: float, y: float) -> tuple[float | int, float | int]:
    return _number(x), _number(y)


def _pair(x: float, y: float) -> str:
    return f"{_number(x)} {_number(y)}"
