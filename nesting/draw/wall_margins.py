"""Dimensions around a wall: level lines with their heights above the floor, stud centres, overall sizes."""

from __future__ import annotations

from collections.abc import Iterator

from nesting.draw.ink import Arrow, Line, Mark, Polyline, Text
from nesting.draw.lettering import SMALLEST, advance
from nesting.draw.numbers import spread
from nesting.draw.subject import Rule
from nesting.draw.wall_view import View

PITCH = 10.6
_CHAIN = (6.0, 1.5, 1.0, 1.5)
_LEADER = 12.0


def heights(view: View, rule: Rule) -> list[tuple[float, str]]:
    """Return each row's lower edge on the page and its height above the floor, from the top."""
    return [(view.at_y(row.y), rule.length(row.y + view.wall.floor_gap)) for row in view.wall.rows]


def left_room(texts: list[str]) -> float:
    """Return the room that the heights take beside the wall."""
    return max((advance(text, SMALLEST) for text in texts), default=0.0) + _LEADER + 6


def right_room(rows: int) -> float:
    """Return the room that the numbers of the rows take beside the wall."""
    return _LEADER + 3 + advance(str(rows), SMALLEST, bold=True) + 10


def level_lines(view: View, rule: Rule) -> Iterator[Mark]:
    """Draw a level line at every row's lower edge, its height above the floor beside it, its number at the right."""
    levels = heights(view, rule)
    limits = view.y - 4, view.floor + 6
    places = spread([y for y, _ in levels], PITCH, *limits) if levels else []
    for number, ((level, text), place) in enumerate(zip(levels, places, strict=True), start=1):
        yield Line(view.x - 5, level, view.right + 5, level, weight=0.4, dashes=_CHAIN)
        yield Polyline(((view.x - 5, level), (view.x - _LEADER, place), (view.x - _LEADER - 2, place)), weight=0.4)
        yield Text(view.x - _LEADER - 4, place + 3.2, text, SMALLEST, anchor="end")
        yield Polyline(((view.right + 5, level), (view.right + _LEADER, place)), weight=0.4)
        yield Text(view.right + _LEADER + 3, place + 3.2, str(number), SMALLEST, bold=True)


def floor(view: View) -> Iterator[Mark]:
    """Draw the floor, and a break where the gap above it is shown shorter than it is."""
    y = view.floor
    yield Line(view.x - 8, y, view.right + 8, y, weight=1.6)
    if view.wall.floor_gap == 0:
        return
    if view.broken:
        middle = (view.bottom + y) / 2
        for x in (view.x, view.right):
            yield Polyline(
                ((x, view.bottom), (x, middle - 4), (x - 4, middle - 1), (x + 4, middle + 1), (x, middle + 4), (x, y)),
                weight=0.5,
            )
    else:
        for x in (view.x, view.right):
            yield Line(x, view.bottom, x, y, weight=0.5)


def stud_places(view: View, rule: Rule) -> tuple[list[tuple[float, float, str]], bool, float]:
    """Return each stud's place, that of its label and its text; whether labels are turned; and their depth."""
    if view.wall.studs is None:
        return [], False, 0.0
    found = [(view.at_x(centre), rule.length(centre)) for centre in view.wall.studs.centres]
    widest = max((advance(text, SMALLEST) for _, text in found), default=0.0)
    room = view.right - view.x
    turned = (widest + 5) * len(found) > room
    pitch = PITCH if turned else widest + 5
    if turned and pitch * len(found) > room:
        every = int(pitch * len(found) / room) + 1
        found = found[::every]
    places = spread([x for x, _ in found], pitch, view.x - 4, view.right + 4)
    labelled = [(x, place, text) for (x, text), place in zip(found, places, strict=True)]
    return labelled, turned, widest if turned else SMALLEST


def stud_labels(view: View, rule: Rule) -> tuple[list[Mark], float]:
    """Draw the distance of every stud's centre from the left edge below the floor; return the lower end too."""
    labelled, turned, deep = stud_places(view, rule)
    top = view.floor
    marks: list[Mark] = []
    for x, place, text in labelled:
        marks.append(Polyline(((x, view.bottom), (x, top + 3), (place, top + 9), (place, top + 11)), weight=0.4))
        if turned:
            marks.append(Text(place + 3.2, top + 13 + advance(text, SMALLEST), text, SMALLEST, turned=True))
        else:
            marks.append(Text(place, top + 21, text, SMALLEST, anchor="middle"))
    return marks, top + 13 + deep


def overall(view: View, rule: Rule, below: float, beside: float) -> Iterator[Mark]:
    """Draw the width of the area at a height below it, and its height and floor gap at a place beside it."""
    yield from _along(view.x, view.right, below, rule.length(view.width))
    for x in (view.x, view.right):
        yield Line(x, below - 6, x, below + 3, weight=0.3)
    yield from _up(view.y, view.bottom, beside, rule.length(view.height))
    for y in (view.y, view.bottom):
        yield Line(view.right + 2, y, beside + 3, y, weight=0.3)
    if view.wall.floor_gap:
        text = rule.length(view.wall.floor_gap)
        if view.floor - view.bottom > advance(text, SMALLEST) + 16:
            yield from _up(view.bottom, view.floor, beside, text)
        else:
            yield Line(beside, view.bottom, beside, view.floor + 4, weight=0.5)
            yield Text(beside, view.floor + 13, text, SMALLEST, anchor="middle")
        yield Line(view.right + 8, view.floor, beside + 3, view.floor, weight=0.3)


def _along(left: float, right: float, y: float, text: str) -> Iterator[Mark]:
    wide, middle = advance(text, SMALLEST) / 2 + 3, (left + right) / 2
    yield Arrow(middle - wide, y, left, y, weight=0.5)
    yield Arrow(middle + wide, y, right, y, weight=0.5)
    yield Text(middle, y + 3.2, text, SMALLEST, anchor="middle")


def _up(top: float, low: float, x: float, text: str) -> Iterator[Mark]:
    wide, middle = advance(text, SMALLEST) / 2 + 3, (top + low) / 2
    if middle - wide > top:
        yield Arrow(x, middle - wide, x, top, weight=0.5)
        yield Arrow(x, middle + wide, x, low, weight=0.5)
    yield Text(x + 3.2, middle + wide - 3, text, SMALLEST, turned=True)
