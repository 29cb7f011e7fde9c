"""Numbers of the cuts: tabs in the margin where a cut starts at the edge, small ones on the line elsewhere.

The tab nearest to the sheet points at the slot of its cut; where cuts lie closer than tabs are high, the tabs
move apart, in two ranks if need be, and a line leads to the cut.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from nesting.draw.boxes import Box, box_of, free
from nesting.draw.ink import Line, Mark, Polyline, Rect, Text
from nesting.draw.lettering import advance

SIZE = 9.5
_HIGH = 12.0
_POINT = 5.0
_APART = 2.4


@dataclass(frozen=True, slots=True)
class Numbered:
    """A cut's number and where its slot meets the margin, in points along it; ``depth`` as of a cut on the face."""

    number: int
    at: float
    depth: int


@dataclass(frozen=True, slots=True)
class Margin:
    """Tabs along one margin: each number with its place along the margin and its rank, nearest rank first."""

    tabs: tuple[tuple[Numbered, float, int], ...]
    ranks: int
    breadth: float
    """Room the tabs take across the margin."""


def in_margin(cuts: Sequence[Numbered], low: float, high: float, *, upright: bool) -> Margin:
    """Share out a margin from ``low`` to ``high`` among cuts; the first ones have precedence.

    Where not all cuts of one depth have room, every second, third … of them is numbered.

    ``upright``: the margin beside the sheet, where tabs need their height; else the one above it, where they
    need their width.
    """
    wide = max((advance(str(cut.number), SIZE, bold=True) for cut in cuts), default=0.0) + 6.0
    pitch = (_HIGH if upright else wide) + _APART
    across = (wide if upright else _HIGH) + _POINT
    ranks = 1 if len(cuts) * pitch <= high - low + pitch else 2
    room = max(int((high - low + pitch) / pitch * ranks), 1)
    shown: list[Numbered] = []
    for depth in sorted({cut.depth for cut in cuts}):
        level = sorted((cut for cut in cuts if cut.depth == depth), key=lambda cut: cut.at)
        left = room - len(shown)
        shown += level if len(level) <= left else level[:: math.ceil(len(level) / left)] if left else []
    shown.sort(key=lambda cut: cut.at)
    places = spread([cut.at for cut in shown], pitch / ranks, low, high)
    tabs = tuple((cut, place, index % ranks) for index, (cut, place) in enumerate(zip(shown, places, strict=True)))
    return Margin(tabs, ranks, ranks * (across + 3.0) if tabs else 0.0)


def spread(places: Sequence[float], pitch: float, low: float, high: float) -> list[float]:
    """Move sorted places apart to at least ``pitch``, as little as can be in sum of squares, within low and high.

    Pool adjacent violators (Ayer et al., 1955) on the places less their rank times the pitch.

    >>> spread([10, 11, 40], 4, 0, 100)
    [8.5, 12.5, 40.0]
    """
    blocks: list[list[float]] = []
    for rank, place in enumerate(places):
        blocks.append([place - rank * pitch])
        while len(blocks) > 1 and _mean(blocks[-2]) > _mean(blocks[-1]):
            last = blocks.pop()
            blocks[-1] += last
    levels = [_mean(block) for block in blocks for _ in block]
    top = high - (len(places) - 1) * pitch
    return [min(max(level, low), max(top, low)) + rank * pitch for rank, level in enumerate(levels)]


def _mean(values: list[float]) -> float:
    return sum(values) / len(values)


