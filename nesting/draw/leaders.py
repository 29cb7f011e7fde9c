"""Leader lines: the letter of a piece too thin to be lettered, set where there is room and led to the piece.

Equal pieces in a row share one leader with a dot in each of them and their count beside the letter.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from nesting.draw.boxes import Box, box_of, free
from nesting.draw.ink import Line, Mark, Rect, Text
from nesting.draw.lettering import SMALLEST, advance

Point = tuple[float, float]
_DOT = 2.2
_CLEAR = 1.6
_PITCH = 5.0
_IN_A_ROW = 6.0
_LONGEST = 230.0
_PATIENCE = 10
"""Runs in a row that found no spot, before the rest are given up."""
_TRIES = 120
"""Spots that are free but cannot be reached, before a run is given up: its line in the list must do."""


@dataclass(frozen=True, slots=True)
class Run:
    """Equal pieces that lie in a row, by their faces on the page."""

    letter: str
    faces: tuple[Box, ...]
    upright: bool = True


@dataclass(frozen=True, slots=True)
class Led:
    """Marks that lead letters to pieces, the room they take, their lines, and the runs for which none was found."""

    marks: tuple[Mark, ...]
    taken: tuple[Box, ...]
    lines: tuple[tuple[Point, Point], ...]
    left: tuple[Run, ...]


def runs(faces: Sequence[tuple[str, Box]]) -> tuple[Run, ...]:
    """Gather faces of one letter that follow one another, first down the page, then along it.

    >>> [len(run.faces) for run in runs([("A", Box(0, 0, 90, 2)), ("A", Box(0, 3, 90, 5)), ("B", Box(0, 6, 90, 8))])]
    [2, 1]
    """
    columns: list[list[tuple[str, Box]]] = []
    for letter, face in sorted(faces, key=lambda one: (one[0], round(one[1].left, 3), one[1].top)):
        if columns and _follows(columns[-1][-1], (letter, face), upright=True):
            columns[-1].append((letter, face))
        else:
            columns.append([(letter, face)])
    found = [Run(column[0][0], tuple(face for _, face in column)) for column in columns if len(column) > 1]
    rows: list[list[tuple[str, Box]]] = []
    lone = [column[0] for column in columns if len(column) == 1]
    for letter, face in sorted(lone, key=lambda one: (one[0], round(one[1].top, 3), one[1].left)):
        if rows and _follows(rows[-1][-1], (letter, face), upright=False):
            rows[-1].append((letter, face))
        else:
            rows.append([(letter, face)])
    return (*found, *(Run(row[0][0], tuple(face for _, face in row), upright=False) for row in rows))


def _follows(last: tuple[str, Box], face: tuple[str, Box], *, upright: bool) -> bool:
    if last[0] != face[0]:
        return False
    before, after = last[1], face[1]
    if upright:
        return abs(before.left - after.left) < 0.01 and 0 <= after.top - before.bottom + 0.01 < _IN_A_ROW
    return abs(before.top - after.top) < 0.01 and 0 <= after.left - before.right + 0.01 < _IN_A_ROW


def lead(wanted: Sequence[Run], zones: Sequence[Box], taken: Sequence[Box]) -> Led:
    """Set the letters of the runs within ``zones``, clear of what is taken and of one another.

    For each run the nearest spot is chosen whose leader crosses no lettering and no other leader; lettering set
    later keeps clear of the leaders too.
    """
    marks: list[Mark] = []
    boxes = list(taken)
    drawn: list[tuple[Point, Point]] = []
    left: list[Run] = []
    in_vain = 0
    for run in sorted(wanted, key=lambda run: (-len(run.faces), run.faces[0].top, run.faces[0].left)):
        text = run.letter if len(run.faces) == 1 else f"{len(run.faces)} × {run.letter}"
        found = _spot(run, text, zones, boxes, drawn) if in_vain < _PATIENCE else None
        if found is None:
            left.append(run)
            in_vain += 1
            continue
        in_vain = 0
        spot, spine, target = found
        boxes.append(spot)
        lines = [(spine[0], target)]
        if len(spine) > 1:
            lines.append((spine[0], spine[-1]))
        drawn += lines
        x, _ = spot.centre
        marks.append(Rect(spot.left, spot.top, spot.width, spot.height, weight=0, fill="paper"))
        marks += [Line(*start, *end, weight=0.6) for start, end in lines]
        marks += [Rect(px - _DOT / 2, py - _DOT / 2, _DOT, _DOT, weight=0, fill="ink") for px, py in spine]
        marks.append(Text(x, spot.bottom - _CLEAR - 0.02 * SMALLEST, text, SMALLEST, bold=True, anchor="middle"))
    return Led(tuple(marks), tuple(boxes[len(taken) :]), tuple(drawn), tuple(left))


def _spot(
    run: Run, text: str, zones: Sequence[Box], boxes: Sequence[Box], drawn: Sequence[tuple[Point, Point]]
) -> tuple[Box, list[Point], Point] | None:
    size = box_of(Text(0, 0, text, SMALLEST, bold=True))
    width, height = advance(text, SMALLEST, bold=True) + 2 * _CLEAR, size.height + 2 * _CLEAR
    spines = list(_spines(run))
    near = [spine[0] for spine in spines] + [spine[-1] for spine in spines]
    places = []
    for zone in zones:
        if zone.width < width or zone.height < height:
            continue
        for left in _grid(zone.left, zone.right - width, [x - width / 2 for x, _ in near]):
            for top in _grid(zone.top, zone.bottom - height, [y - height / 2 for _, y in near]):
                spot = Box(left, top, left + width, top + height)
                x, y = spot.centre
                places.append((min(math.hypot(x - px, y - py) for px, py in near), spot))
    places.sort(key=lambda place: place[0])
    tries = 0
    for far, spot in places:
        if far > _LONGEST or tries >= _TRIES:
            break
        if not free(spot, boxes) or any(spot.crossed(*line) for line in drawn):
            continue
        tries += 1
        for spine in sorted(spines, key=lambda spine: min(_gap(spot, point) for point in (spine[0], spine[-1]))):
            ends = sorted((spine, spine[::-1]), key=lambda points: _gap(spot, points[0]))
            for points in ends:
                target = _edge(spot, points[0])
                lines = [(points[0], target), (points[0], points[-1])]
                if any(box.crossed(*line) for line in lines for box in boxes):
                    continue
                if any(_cross(line, other) for line in lines for other in drawn):
                    continue
                return spot, points, target
    return None


def _spines(run: Run) -> Iterator[list[Point]]:
    """Yield the lines through all faces of a run that a leader may start from."""
    first = run.faces[0]
    if run.upright:
        inset = min(5.0, first.width / 2)
        for x in (first.right - inset, first.left + inset, first.centre[0]):
            yield [(x, face.centre[1]) for face in run.faces]
    else:
        inset = min(5.0, first.height / 2)
        for y in (first.top + inset, first.bottom - inset, first.centre[1]):
            yield [(face.centre[0], y) for face in run.faces]


def _grid(low: float, high: float, wished: list[float]) -> list[float]:
    count = int((high - low) // _PITCH)
    return [low + step * _PITCH for step in range(count + 1)] + [wish for wish in wished if low <= wish <= high]


def _edge(spot: Box, point: Point) -> Point:
    return min(max(point[0], spot.left), spot.right), min(max(point[1], spot.top), spot.bottom)


def _gap(spot: Box, point: Point) -> float:
    return math.dist(_edge(spot, point), point)


def _cross(one: tuple[Point, Point], other: tuple[Point, Point]) -> bool:
    def side(start: Point, end: Point, point: Point) -> float:
        return (end[0] - start[0]) * (point[1] - start[1]) - (end[1] - start[1]) * (point[0] - start[0])

    return side(*one, other[0]) * side(*one, other[1]) < 0 and side(*other, one[0]) * side(*other, one[1]) < 0
