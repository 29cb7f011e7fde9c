"""The label of a piece in the rack: what it is, its grain, and a QR code that opens its page.

The code is a QR code Model 2 (ISO/IEC 18004) at error correction level M, with the four modules of quiet around it
that the standard asks for. The only module that knows segno.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final
from urllib.parse import quote

from nesting.draw.ink import Arrow, Group, Line, Mark, Page, Rect, Text
from nesting.draw.lettering import advance, clean, shortened
from nesting.rack.piece import RackPiece, size_words

WIDTH: Final = 252.0
HEIGHT: Final = 108.0
"""Points: 89 mm by 38 mm, an address label."""
_EDGE: Final = 8.0
_CODE: Final = HEIGHT - 2 * 4.0
_QUIET: Final = 4
"""Modules."""
_LONGEST_ADDRESS: Final = 500


def address_of(piece: RackPiece, base: str) -> str:
    """Return the address of a piece's page below ``base``, the address of a service.

    >>> from nesting.rack.piece import piece_from
    >>> piece = piece_from({"label": "R-3", "length": 31, "width": 9, "thickness": "1/2"})
    >>> address_of(piece, "http://bench.local:8000/")
    'http://bench.local:8000/rack/R-3'
    """
    return f"{base.rstrip('/')}/rack/{quote(piece.label, safe='')}"


def label(piece: RackPiece, base: str | None = None) -> Page:
    """Return the label of a piece; without the address of a service the code says what the piece is."""
    says = address_of(piece, base) if base else f"{piece.label}: {size_words(piece)}"
    left = _EDGE + _CODE
    room = WIDTH - left - _EDGE
    marks: list[Mark] = [
        Rect(0.5, 0.5, WIDTH - 1, HEIGHT - 1, weight=0.5),
        Group(tuple(code(says, 4.0, 4.0, _CODE)), title="QR code", desc=says),
        *_head(piece.label, left, room),
        Line(left, 38, WIDTH - _EDGE, 38, weight=1),
    ]
    dimensions = size_words(piece)
    at = next((size for size in (13.0, 12.0, 11.0, 10.0) if _fits(dimensions, room, size)), 9.0)
    marks.append(Text(left, 52, shortened(dimensions, room, at, bold=True), at, bold=True))
    if piece.grain:
        marks += [Text(left, 66, "grain", 10), Arrow(left + 32, 62.5, left + 78, 62.5, both=True)]
        marks.append(Text(left + 84, 66, "first size", 10))
    else:
        marks.append(Text(left, 66, "no face grain", 10))
    lines = [piece.stock, f"from {piece.origin}" if piece.origin else "", piece.place or piece.note]
    for y, line in zip((79.0, 90.5, 102.0), [line for line in lines if line], strict=False):
        marks.append(Text(left, y, shortened(clean(line), room, 9.5), 9.5))
    desc = f"{dimensions}; {'its grain runs along the first size' if piece.grain else 'without a face grain'}. {says}"
    return Page(WIDTH, HEIGHT, f"Label {piece.label}", desc, tuple(marks))


def code(says: str, x: float, y: float, side: float) -> Iterator[Rect]:
    """Yield the dark modules of a QR code, those beside one another in one rectangle; ``side`` holds the quiet too.

    >>> len(list(code("R-3", 0, 0, 29))) > 50, next(code("R-3", 0, 0, 29))
    (True, Rect(x=4.0, y=4.0, width=7.0, height=1.0, weight=0, dashes=(), fill='ink'))
    """
    import segno

    matrix = segno.make(says[:_LONGEST_ADDRESS], error="m", micro=False, boost_error=False).matrix
    module = side / (len(matrix) + 2 * _QUIET)
    for at, row in enumerate(matrix):
        begun: int | None = None
        for column, dark in enumerate([*row, 0]):
            if dark and begun is None:
                begun = column
            elif not dark and begun is not None:
                yield Rect(
                    x + (begun + _QUIET) * module, y + (at + _QUIET) * module, (column - begun) * module, module,
                    weight=0, fill="ink",
                )  # fmt: skip
                begun = None


def _head(text: str, left: float, room: float) -> Iterator[Text]:
    """Yield the label itself, whole: on one line, or on two where it is long."""
    for size in (30.0, 24.0, 19.0, 15.0):
        if _fits(text, room, size):
            yield Text(left, 31, text, size, bold=True)
            return
    half = (len(text) + 1) // 2
    for y, part in ((19, text[:half]), (33, text[half:])):
        yield Text(left, y, part, 13, bold=True)


def _fits(text: str, room: float, size: float) -> bool:
    return advance(text, size, bold=True) <= room
