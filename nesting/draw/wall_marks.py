"""What is drawn of a wall: studs, cleats with their joints and screws, keep-outs, holders in front of them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from nesting.draw.boxes import Box, box_of, free
from nesting.draw.ink import Hatch, Line, Mark, Rect, Text, box
from nesting.draw.lettering import LEADING, SMALLEST, advance, clean, wrapped
from nesting.draw.subject import Rule
from nesting.draw.wall_view import View

_OUTLINE = 1.5
_EDGE = 0.9
_JOINT = 2.0
_HIDDEN = (2.0, 1.6)
_SCREW = 2.2
_STUD_DASH = (5.0, 3.0)


def studs(view: View) -> Iterator[Mark]:
    """Draw the studs behind the wall: edges dashed, centres as a fine chain line."""
    if view.wall.studs is None:
        return
    half = view.wall.studs.width / 2
    for centre in view.wall.studs.centres:
        for edge in (max(centre - half, 0), min(centre + half, view.width)):
            x = view.at_x(edge)
            yield Line(x, view.y, x, view.bottom, weight=0.35, dashes=_STUD_DASH)


def pieces(view: View) -> Iterator[Mark]:
    """Draw the pieces of every row, a heavy stroke at each joint."""
    for row in view.wall.rows:
        for piece in row.pieces:
            face = view.piece(row, piece)
            yield Rect(face.left, face.top, face.width, face.height, weight=_EDGE, fill="paper")
    for row in view.wall.rows:
        for before, after in pairwise(row.pieces):
            if abs(before.x + before.length - after.x) < 1e-6:
                face = view.piece(row, after)
                yield Line(face.left, face.top - 1.5, face.left, face.bottom + 1.5, weight=_JOINT)


def screws(view: View) -> list[Line]:
    """Return a dot for every screw: at a joint one for each piece, on its own side of the stud's centre."""
    places = (0.5,) if view.wall.per_stud == 1 else (0.3, 0.7)
    dots = []
    for row in view.wall.rows:
        for piece in row.pieces:
            face = view.piece(row, piece)
            for stud in piece.studs:
                x = max(face.left + 2.6, min(view.at_x(stud), face.right - 2.6))
                for place in places:
                    y = face.bottom - place * face.height
                    dots.append(Line(x, y, x, y, weight=_SCREW, dots=True))
    return dots


def covered(dots: Sequence[Line]) -> list[Box]:
    """Return what the dots of screws cover."""
    return [Box(dot.x1 - 1.5, dot.y1 - 1.5, dot.x1 + 1.5, dot.y1 + 1.5) for dot in dots]


def keepouts(view: View) -> Iterator[Mark]:
    """Draw what stays free: hatched, its clearance dotted."""
    for keepout in view.wall.keepouts:
        around, face = view.keepout(keepout, grown=True), view.keepout(keepout, grown=False)
        if keepout.clearance:
            yield Rect(around.left, around.top, around.width, around.height, weight=0.7, dashes=(0.8, 2.2))
        yield Rect(face.left, face.top, face.width, face.height, weight=0.9, fill="paper")
        yield Hatch(box(face.left, face.top, face.width, face.height), spacing=4.5, weight=0.35)


def keepout_names(view: View, keys: Sequence[str], dots: Sequence[Box], taken: list[Box]) -> Iterator[Mark]:
    """Letter every keep-out: its name within it, else its key within or beside it, clear of the screws."""
    areas = [view.keepout(keepout, grown=True) for keepout in view.wall.keepouts]
    for key, keepout, around in zip(keys, view.wall.keepouts, areas, strict=True):
        face = view.keepout(keepout, grown=False)
        lines = _fitting(clean(keepout.name), face)
        wide = advance(key, SMALLEST, bold=True) / 2 + 2
        within = bool(lines) or (2 * wide <= face.width and face.height >= SMALLEST)
        if within and free(_room(lines or [key], face.centre), taken):
            yield from _set(lines or [key], face.centre, taken, bold=not lines)
            continue
        beside = [
            (face.centre[0], around.bottom + 6),
            (face.centre[0], around.top - 6),
            (around.right + wide, face.centre[1]),
            (around.left - wide, face.centre[1]),
        ]
        for x, y in beside:
            middle = min(max(x, view.x + wide), view.right - wide), y  # clear of the row numbers beside the wall
            here = Box(middle[0] - wide, middle[1] - 5, middle[0] + wide, middle[1] + 5)
            if free(here, taken) and free(here, areas) and (free(here, dots) or (x, y) == beside[-1]):
                yield from _set([key], middle, taken, bold=True)
                break
    taken += areas


def _room(lines: Sequence[str], middle: tuple[float, float]) -> Box:
    """Return what lines set round a place cover at most."""
    wide = max(advance(line, SMALLEST, bold=True) for line in lines) / 2 + 1
    high = len(lines) * SMALLEST * LEADING / 2 + 1
    return Box(middle[0] - wide, middle[1] - high, middle[0] + wide, middle[1] + high)


