"""Lettering: how wide a text can be when printed, what must be dropped from it, and how to make it fit.

A drawing is shown with whatever sans-serif face is at hand, so each advance width is the larger of two:
Helvetica's (Adobe's published font metrics, which Arial and Liberation Sans share) and DejaVu Sans's, the
usual stand-in on Linux. Text that fits by this table fits with all of them.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from functools import lru_cache
from typing import Final

FAMILY: Final = "Helvetica, Arial, 'Liberation Sans', 'DejaVu Sans', sans-serif"
SMALLEST: Final = 9.0
"""Points: nothing on a printed page is lettered smaller."""
ASCENT: Final = 0.78
DESCENT: Final = 0.24
"""How far letters reach above and below the base line, in ems."""
LEADING: Final = 1.22
ELLIPSIS: Final = "…"

# Thousandths of an em for the characters from space to tilde.
_PLAIN: Final = (
    (318, 401, 460, 838, 637, 951, 780, 275, 391, 391, 500, 838, 318, 361, 318, 337)
    + (637,) * 10
    + (337, 337, 838, 838, 838, 556, 1015, 685, 687, 722, 771, 667, 611, 778, 752, 295, 500, 667, 558, 863, 749, 788)
    + (667, 788, 722, 667, 611, 732, 685, 989, 686, 667, 686, 391, 337, 391, 838, 556, 500, 613, 635, 550, 635, 616)
    + (353, 635, 634, 278, 278, 580, 278, 975, 634, 612, 635, 635, 412, 521, 393, 634, 592, 818, 592, 592, 525, 637)
    + (337, 637, 838)
)
_BOLD: Final = (
    (349, 457, 521, 838, 696, 1002, 873, 307, 458, 458, 523, 838, 380, 416, 380, 366)
    + (696,) * 10
    + (400, 400, 838, 838, 838, 611, 1000, 774, 763, 734, 831, 684, 684, 821, 837, 373, 556, 775, 638, 996, 837, 851)
    + (733, 851, 771, 721, 683, 813, 774, 1104, 771, 725, 726, 458, 366, 458, 838, 556, 500, 675, 716, 611, 716, 679)
    + (436, 716, 712, 343, 343, 666, 343, 1042, 712, 688, 716, 716, 494, 596, 479, 712, 652, 924, 652, 652, 583, 712)
    + (389, 712, 838)
)
_SIGNS: Final = {"×": 838, "·": 380, "°": 500, "…": 1000, "–": 556, "—": 1000, "’": 380, "→": 1000}
_WIDE, _OTHER = 1300, 1000
"""Pictographs and East Asian characters; letters of other scripts (few are wider than an em)."""
_MOST_MARKS: Final = 2
_DROPPED: Final = frozenset({"Cc", "Cf", "Cs", "Co", "Cn"})
_JOINERS: Final = "\u200c\u200d"


@lru_cache(maxsize=4096)
def clean(text: str) -> str:
    r"""Return the text as it may be drawn: on one line, and without characters that could break the drawing.

    Control characters (XML allows few), surrogates and unassigned code points, marks that reverse the
    direction of all that follows, and more than two accents on a letter are dropped; white space becomes
    single spaces. Markup stays as it is: it is data, and escaped where the drawing is written.

    >>> clean(" jar\x00\n back "), clean("<b>"), clean("\u202egnp")
    ('jar back', '<b>', 'gnp')
    """
    return " ".join("".join(_kept(text)).split())


def _kept(text: str) -> Iterator[str]:
    marks = 0
    for sign in text:
        if sign.isspace():
            yield " "
            continue
        kind = unicodedata.category(sign)
        if kind in _DROPPED and sign not in _JOINERS:
            continue
        marks = marks + 1 if kind in ("Mn", "Me") else 0
        if marks <= _MOST_MARKS:
            yield sign


def advance(text: str, size: float, *, bold: bool = False) -> float:
    """Return the greatest width, in the unit of ``size``, that the text takes in the faces named above.

    >>> advance("80", 10), advance("80", 10, bold=True)
    (12.74, 13.92)
    """
    return _width(text, bold) * size / 1000


@lru_cache(maxsize=4096)
def _width(text: str, bold: bool) -> int:
    return sum(_thousandths(sign, bold) for sign in text)


@lru_cache(maxsize=4096)
def _thousandths(sign: str, bold: bool) -> int:
    code = ord(sign)
    if 32 <= code <= 126:
        return (_BOLD if bold else _PLAIN)[code - 32]
    if sign in _SIGNS:
        return _SIGNS[sign]
    if unicodedata.category(sign) in ("Mn", "Me", "Cf"):
        return 0
    base = unicodedata.normalize("NFD", sign)[0]
    if base != sign and 32 <= ord(base) <= 126:
        return _thousandths(base, bold) + 50
    if code >= 0x2300 or unicodedata.east_asian_width(sign) in "WF":
        return _WIDE
    return _WIDE if bold else _OTHER


def shortened(text: str, room: float, size: float, *, bold: bool = False) -> str:
    """Return the text, or as much of it as fits ``room`` with an ellipsis; empty where not even two letters fit.

    >>> shortened("jar shelf, left", 60, 10), shortened("jar", 60, 10), shortened("jar", 12, 10)
    ('jar shelf, l…', 'jar', '')
    """
    if advance(text, size, bold=bold) <= room:
        return text
    left = room - advance(ELLIPSIS, size, bold=bold)
    end = 0
    for end, sign in enumerate(text):  # noqa: B007
        left -= advance(sign, size, bold=bold)
        if left < 0:
            break
    while end and unicodedata.category(text[end]) in ("Mn", "Me", "Cf"):
        end -= 1
    return text[:end].rstrip() + ELLIPSIS if end >= 2 else ""


def wrapped(text: str, room: float, size: float, *, bold: bool = False) -> list[str]:
    """Return the text broken into lines no wider than ``room``: between words, within them only where it must.

    >>> wrapped("one rail and another", 50, 10)
    ['one rail', 'and', 'another']
    """
    lines = [""]
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines[-1] else word
        if advance(longer, size, bold=bold) <= room:
            lines[-1] = longer
            continue
        if lines[-1]:
            lines.append("")
        for sign in word:
            if lines[-1] and advance(lines[-1] + sign, size, bold=bold) > room:
                lines.append("")
            lines[-1] += sign
    return lines
