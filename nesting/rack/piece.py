"""One piece in the rack, with the keys it has in a rack file, in a table and over HTTP."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import Annotated, Any, Final

from pydantic import Field, PlainValidator, ValidationError, WithJsonSchema

from nesting.errors import BadInput, Fault
from nesting.lengths import MM_PER_INCH, Unit, said, show_length
from nesting.project.faults import Place, fault, faults_of, unknown_key
from nesting.project.fields import LONGEST_NAME, Length, read_name, refusal
from nesting.project.table import Table

LONGEST_LABEL: Final = 16
MOST_PIECES: Final = 1_000
"""Pieces in one rack."""
FINEST: Final[Mapping[Unit, Fraction]] = {"in": Fraction(1, 64), "mm": Fraction(1, 10)}
"""To this a size is rounded down where it comes from a plan or from another unit: nobody cuts finer from a leftover."""


def read_label(value: object) -> str:
    """Return a label as it is written; refuse what cannot stand in an address or be typed at the bench."""
    accepted = f"1 to {LONGEST_LABEL} letters and digits, - _ . between them"
    if not isinstance(value, str):
        raise refusal(f"{said(value)} is not a text", accepted)
    plain = unicodedata.normalize("NFC", value)
    read_name(plain)
    if len(plain) > LONGEST_LABEL or not all(sign.isalnum() or sign in "-_." for sign in plain):
        raise refusal(f"{said(value)} is not a label", accepted)
    if not (plain[0].isalnum() and plain[-1].isalnum()):
        raise refusal(f"{said(value)} does not begin and end with a letter or digit", accepted)
    return plain


def _read_words(value: object) -> str:
    return value if value == "" else read_name(value)


def _as_measured(given: dict[str, Any]) -> Fraction:
    thickness: Fraction = given["thickness"]
    return thickness


Label = Annotated[
    str, PlainValidator(read_label), WithJsonSchema({"type": "string", "minLength": 1, "maxLength": LONGEST_LABEL})
]
Words = Annotated[str, PlainValidator(_read_words), WithJsonSchema({"type": "string", "maxLength": LONGEST_NAME})]
"""A text of one line, or none."""


class RackPiece(Table):
    """A piece in the rack; its label stands on it, and no other piece of the rack bears the same."""

    label: Label = Field(description="Label, once in the rack: letters, digits, - _ . between them. Required.")
    unit: Unit = Field(default="in", description='"in" or "mm": the unit of bare numbers. Default: "in".')
    length: Length = Field(description="Length, along the face grain. Required.")
    width: Length = Field(description="Width, across the face grain. Required.")
    thickness: Length = Field(description="Thickness as measured. Required.")
    nominal: Length = Field(
        default_factory=_as_measured, description="Thickness it was sold as. Default: the measured thickness."
    )
    grain: bool = Field(default=True, description="Whether it has a face grain. Default: true.")
    stock: Words = Field(default="", description="What it was cut from.")
    place: Words = Field(default="", description="Where it stands.")
    origin: Words = Field(default="", description="Project it was left over from.")
    note: Words = Field(default="", description="Anything else.")


KEYS: Final = tuple(RackPiece.model_fields)


def read_piece(
    data: object, place: Place, faults: list[Fault], fresh: Callable[[], str] | None = None
) -> RackPiece | None:
    """Return the piece that keys already parsed describe; None with its faults added.

    ``fresh`` gives a label where none is given.

    >>> faults = []
    >>> piece = read_piece({"length": "31", "width": "9 1/4", "thickness": "23/32"}, (), faults, lambda: "R-1")
    >>> piece.label, piece.width, piece.nominal
    ('R-1', Fraction(37, 4), Fraction(23, 32))
    >>> read_piece({"label": "R 1", "length": 0, "width": 9, "thickness": "1/2"}, ("pieces", 2), faults) is None
    True
    >>> [one.path for one in faults]
    ['pieces[3].label', 'pieces[3].length']
    """
    if not isinstance(data, Mapping):
        faults.append(fault(place, f"is {said(data)}, not a table", "a table of " + ", ".join(KEYS)))
        return None
    before = len(faults)
    faults += [unknown_key((*place, str(key)), KEYS, {}) for key in data if key not in KEYS]
    known = {str(key): value for key, value in data.items() if key in KEYS}
    if fresh is not None and "label" not in known:
        known["label"] = fresh()
    unit = "mm" if known.get("unit") == "mm" else "in"
    try:
        piece = RackPiece.model_validate(known, context={"unit": unit})
    except ValidationError as error:
        faults += faults_of(error, RackPiece, place, {})
        return None
    return piece if len(faults) == before else None


def piece_from(data: object, fresh: Callable[[], str] | None = None) -> RackPiece:
    """Return the piece that keys already parsed describe; raises :class:`~nesting.errors.BadInput` with every fault."""
    faults: list[Fault] = []
    piece = read_piece(data, (), faults, fresh)
    if piece is None:
        raise BadInput(faults)
    return piece


def piece_mapping(piece: RackPiece) -> dict[str, Any]:
    """Return a piece as the keys that :func:`piece_from` reads back as equal; lengths are exact texts."""
    return piece.model_dump(mode="json", context={"unit": piece.unit})


def size_words(piece: RackPiece, step: Fraction | None = None) -> str:
    """Return length, width and thickness as a person reads them, with their unit.

    >>> size_words(piece_from({"label": "R-1", "length": 31, "width": "9 1/4", "thickness": "23/32"}))
    '31 × 9 1/4 × 23/32 in'
    """
    finest = step or FINEST[piece.unit]
    sides = (piece.length, piece.width, piece.thickness)
    return " × ".join(show_length(side, piece.unit, finest) for side in sides) + f" {piece.unit}"


def rounded_down(value: Fraction, unit: Unit) -> Fraction:
    """Return a size at which a leftover may be counted on: down to 1/64 in or 0.1 mm.

    >>> rounded_down(Fraction("5.458333333"), "in")
    Fraction(349, 64)
    """
    return value // FINEST[unit] * FINEST[unit]


def size_in(value: Fraction, of: Unit, unit: Unit) -> Fraction:
    """Return a length or width of a piece in another unit, rounded down as :func:`rounded_down` does.

    >>> size_in(Fraction(31), "in", "in"), size_in(Fraction(31), "in", "mm")
    (Fraction(31, 1), Fraction(3937, 5))
    """
    return value if of == unit else rounded_down(exactly_in(value, of, unit), unit)


def exactly_in(value: Fraction, of: Unit, unit: Unit) -> Fraction:
    """Return a length in another unit, exactly."""
    if of == unit:
        return value
    return value * MM_PER_INCH if unit == "mm" else value / MM_PER_INCH
