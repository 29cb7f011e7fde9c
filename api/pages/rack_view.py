"""The rack as its pages show it: pieces in words and as a drawing, the latest change, what a form sends.

Pure: pieces and changes go in.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Final
from urllib.parse import quote

from nesting.draw.ink import Arrow, Line, Mark, Page, Rect, Text, to_svg
from nesting.lengths import show_length
from nesting.paper.words import counted, shown, together
from nesting.rack.piece import FINEST, RackPiece, piece_mapping, size_words
from nesting.rack.rack import Change

FIELDS: Final = (
    ("length", "Length, along the face grain"),
    ("width", "Width"),
    ("thickness", "Thickness as measured"),
    ("nominal", "Thickness it was sold as"),
    ("place", "Where it stands"),
    ("label", "Label"),
    ("stock", "Cut from"),
    ("origin", "Left over from"),
    ("note", "Note"),
)
"""The keys of a piece that a form asks for, in its order; unit and grain are chosen, not typed."""
NEEDED: Final = ("length", "width", "thickness")
_WIDE, _HIGH = 350.0, 170.0
_LEFT, _TOP, _LETTERS = 8.0, 34.0, 18.0
_LEAST: Final = 24.0


@dataclass(frozen=True, slots=True)
class Standing:
    """A piece in the list; ``address`` is that of its page."""

    label: str
    address: str
    size: str
    grain: str
    place: str
    origin: str


def listed(pieces: Iterable[RackPiece]) -> tuple[Standing, ...]:
    """Return the pieces as the list shows them."""
    return tuple(
        Standing(
            piece.label,
            f"/rack/{quote(piece.label, safe='')}",
            together(size_words(piece)),
            "along the length" if piece.grain else "none",
            shown(piece.place, 80),
            shown(piece.origin, 80),
        )
        for piece in pieces
    )


def change_words(change: Change) -> str:
    """Say what a change did.

    >>> change_words(Change("took R-3"))
    'took R-3'
    >>> from nesting.rack.piece import piece_from
    >>> piece = piece_from({"label": "R-1", "length": 31, "width": 9, "thickness": "1/2"})
    >>> change_words(Change("carried out: bench", (), (piece,)))
    'carried out: bench (1 piece came: R-1)'
    """
    parts = [
        f"{counted(len(pieces), 'piece')} {verb}: {', '.join(piece.label for piece in pieces[:6])}"
        + (" and more" if len(pieces) > 6 else "")
        for verb, pieces in (("came", change.given), ("left", change.taken))
        if pieces and not all(piece.label in change.words for piece in pieces)
    ]
    return shown(change.words, 200) + (f" ({'; '.join(parts)})" if parts else "")


def typed_of(piece: RackPiece) -> dict[str, str]:
    """Return a piece as the fields of a form hold it."""
    whole = piece_mapping(piece)
    return {name: str(whole[name]) for name, _ in FIELDS} | {
        "unit": piece.unit,
        "grain": "yes" if piece.grain else "no",
    }


def sent(typed: Mapping[str, str]) -> dict[str, Any]:
    """Return what a form sends as the keys of a piece; a field left empty takes its default.

    >>> sent({"length": " 31 ", "width": "9", "place": "", "grain": "no", "unit": "in"})
    {'unit': 'in', 'grain': False, 'length': '31', 'width': '9'}
    """
    keys: dict[str, Any] = {"unit": typed.get("unit") or "in", "grain": typed.get("grain") != "no"}
    return keys | {name: typed[name].strip() for name, _ in FIELDS if typed.get(name, "").strip()}


def drawn_piece(piece: RackPiece) -> str:
    """Return a piece as a drawing, its sides in proportion, its face grain an arrow; as SVG."""
    length, width = float(piece.length), float(piece.width)
    scale = min((_WIDE - _LEFT - 96) / length, _HIGH / width)
    wide, high = max(length * scale, _LEAST), max(width * scale, _LEAST)
    right, bottom = _LEFT + wide, _TOP + high
    finest = FINEST[piece.unit]
    sizes = show_length(piece.length, piece.unit, finest), show_length(piece.width, piece.unit, finest)
    marks: list[Mark] = [
        Rect(_LEFT, _TOP, wide, high, weight=2.2, dashes=(7, 4)),
        Text(_LEFT, _TOP - 12, sizes[0], _LETTERS, bold=True),
        Line(right + 8, _TOP, right + 8, bottom, weight=1),
        Text(right + 14, _TOP + high / 2 + 6, sizes[1], _LETTERS, bold=True),
    ]
    below = bottom + 12
    if piece.grain:
        marks.append(Arrow(_LEFT, below + 4, _LEFT + max(wide, 60), below + 4, weight=1.2, both=True, head=8))
        below += 14
    marks.append(Text(_LEFT, below + 14, "face grain" if piece.grain else "no face grain", _LETTERS))
    title = f"Leftover {piece.label}, {size_words(piece)}"
    return to_svg(Page(_WIDE, below + 22, title, "Not to scale beside others.", tuple(marks), "px"))
