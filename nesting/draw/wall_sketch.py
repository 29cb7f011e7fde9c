"""A wall drawn small, beside a form on a screen: no tables, few letters, each large enough for a phone."""

from __future__ import annotations

import math
from itertools import islice
from typing import Final

from nesting.draw import wall_marks
from nesting.draw.boxes import Box
from nesting.draw.ink import Arrow, Line, Mark, Page, Rect, Text, to_svg
from nesting.draw.lettering import advance, clean
from nesting.draw.numbers import spread
from nesting.draw.subject import Rule
from nesting.draw.wall_margins import floor
from nesting.draw.wall_view import View, view_of
from nesting.plan_wall import WallDocument
from nesting.wall.fitting import letters

WIDTH: Final = 440.0
HIGHEST: Final = 520.0
"""Pixels; the drawing is scaled to the room it has."""
LETTER: Final = 12.0
MOST_SCREWS: Final = 800
"""More of them would be a grey veil, and a heavy page."""
_PITCH: Final = 13.5
_EDGE: Final = 6.0
_BELOW: Final = 26.0


def draw_wall_sketch(name: str, wall: WallDocument, rule: Rule) -> str:
    """Return a wall as SVG for a screen. Raises ``ValueError`` where the wall does not say how large it is."""
    return to_svg(wall_sketch(name, wall, rule))


def wall_sketch(name: str, wall: WallDocument, rule: Rule) -> Page:
    """Return a wall in our own marks, in pixels: rows with their heights above the floor, keys on the holders."""
    if not wall.width or not wall.height:
        raise ValueError("the plan does not say how large its wall is")
    high = [rule.length(row.y + wall.floor_gap) for row in wall.rows]
    left = max((advance(text, LETTER) for text in high), default=0.0) + 16
    across = WIDTH - left - 2 * _EDGE - 18
    points = min(across / wall.width, HIGHEST / wall.height)
    spare = (across - wall.width * points) / 2
    view = view_of(wall, _EDGE + left + spare, _EDGE + 8, points)
    marks: list[Mark] = [
        *floor(view),
        *wall_marks.studs(view),
        *wall_marks.pieces(view),
        Rect(view.x, view.y, view.right - view.x, view.bottom - view.y, weight=1.4),
        *wall_marks.keepouts(view),
        *wall_marks.holders(view),
        *_screws(view),
        *_heights(view, high),
        *_keys(view),
        *_width(view, rule),
    ]
    size = rule.size((wall.width, wall.height), " by ")
    unit = {"in": "inches", "mm": "millimetres"}[rule.unit]
    title = f"Wall of {clean(name)}, {size} {unit}"
    return Page(WIDTH, math.ceil(view.floor + _BELOW), title, _described(wall, high), tuple(marks), "px")


def holder_keys(wall: WallDocument) -> list[tuple[str, str]]:
    """Return key and name of every holder that hangs, in the order of the drawing.

    >>> holder_keys(WallDocument(rows=()))
    []
    """
    return [(key, hung.holder) for key, hung in zip(letters_of(wall), wall.holders, strict=True)]


def letters_of(wall: WallDocument) -> list[str]:
    """Return a letter for every copy of a holder that hangs."""
    return [letter.upper() for letter in islice(letters(), len(wall.holders))]


def _screws(view: View) -> list[Line]:
    dots = wall_marks.screws(view)
    return dots if len(dots) <= MOST_SCREWS else []


def _heights(view: View, texts: list[str]) -> list[Mark]:
    """Letter each row's height above the floor, as far apart as letters need."""
    most = max(1, int((view.floor - view.y + 8) / _PITCH))
    every = math.ceil(len(texts) / most) if texts else 1
    levels = [(view.at_y(row.y), text) for row, text in zip(view.wall.rows, texts, strict=True)][::every]
    places = spread([level for level, _ in levels], _PITCH, view.y, view.floor + 8) if levels else []
    marks: list[Mark] = []
    for (level, text), place in zip(levels, places, strict=True):
        marks.append(Line(view.x - 4, level, view.x - 10, place, weight=0.6))
        marks.append(Text(view.x - 12, place + 0.36 * LETTER, text, LETTER, anchor="end"))
    return marks


def _keys(view: View) -> list[Mark]:
    marks: list[Mark] = []
    for key, hung in zip(letters_of(view.wall), view.wall.holders, strict=True):
        face = view.holder(hung)
        if face is None:
            continue
        whole = f"{key} {clean(hung.holder)}"
        words = whole if advance(whole, LETTER, bold=True) < face.width - 8 and face.height > LETTER + 3 else key
        wide = advance(words, LETTER, bold=True) / 2 + 2
        middle = face.centre
        here = Box(middle[0] - wide, middle[1] - 8, middle[0] + wide, middle[1] + 8)
        marks.append(Rect(here.left, here.top, here.width, here.height, weight=0, fill="paper"))
        marks.append(Text(middle[0], middle[1] + 0.36 * LETTER, words, LETTER, bold=True, anchor="middle"))
    return marks


def _width(view: View, rule: Rule) -> list[Mark]:
    text, y = rule.length(view.width), view.floor + 14
    middle, wide = (view.x + view.right) / 2, advance(text, LETTER) / 2 + 4
    marks: list[Mark] = [Text(middle, y + 0.36 * LETTER, text, LETTER, anchor="middle")]
    if view.right - view.x > 2 * wide + 20:
        marks += [Arrow(middle - wide, y, view.x, y), Arrow(middle + wide, y, view.right, y)]
    return marks


def _described(wall: WallDocument, high: list[str]) -> str:
    says = [f"{len(wall.rows)} rows, lower edges {', '.join(high)} above the floor." if wall.rows else "No rows."]
    says += [f"{clean(hung.holder)} hangs on row {hung.row}." for hung in wall.holders]
    says += [f"{clean(one.name)} stays free." for one in wall.keepouts]
    return " ".join(says)
