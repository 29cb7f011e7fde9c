"""The kinds of value a project file holds: each read strictly, refused in plain words, told to the JSON Schema.

The document's unit comes in the validation context, ``{"unit": "in"}``. A refusal carries its reason
and what is accepted in its context, so that the reader need not parse a message.
"""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Annotated, Any, Final, TypeVar

from pydantic import BeforeValidator, PlainSerializer, PlainValidator, SerializationInfo, ValidationInfo, WithJsonSchema
from pydantic_core import PydanticCustomError

from nesting.lengths import NotALength, Unit, exact_text, read_decimal, read_length, said
from nesting.strength.species import GRAVITIES, UNKNOWN, NotAStud, accepted, read_species

LONGEST_NAME: Final = 120
MOST_PIECES: Final = 10_000
LARGEST_PRICE: Final = 1_000_000_000
HEAVIEST: Final = 100_000
LONGEST_LIST: Final = 200
MOST_CELLS: Final = 100
LARGEST_BEVEL: Final = 60
REFUSED: Final = "refused"
# marks, embeddings, overrides and isolates of writing direction: they make a name read as another one
_BIDI: Final = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


def refusal(reason: str, accepted: str = "") -> PydanticCustomError:
    """Return the error that refuses a value, in words for a person."""
    return PydanticCustomError(REFUSED, "{reason}", {"reason": reason, "accepted": accepted})


@dataclass(frozen=True, slots=True)
class Usual:
    """The trade's usual value of a length that a file leaves out, in an inch and in a millimetre document."""

    inch: str
    mm: str


def _unit(info: ValidationInfo) -> Unit:
    context: Any = info.context
    if not context or "unit" not in context:
        raise refusal("a length given as text or left out needs the document's unit", "an exact fraction")
    unit: Unit = context["unit"]
    return unit


def _read_length(value: object, info: ValidationInfo, *, zero: bool) -> Fraction:
    if isinstance(value, Usual):
        value = value.inch if _unit(info) == "in" else value.mm
    if isinstance(value, Fraction):  # exact already, but it must be possible to write it down again
        if value < 0 or (value == 0 and not zero):
            raise refusal(f"{value} is not a length here", "0 or more" if zero else "a length greater than 0")
        try:
            exact_text(value, _unit(info))
        except ValueError as error:
            raise refusal(str(error), "a length that can be written exactly") from None
        return value
    if not isinstance(value, str | int | float | Decimal):
        raise refusal(f"{said(value)} is not a length", NotALength("").accepted)
    try:
        return read_length(value, _unit(info), zero=zero)
    except NotALength as error:
        raise refusal(error.reason, error.accepted) from None


def _read_positive(value: object, info: ValidationInfo) -> Fraction:
    return _read_length(value, info, zero=False)


def _read_from_zero(value: object, info: ValidationInfo) -> Fraction:
    return _read_length(value, info, zero=True)


def read_name(value: object) -> str:
    """Return a name as it is written; refuse what cannot stand on one line of a label."""
    if not isinstance(value, str):
        raise refusal(f"{said(value)} is not a text", "a text in quotes")
    accepted = f"a text of 1 to {LONGEST_NAME} characters on one line"
    if not value.strip():
        raise refusal("is empty", accepted)
    if len(value) > LONGEST_NAME:
        raise refusal(f"has {len(value):,} characters", accepted)
    if any(unicodedata.category(sign) in ("Cc", "Zl", "Zp") for sign in value):
        raise refusal(f"{said(value)} holds a line break, a tab or another control character", accepted)
    if not _BIDI.isdisjoint(value):
        raise refusal(f"{said(value)} holds a character that turns the writing direction", accepted)
    if any(unicodedata.category(sign) == "Cs" or ord(sign) & 0xFFFE == 0xFFFE for sign in value):
        raise refusal(f"{said(value)} holds a code that is no character", accepted)
    return value


def _read_species(value: object) -> str:
    if not isinstance(value, str):
        raise refusal(f"{said(value)} is not a text", accepted())
    try:
        return read_species(value[:LONGEST_NAME]).name
    except NotAStud as error:
        raise refusal(error.reason, error.accepted) from None


def _read_currency(value: object) -> str:
    name = read_name(value)
    if len(name) > 8:
        raise refusal(f"{said(value)} is too long for a currency", "a short name such as USD or EUR")
    return name


def _read_whole(value: object, least: int, most: int) -> int:
    accepted = f"a whole number from {least} to {most:,}"
    if isinstance(value, bool) or not isinstance(value, int):
        raise refusal(f"{said(value)} is not a whole number", accepted)
    if not least <= value <= most:
        raise refusal(f"{said(value)} is out of range", accepted)
    return value


def _read_quantity(value: object) -> int:
    return _read_whole(value, 1, MOST_PIECES)


def _read_cells(value: object) -> int:
    return _read_whole(value, 1, MOST_CELLS)


def _read_one_or_two(value: object) -> int:
    return _read_whole(value, 1, 2)


def _read_available(value: object) -> int:
    return _read_whole(value, 0, MOST_PIECES)


def _read_stages(value: object) -> int:
    return _read_whole(value, 1, 100)


def _read_number(value: object, accepted: str, most: int, decimals: int) -> Fraction:
    if isinstance(value, Fraction):
        number = value
    elif isinstance(value, bool) or not isinstance(value, int | float | Decimal):
        raise refusal(f"{said(value)} is not a number", accepted)
    else:
        try:
            number = read_decimal(value)
        except NotALength as error:
            raise refusal(error.reason, accepted) from None
    if not 0 <= number <= most or 10**decimals % number.denominator:
        raise refusal(f"{said(value)} is out of range or has too many decimals", accepted)
    return number


