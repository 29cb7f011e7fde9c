"""The blade in section as the operator sees it: table, fence on its side, what is held and what falls free.

For the sled the stop stands for the fence, for the guided saw the guide that lies on the measured side. Widths
are broken off where they are long. Lengths are in the page's unit; a board is 40 thick, a picture 350 wide.
"""

from __future__ import annotations

import math
from typing import Final

from nesting.draw.boxes import box_of
from nesting.draw.ink import Hatch, Line, Mark, Polyline, Rect, Text, box
from nesting.draw.lettering import advance
from nesting.draw.setting import HOLDS, Setting, leans_toward

WIDTH: Final = 390.0
EDGE: Final = 20.0
ROOM: Final = WIDTH - 2 * EDGE
HEIGHT: Final = 206.0
_THICK = 40.0
_BLADE = 6.0
_LEAST_HELD, _MOST_HELD, _MOST_FREE = 78.0, 170.0, 96.0


def section(setting: Setting, top: float, lettering: float = 1.0) -> list[Mark]:
    """Draw the section, ``WIDTH`` wide, within ``HEIGHT`` below ``top``; ``lettering`` up to 1.5 times as large."""
    first = setting.first
    side = 1.0 if setting.fence_side == "right" else -1.0
    edge = WIDTH - 68 if side > 0 else 68.0  # the face of the fence, the stop or the reference edge
    table = top + 146
    base = table - (12 if first.station == "crosscut sled" else 0)
    held, held_broken, free, free_broken, free_waste = _widths(setting)
    lean = math.tan(math.radians(first.bevel)) * (-side if not leans_toward(setting) else side)

    def across(distance: float, height: float) -> float:
        """Place the blade's near side at a distance from the edge, leaning with height above the table."""
        return edge - side * distance + lean * height

    gap = _BLADE / math.cos(math.radians(first.bevel))
    marks: list[Mark] = _support(first.station, table, edge, side, lettering)
    body = [(edge, base), (edge, base - _THICK), (across(held, _THICK), base - _THICK), (across(held, 0), base)]
    outer = edge - side * (held + gap + free)
    rest = [
        (across(held + gap, 0), base),
        (across(held + gap, _THICK), base - _THICK),
        (
            min(outer, across(held + gap, _THICK) - 4) if side > 0 else max(outer, across(held + gap, _THICK) + 4),
            base - _THICK,
        ),
        (min(outer, across(held + gap, 0) - 4) if side > 0 else max(outer, across(held + gap, 0) + 4), base),
    ]
    for corners, broken in ((body, False), (rest, free_broken)):
        shape = tuple(corners)
        if corners is rest and free_waste:
            marks.append(Hatch(shape, 5.0, 0.6))
        if broken:
            marks.append(Polyline((shape[3], *shape[:3]), weight=2))
            marks.append(_torn(shape[2], shape[3]))
        else:
            marks.append(Polyline(shape, weight=2, closed=True))
    if held_broken:
        marks += _broken(edge - side * 24, base)
    high, low = 34.0 + _THICK, -28.0
    if first.station == "breakdown saw":
        high, low = 62.0 + _THICK, -10.0
    blade = (
        (across(held, low), base - low),
        (across(held, high), base - high),
        (across(held + gap, high), base - high),
        (across(held + gap, low), base - low),
    )
    marks.append(Polyline(blade, weight=0, closed=True, fill="ink"))
    clear = edge - side * 30 if held_broken else edge
    inner = [(clear, base), (clear, base - _THICK), *body[2:]]
    marks += _words_in(inner, "held" if first.station == "table saw" else "measured", lettering)
    if not free_broken or free > 50:
        marks += _words_in(rest, "free" if first.station == "table saw" else "rest", lettering, ground=free_waste)
    marks += _holder(first.station, edge, side, base, held, lettering)
    below = table + 32 - 3 * (lettering - 1)
    near, far = sorted((edge, across(held, 0)))
    marks.append(Line(near, below, far, below, weight=1))
    marks += [Line(x, below - 6, x, below + 6, weight=1) for x in (near, far)]
    words = setting.rule.length(first.setting)
    size = 16.0 * lettering
    middle = min((near + far) / 2, WIDTH - 2 - advance(words, size, bold=True) / 2)
    marks.append(Text(middle, below + 7 + 13 * lettering, words, size, bold=True, anchor="middle"))
    return marks


