"""Exact lengths: read from what a person writes, shown as a person reads a rule.

Every length is a :class:`fractions.Fraction` in the document's unit. An inch is 25.4 mm exactly
(international yard and pound agreement, 1959), so that inches and millimetres mix without rounding.
A float is taken by its shortest decimal text, never by its binary value: 0.1 means one tenth.

Limits, there to catch slips of the pen: a length is not negative, not above 1,000,000 mm, has at most
9 decimals or a denominator up to 10,000, and is written in at most 60 characters.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Final, Literal

Unit = Literal["in", "mm"]

MM_PER_INCH: Final = Fraction(127, 5)
LONGEST_MM: Final = 1_000_000
MOST_DECIMALS: Final = 9
LARGEST_DENOMINATOR: Final = 10_000
LONGEST_TEXT: Final = 60
ACCEPTED: Final = (
    "a number in the document's unit, or text such as 96, 2 7/8, 2-7/8, 23/32, 0.72 in, 96\", 8 ft, 5' 6 1/2\", "
    "18 mm, 24.4 cm, 1.2 m"
)

_MILLIMETRES: Final = {"mm": Fraction(1), "cm": Fraction(10), "m": Fraction(1000)}
_MILLIMETRES_OF: Final = (
    _MILLIMETRES
    | dict.fromkeys(("in", "inch", "inches", '"'), MM_PER_INCH)
    | dict.fromkeys(("ft", "foot", "feet", "'"), 12 * MM_PER_INCH)
)
_SIGNS: Final = str.maketrans(
    {"′": "'", "’": "'", "‘": "'", "ʹ": "'", "″": '"', "”": '"', "“": '"', "ʺ": '"', "⁄": "/", "∕": "/"}
    | dict.fromkeys("‐‑–", "-")
    | dict.fromkeys("\u00a0\u2007\u2009\u200a\u202f\t", " ")
)

_NUMBER = r"(?:(?P<whole{0}>[0-9]+)(?: +| ?- ?))?(?P<over{0}>[0-9]+) ?/ ?(?P<under{0}>[0-9]+)|(?P<plain{0}>[0-9]+(?:\.[0-9]+)?|\.[0-9]+)"  # noqa: E501
_FEET = r"(?P<feet>[0-9]+) ?(?:'|ft|foot|feet)(?: ?- ?| *)"
_FEET_AND_INCHES: Final = re.compile(_FEET + r"(?:" + _NUMBER.format("") + r") ?(?:\"|in|inch|inches)")
_ONE_NUMBER: Final = re.compile(r"(?:" + _NUMBER.format("") + r") ?(?P<unit>[a-z]+|\"|')?")


class NotALength(ValueError):
    """What was written is not a length; ``reason`` says why, ``accepted`` what would be one."""

    def __init__(self, reason: str, accepted: str = ACCEPTED) -> None:
        self.reason, self.accepted = reason, accepted
        super().__init__(f"{reason}; accepted: {accepted}")


@dataclass(frozen=True, slots=True)
class Shown:
    """A length as shown to a person, and whether the text says it exactly."""

    text: str
    exact: bool

    def __str__(self) -> str:
        return self.text


def millimetres(value: Fraction, unit: Unit) -> Fraction:
    """Return a length of the given unit in millimetres.

    >>> millimetres(Fraction(1, 2), "in")
    Fraction(127, 10)
    """
    return value * MM_PER_INCH if unit == "in" else value


def read_length(value: str | int | float | Decimal, unit: Unit, *, zero: bool = True) -> Fraction:
    r"""Return the length that ``value`` says, exactly, in ``unit``.

    A number, or text without a unit of its own, is in ``unit`` already. ``zero=False`` refuses 0.
    Raises :class:`NotALength` (a ``ValueError``) with a plain reason for anything else.

    >>> read_length("5' 6 1/2\"", "in"), read_length("2½", "in"), read_length(0.1, "mm")
    (Fraction(133, 2), Fraction(5, 2), Fraction(1, 10))
    >>> read_length("1 in", "mm")
    Fraction(127, 5)
    >>> read_length("three", "in")
    Traceback (most recent call last):
    nesting.lengths.NotALength: 'three' is not a length; accepted: a number in the document's unit, ...
    """
    if isinstance(value, str):
        length = _from_text(value, unit)
    elif isinstance(value, bool) or not isinstance(value, int | float | Decimal):
        raise NotALength(f"{said(value)} is not a length")
    else:
        length = read_decimal(value)
    if millimetres(length, unit) > LONGEST_MM:
        raise NotALength(f"{said(value)} is too long", f"a length of at most {LONGEST_MM:,} mm (39,370 in)")
    if length == 0 and not zero:
        raise NotALength(f"{said(value)} is no length here", "a length greater than 0")
    return length


def read_decimal(value: int | float | Decimal) -> Fraction:
    """Return a number that is not negative exactly as its shortest decimal text says.

    >>> read_decimal(86.5), read_decimal(Decimal("0.10"))
    (Fraction(173, 2), Fraction(1, 10))
    """
    number = Decimal(repr(value)) if isinstance(value, float) else Decimal(value)
    if not number.is_finite():
        raise NotALength(f"{said(value)} is not a number that can be measured")
    if number.is_zero():
        return Fraction(0)
    if number.is_signed():
        raise NotALength(f"{said(value)} is negative", "0 or more")
    if number.adjusted() > 12:  # asked before any power of ten is written out
        raise NotALength(f"{said(value)} is too large", f"at most {LONGEST_MM:,}")
    _, digits, exponent = number.as_tuple()
    if len(digits) > LONGEST_TEXT:
        raise _too_fine(value)
    decimals = -int(exponent) - (len(digits) - len("".join(map(str, digits)).rstrip("0")))
    if decimals > MOST_DECIMALS:
        raise _too_fine(value)
    return Fraction(number)


def _from_text(text: str, unit: Unit) -> Fraction:
    if len(text) > LONGEST_TEXT:
        raise NotALength(f"{said(text)} is too long a text for a length", f"at most {LONGEST_TEXT} characters")
    plain = "".join(map(_without_vulgar_fraction, text)).translate(_SIGNS).replace("''", '"').lower()
    plain = re.sub(" +", " ", plain).strip(" ")
    if match := _FEET_AND_INCHES.fullmatch(plain):
        inches = _number(match, text)
        if inches >= 12:
            raise NotALength(f"{said(text)} has 12 or more inches after the feet", "feet, then less than 12 inches")
        return (12 * int(match["feet"]) + inches) * _per("in", unit)
    match = _ONE_NUMBER.fullmatch(plain)
    if match is None or (match["unit"] or unit) not in _MILLIMETRES_OF:
        raise NotALength(_what_is_wrong(text, plain))
    return _number(match, text) * _per(match["unit"] or unit, unit)


def _number(match: re.Match[str], text: str) -> Fraction:
    if match["plain"] is not None:
        if len(match["plain"].partition(".")[2].rstrip("0")) > MOST_DECIMALS:
            raise NotALength(
                f"{said(text)} has more than {MOST_DECIMALS} decimals", f"at most {MOST_DECIMALS} decimals"
            )
        return Fraction(match["plain"])
    over, under = int(match["over"]), int(match["under"])
    if under == 0:
        raise NotALength(f"{said(text)} divides by zero")
    if under > LARGEST_DENOMINATOR:
        raise NotALength(f"{said(text)} is too fine a fraction", f"denominators up to {LARGEST_DENOMINATOR:,}")
    if match["whole"] is not None and over >= under:
        raise NotALength(f"{said(text)} has a fraction of 1 or more after the whole number", "a mixed number as 2 7/8")
    return int(match["whole"] or 0) + Fraction(over, under)


def _too_fine(value: object) -> NotALength:
    return NotALength(f"{said(value)} has more than {MOST_DECIMALS} decimals", f"at most {MOST_DECIMALS} decimals")


def _per(written: str, unit: Unit) -> Fraction:
    return _MILLIMETRES_OF[written] / _MILLIMETRES_OF[unit]


def _without_vulgar_fraction(sign: str) -> str:
    """Return `` 7/8`` for ⅞: Unicode decomposes every vulgar fraction into digits and a fraction slash."""
    decomposed = unicodedata.normalize("NFKC", sign)
    over, slash, under = decomposed.partition("⁄")
    return f" {over}/{under} " if slash and over and under else sign


def _what_is_wrong(text: str, plain: str) -> str:
    if not plain:
        return "an empty text is not a length"
    if re.fullmatch(r"[-−] ?[0-9./ ]+.*", plain):
        return f"{said(text)} is negative"
    if re.fullmatch(r"[0-9]+,[0-9]+.*", plain):
        return f"{said(text)} has a comma; a decimal point is meant, or nothing between thousands"
    return f"{said(text)} is not a length"


def said(value: object) -> str:
    r"""Return how to name in a message what was handed in: short, printable, on one line.

    >>> said("a\nb"), said(True), said([1, 2]), said("x" * 100)
    ("'a\\nb'", 'true', 'a list', "'xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx...'")
    """
    if isinstance(value, str):
        return repr(value if len(value) <= 40 else value[:40] + "...")
    if value is None or isinstance(value, bool):
        return {None: "null", True: "true", False: "false"}[value]
    if isinstance(value, int):
        return str(value) if abs(value) < 10**40 else "a number of more than 40 digits"
    if isinstance(value, float | Decimal):
        return str(value)[:40]
    if isinstance(value, Mapping):
        return "a table"
    return "a list" if isinstance(value, list | tuple) else f"a value of the kind {type(value).__name__}"


def show(value: Fraction, unit: Unit, step: Fraction) -> Shown:
    """Return a length to the nearest multiple of ``step`` (inches) or to 0.1 (millimetres), and whether that is exact.

    >>> show(Fraction(73, 32), "in", Fraction(1, 32)), show(Fraction(20001, 1000), "mm", Fraction(1, 2))
    (Shown(text='2 9/32', exact=True), Shown(text='20', exact=False))
    """
    grid = step if unit == "in" else Fraction(1, 10)
    if grid <= 0:
        raise ValueError("the step must be greater than 0")
    nearest = (abs(value) / grid + Fraction(1, 2)) // 1 * grid
    sign = "-" if value < 0 < nearest else ""
    text = _mixed(nearest) if unit == "in" else f"{float(nearest):.1f}".removesuffix(".0")
    return Shown(sign + text, nearest == abs(value))


def show_length(value: Fraction, unit: Unit, step: Fraction) -> str:
    """Return a length as a mixed fraction to the nearest ``step`` (inches) or to 0.1 (millimetres), without its unit.

    Halves go up, away from zero.

    >>> show_length(Fraction(175, 32), "in", Fraction(1, 32)), show_length(Fraction(47), "in", Fraction(1, 32))
    ('5 15/32', '47')
    """
    return show(value, unit, step).text


def shown_exactly(value: Fraction, unit: Unit, step: Fraction) -> bool:
    """Whether :func:`show_length` says the length exactly.

    >>> shown_exactly(Fraction(1, 64), "in", Fraction(1, 32))
    False
    """
    return show(value, unit, step).exact


def exact_text(value: Fraction, unit: Unit) -> str:
    """Return text that :func:`read_length` reads back to exactly ``value``; it exists for whatever was read.

    Inches in halves, quarters, … as fractions, else decimals, else any fraction, else the other unit.
    Raises ``ValueError`` where there is no such text (a length that a tangent brought in).

    >>> exact_text(Fraction(175, 32), "in"), exact_text(Fraction(175, 254), "in"), exact_text(Fraction(37, 2), "mm")
    ('5 15/32', '175/254', '18.5')
    """
    other: Unit = "mm" if unit == "in" else "in"
    in_other = value * _per(unit, other)
    for length, suffix in ((value, ""), (in_other, f" {other}")):
        binary = length.denominator & (length.denominator - 1) == 0 and length.denominator <= 1024
        if binary and (suffix or unit) in ("in", " in"):
            return _mixed(length) + suffix
        if 10**MOST_DECIMALS % length.denominator == 0:
            digits = f"{int(length * 10**MOST_DECIMALS):0{MOST_DECIMALS + 1}d}"
            return f"{digits[:-MOST_DECIMALS]}.{digits[-MOST_DECIMALS:]}".rstrip("0").rstrip(".") + suffix
        if length.denominator <= LARGEST_DENOMINATOR:
            return _mixed(length) + suffix
    raise ValueError(f"{float(value):.9g} {unit} has no exact text of the kind that can be read back")


def _mixed(value: Fraction) -> str:
    whole, rest = divmod(value.numerator, value.denominator)
    if rest == 0:
        return str(whole)
    return f"{whole} {rest}/{value.denominator}" if whole else f"{rest}/{value.denominator}"