def _read_price(value: object) -> Fraction:
    return _read_number(value, "a price of 0 or more, with up to 4 decimals, without a currency sign", LARGEST_PRICE, 4)


def _read_weight(value: object) -> Fraction:
    return _read_number(value, "a weight of 0 or more (lb or kg), a number with up to 4 decimals", HEAVIEST, 4)


def _read_bevel(value: object) -> Fraction:
    accepted = f"degrees from square, more than 0 and at most {LARGEST_BEVEL}"
    degrees = _read_number(value, accepted, 360, 6)
    if not 0 < degrees <= LARGEST_BEVEL:
        raise refusal(f"{said(value)} is not a bevel that a saw can rip", accepted)
    return degrees


def _listed(value: object) -> tuple[object, ...]:
    if not isinstance(value, list | tuple):
        raise refusal(f"{said(value)} is not a list", "a list in square brackets")
    if len(value) > LONGEST_LIST:
        raise refusal(f"has {len(value):,} entries", f"a list of at most {LONGEST_LIST} entries")
    return tuple(value)


def as_number(value: Fraction) -> int | float:
    """Return a price or an angle as the number whose shortest text is exactly it."""
    return value.numerator if value.denominator == 1 else float(value)


def _as_text(value: Fraction | None, info: SerializationInfo) -> str | None:
    """Return a length as text that reads back to it; the document's unit comes in the context."""
    context: Any = info.context
    return None if value is None else exact_text(value, context["unit"])


_LENGTH_SCHEMA: Final = {
    "anyOf": [
        {"type": "number", "minimum": 0},
        {"type": "string", "minLength": 1, "maxLength": 60},
    ]
}
_POSITIVE_SCHEMA: Final = {
    "anyOf": [
        {"type": "number", "exclusiveMinimum": 0},
        {"type": "string", "minLength": 1, "maxLength": 60},
    ]
}
_NAME_SCHEMA: Final = {"type": "string", "minLength": 1, "maxLength": LONGEST_NAME}
_PRICE_SCHEMA: Final = {"type": "number", "minimum": 0, "maximum": LARGEST_PRICE}
_WEIGHT_SCHEMA: Final = {"type": "number", "minimum": 0, "maximum": HEAVIEST}
_BEVEL_SCHEMA: Final = {"type": "number", "exclusiveMinimum": 0, "maximum": LARGEST_BEVEL}


def _whole_schema(least: int, most: int) -> WithJsonSchema:
    return WithJsonSchema({"type": "integer", "minimum": least, "maximum": most})


Length = Annotated[
    Fraction, PlainValidator(_read_positive), PlainSerializer(_as_text), WithJsonSchema(_POSITIVE_SCHEMA)
]
"""A length greater than 0."""
LengthOrZero = Annotated[
    Fraction, PlainValidator(_read_from_zero), PlainSerializer(_as_text), WithJsonSchema(_LENGTH_SCHEMA)
]
"""A length of 0 or more."""
OwnTrim = Annotated[
    Fraction | None, PlainValidator(_read_from_zero), PlainSerializer(_as_text), WithJsonSchema(_LENGTH_SCHEMA)
]
"""A stock's own edge trim; None where the saw's holds."""
OwnLength = Annotated[
    Fraction | None, PlainValidator(_read_positive), PlainSerializer(_as_text), WithJsonSchema(_POSITIVE_SCHEMA)
]
"""A length greater than 0; None where it follows from other keys."""
OwnLengthOrZero = OwnTrim
"""A length of 0 or more; None where it follows from other keys."""
T = TypeVar("T")
ListOf = Annotated[tuple[T, ...], BeforeValidator(_listed)]
"""A list of tables inside a table."""
Lengths = Annotated[tuple[LengthOrZero, ...] | None, BeforeValidator(_listed)]
"""A list of lengths of 0 or more; None where they follow from other keys."""
Name = Annotated[str, PlainValidator(read_name), WithJsonSchema(_NAME_SCHEMA)]
StudSpecies = Annotated[
    str, PlainValidator(_read_species), WithJsonSchema({"type": "string", "examples": [*GRAVITIES, UNKNOWN.name]})
]
"""Wood of the studs by the name of its group; stamps such as SPF or DF-L are understood."""
Currency = Annotated[str, PlainValidator(_read_currency), WithJsonSchema(_NAME_SCHEMA | {"maxLength": 8})]
Price = Annotated[Fraction, PlainValidator(_read_price), PlainSerializer(as_number), WithJsonSchema(_PRICE_SCHEMA)]
Weight = Annotated[Fraction, PlainValidator(_read_weight), PlainSerializer(as_number), WithJsonSchema(_WEIGHT_SCHEMA)]
"""Of contents, lb in an inch and kg in a millimetre document."""
Bevel = Annotated[Fraction, PlainValidator(_read_bevel), PlainSerializer(as_number), WithJsonSchema(_BEVEL_SCHEMA)]
Quantity = Annotated[int, PlainValidator(_read_quantity), _whole_schema(1, MOST_PIECES)]
Cells = Annotated[int | None, PlainValidator(_read_cells), _whole_schema(1, MOST_CELLS)]
OneOrTwo = Annotated[int, PlainValidator(_read_one_or_two), _whole_schema(1, 2)]
Available = Annotated[int | None, PlainValidator(_read_available), _whole_schema(0, MOST_PIECES)]
Stages = Annotated[int | None, PlainValidator(_read_stages), _whole_schema(1, 100)]