def _widths(setting: Setting) -> tuple[float, bool, float, bool, bool]:
    """Return what to draw, in pixels: held and free width and whether each is broken off; whether the rest is waste."""
    first = setting.first
    scale = _THICK / setting.thickness
    node = setting.nodes[first.piece]
    whole = node.width if first.cut == "rip" else node.length
    held = min(max(first.setting * scale, _LEAST_HELD), _MOST_HELD)
    rest = max(whole - first.setting, 0.0) * scale
    sizes = {
        (setting.nodes[step.piece].width if step.cut == "rip" else setting.nodes[step.piece].length)
        for step in setting.steps
    }
    free = min(max(rest, 8.0), _MOST_FREE)
    far = node.pieces[-1 if first.against == "low" else 0] if len(node.pieces) > 1 else None
    waste = far is None or far.role == "waste"
    return held, first.setting * scale > _MOST_HELD, free, rest > _MOST_FREE or len(sizes) > 1, waste


def _support(station: str, table: float, edge: float, side: float, lettering: float) -> list[Mark]:
    if station == "breakdown saw":
        return [Rect(x, table + 1, 26, 12, weight=1.5) for x in (edge - side * 40 - 13, edge - side * 210 - 13)]
    marks: list[Mark] = [Line(EDGE, table + 1.5, WIDTH - EDGE, table + 1.5, weight=3)]
    if station == "crosscut sled":
        marks.append(Rect(EDGE + 14, table - 12, ROOM - 28, 11, weight=1.5))
        marks.append(Text(EDGE + 14, table + 8 + 14 * lettering, "sled", 14.0 * lettering))
    return marks


def _holder(station: str, edge: float, side: float, base: float, held: float, lettering: float) -> list[Mark]:
    """Draw fence, stop or guide with its name."""
    if station == "breakdown saw":
        left, right = sorted((edge - side * 18, edge - side * held))
        shape = (left, base - _THICK - 11, right - left, 10.0)
        middle = (left + right) / 2
        return [
            Rect(*shape, weight=2, fill="paper"),
            Hatch(box(*shape), 4.0, 0.6),
            Text(middle, base - _THICK - 20, "guide", 15.0 * lettering, anchor="middle"),
        ]
    high = 104.0 if station == "table saw" else 62.0
    left = edge if side > 0 else edge - 28
    return [
        Rect(left, base - high, 28, high, weight=2, fill="paper"),
        Hatch(box(left, base - high, 28, high), 5.0, 0.6),
        Text(left + 14, base - high - 8, HOLDS[station], 15.0 * lettering, anchor="middle"),
    ]


def _words_in(corners: list[tuple[float, float]], words: str, lettering: float, *, ground: bool = False) -> list[Mark]:
    """Write a word in the middle of a piece where it fits there."""
    xs = sorted(x for x, _ in corners)
    room = xs[2] - xs[1]
    size = 14.0 * lettering
    text = Text((xs[1] + xs[2]) / 2, corners[0][1] - _THICK / 2 + 5 * lettering, words, size, anchor="middle")
    if advance(words, size) + 8 > room:
        return []
    covered = box_of(text).grown(2)
    under = [Rect(covered.left, covered.top, covered.width, covered.height, weight=0, fill="paper")] if ground else []
    return [*under, text]


def _torn(start: tuple[float, float], end: tuple[float, float]) -> Polyline:
    """Draw a board broken off: a zigzag between two corners."""
    (x1, y1), (x2, y2) = start, end
    parts = [(0.0, 0.0), (0.35, 0.0), (0.45, 5.0), (0.55, -5.0), (0.65, 0.0), (1.0, 0.0)]
    return Polyline(tuple((x1 + part * (x2 - x1) + aside, y1 + part * (y2 - y1)) for part, aside in parts), weight=1.2)


def _broken(x: float, base: float) -> list[Mark]:
    """Draw a break within a board: two zigzags with white between."""
    gap = 4.0
    white = Rect(x - gap, base - _THICK - 2, 2 * gap, _THICK + 1, weight=0, fill="paper")
    return [white, *(_torn((x + aside, base - _THICK - 3), (x + aside, base - 1)) for aside in (-gap, gap))]