def draw_margin(margin: Margin, sheet: float, clear: float, *, upright: bool) -> tuple[tuple[Mark, ...], list[Box]]:
    """Draw the tabs of a margin whose sheet edge lies at ``sheet``, leaving ``clear`` points beside the edge.

    Returns the marks and what the tabs cover.
    """
    wide = max((advance(str(cut.number), SIZE, bold=True) for cut, _, _ in margin.tabs), default=0.0) + 6.0
    across = (wide if upright else _HIGH) + _POINT
    lines: list[Mark] = []
    tabs: list[Mark] = []
    boxes: list[Box] = []
    for cut, place, rank in margin.tabs:
        tip = sheet - clear - 3.0 - rank * (across + 3.0)
        bend = sheet - clear - 2.0
        path = ((tip, place), (bend if rank == 0 else bend - 2, place), (sheet - 1.0, cut.at), (sheet, cut.at))
        back, shoulder = tip - across, tip - _POINT
        half = _HIGH / 2 if upright else wide / 2
        outline = (
            (back, place - half),
            (shoulder, place - half),
            (tip, place),
            (shoulder, place + half),
            (back, place + half),
        )
        turn = (lambda point: point) if upright else (lambda point: (point[1], point[0]))
        boxes.append(Box(*turn((back, place - half)), *turn((tip, place + half))))
        middle = (back + shoulder) / 2
        lines.append(Polyline(tuple(turn(point) for point in path), weight=0.6))
        tabs.append(Polyline(tuple(turn(point) for point in outline), weight=0, closed=True, fill="ink"))
        x, y = turn((middle + 0.8, place))
        tabs.append(Text(x, y + 0.36 * SIZE, str(cut.number), SIZE, bold=True, anchor="middle", white=True))
    return (*lines, *tabs), boxes


_SPOTS = (0.5, 0.12, 0.88, 0.3, 0.7, 0.06, 0.94, 0.2, 0.8, 0.4, 0.6)
ON_THE_LINE = 9.0
_AMPLE = 8.0
"""A number stands beside its line only in a piece this many times as broad as half the number."""


def on_line(
    number: int,
    slot: tuple[float, float, float],
    within: Box,
    faces: Sequence[Box],
    taken: Sequence[Box],
    lines: Sequence[tuple[tuple[float, float], tuple[float, float]]],
    *,
    upright: bool,
) -> tuple[tuple[Mark, ...], Box] | None:
    """Set a number on its slot ``(at, start, end)``, where it covers no lettering, leader or third piece.

    ``None`` where there is no such place.
    """
    at, start, end = slot
    text = Text(0, 0, str(number), ON_THE_LINE, bold=True, anchor="middle")
    half_wide, half_high = advance(text.text, ON_THE_LINE, bold=True) / 2 + 2.2, 0.375 * ON_THE_LINE + 1.8
    along, across = (half_high, half_wide) if upright else (half_wide, half_high)
    first, last = sorted((start, end))
    if last - first < 2 * along + 1:
        return None
    room = last - first - 2 * along - 1
    reach = 2 * across + 1
    strip = Box(at - reach, first, at + reach, last) if upright else Box(first, at - reach, last, at + reach)
    near = [face for face in faces if face.meets(strip)]
    for aside in (0.0, -across - 0.5, across + 0.5):
        for part in _SPOTS:
            middle = first + along + 0.5 + part * room
            x, y = (at + aside, middle) if upright else (middle, at + aside)
            spot = Box(x - half_wide, y - half_high, x + half_wide, y + half_high)
            touched = [face for face in near if face.meets(spot)]
            inside = all(
                (face.left <= spot.left or face.left >= at - 3) and (face.right >= spot.right or face.right <= at + 3)
                if upright
                else (face.top <= spot.top or face.top >= at - 3)
                and (face.bottom >= spot.bottom or face.bottom <= at + 3)
                for face in touched
            )
            if aside and any((face.width if upright else face.height) < _AMPLE * across for face in touched):
                continue
            if len(touched) > 2 or not inside or any(spot.crossed(*line) for line in lines):
                continue
            if within.holds(spot) and free(spot, taken):
                covered = box_of(text)
                frame = Rect(spot.left, spot.top, spot.width, spot.height, weight=0.7, fill="paper")
                y_text = y - (covered.top + covered.bottom) / 2
                return (frame, Text(x, y_text, text.text, ON_THE_LINE, bold=True, anchor="middle")), spot
    return None


def slash(x: float, y: float, reach: float, *, rising: bool) -> Line:
    """Draw the lean of a bevel at the end of its strip, seen from that end."""
    up = reach if rising else -reach
    return Line(x - reach, y + up, x + reach, y - up, weight=1.6)