def _fitting(name: str, face: Box) -> list[str]:
    """Return a name broken into lines that fit a face; none where it does not fit."""
    room, high = face.width - 5, face.height - 3
    if any(advance(word, SMALLEST) > room for word in name.split()):
        return []
    lines = wrapped(name, room, SMALLEST)
    return lines if len(lines) * SMALLEST * LEADING <= high else []


def _set(lines: Sequence[str], middle: tuple[float, float], taken: list[Box], *, bold: bool) -> Iterator[Mark]:
    """Set lines round a place on white ground."""
    step = SMALLEST * LEADING
    base = middle[1] + 3.2 - (len(lines) - 1) * step / 2
    texts = [
        Text(middle[0], base + rank * step, line, SMALLEST, bold=bold, anchor="middle")
        for rank, line in enumerate(lines)
    ]
    for text in texts:
        here = box_of(text).grown(1.0)
        taken.append(here)
        yield Rect(here.left, here.top, here.width, here.height, weight=0, fill="paper")
    yield from texts


def holders(view: View) -> Iterator[Mark]:
    """Draw the holders in front of the cleats: a heavy outline, what is behind it in fine dashes."""
    for hung in view.wall.holders:
        face = view.holder(hung)
        if face is not None:
            yield Rect(face.left, face.top, face.width, face.height, weight=_OUTLINE, fill="paper")
            yield from _hidden(view, face)


def holder_names(view: View, keys: Sequence[str], dots: Sequence[Box], taken: list[Box]) -> Iterator[Mark]:
    """Letter every holder with its key and its name, or its key alone, clear of the screws where it can be."""
    for key, hung in zip(keys, view.wall.holders, strict=True):
        face = view.holder(hung)
        if face is None:
            continue
        lines = _fitting(f"{key} {clean(hung.holder)}", face)
        bold = not lines
        lines = lines or [key]
        wide = max(advance(line, SMALLEST, bold=bold) for line in lines) / 2 + 1.5
        high = len(lines) * SMALLEST * LEADING / 2
        yield from _set(lines, _clear(face, wide, high, dots), taken, bold=bold)
        taken.append(face.grown(1.0))


def _clear(face: Box, wide: float, high: float, dots: Sequence[Box]) -> tuple[float, float]:
    """Return where a label stands clear of the screws within a face, the nearest place to its middle."""
    middle, across = face.centre
    places = [
        (middle + right * max(face.width / 2 - wide - 2, 0) / 4, across + down * max(face.height / 2 - high - 1, 0) / 4)
        for right in range(-4, 5)
        for down in range(-4, 5)
    ]
    places.sort(key=lambda place: (abs(place[0] - middle) + abs(place[1] - across), place))
    for x, y in places:
        if free(Box(x - wide, y - high, x + wide, y + high), dots):
            return x, y
    return middle, across


def _hidden(view: View, face: Box) -> Iterator[Mark]:
    for row in view.wall.rows:
        for piece in row.pieces:
            cleat = view.piece(row, piece)
            left, right = max(cleat.left, face.left), min(cleat.right, face.right)
            if left >= right:
                continue
            for level in (cleat.top, cleat.bottom):
                if face.top + 1 < level < face.bottom - 1:
                    yield Line(left, level, right, level, weight=0.3, dashes=_HIDDEN)
            for end in (cleat.left, cleat.right):
                top, low = max(cleat.top, face.top), min(cleat.bottom, face.bottom)
                if face.left + 1 < end < face.right - 1 and low > top:
                    yield Line(end, top, end, low, weight=0.6, dashes=_HIDDEN)


def piece_labels(view: View, rule: Rule, taken: list[Box]) -> tuple[list[Mark], bool]:
    """Letter the pieces between their screws where there is room; tell whether all of them are lettered."""
    marks: list[Mark] = []
    whole = True
    for row in view.wall.rows:
        for piece in row.pieces:
            face = view.piece(row, piece)
            letter = piece.part.rpartition(" ")[2]
            text = _place(face, [view.at_x(stud) for stud in piece.studs], letter, rule.length(piece.length), taken)
            if text is None:
                whole = False
                continue
            here = box_of(text).grown(0.8)
            taken.append(here)
            if here.height > face.height - 1.2:
                marks.append(Rect(here.left, here.top, here.width, here.height, weight=0, fill="paper"))
            marks.append(text)
    return marks, whole


def _place(face: Box, studs: Sequence[float], letter: str, length: str, taken: Sequence[Box]) -> Text | None:
    """Return where a piece's letter and length stand: between two screws, the nearest to its middle first."""
    ends = [face.left, *studs, face.right]
    gaps = [(low + 3.5, high - 3.5) for low, high in pairwise(ends)]
    gaps.sort(key=lambda gap: abs(gap[0] + gap[1] - face.left - face.right))
    base = face.centre[1] + 0.36 * SMALLEST
    for words in (f"{letter} {length}", letter):
        for low, high in gaps:
            text = Text((low + high) / 2, base, words, SMALLEST, anchor="middle")
            here = box_of(text)
            if here.left >= low and here.right <= high and free(here.grown(0.8), taken):
                return text
    return None
