"""Paper: where the drawing, its margins, the legend and the key stand on a page that prints at 100 %.

The printable area common to US Letter and A4 within usual margins is taken as 254 × 184 mm (720 × 521 points).
Three arrangements are tried and the one with the larger scale is taken: landscape with the key below, landscape
with the key beside the drawing, portrait with the key below.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from nesting.draw.key import Key, lay_out
from nesting.draw.lettering import SMALLEST, wrapped
from nesting.draw.listing import Line
from nesting.draw.subject import Rule

LONG, SHORT = 720.0, 521.5
EDGE = 5.0
"""Left white all round."""
HEADER = 46.0
ROW = 11.4
_BESIDE = 236.0
_GUTTER = 14.0
_FOOT = 30.0
_LEAST_SHARE = 0.3
"""Of the page's height, for the sheet itself."""
POINTS = {"in": 72.0, "mm": 72.0 / 25.4}

Arrangement = Literal["below", "beside", "portrait"]


@dataclass(frozen=True, slots=True)
class Margins:
    """Room around the sheet for tabs, bars, slashes and led-out letters, in points."""

    left: float = 12.0
    top: float = 12.0
    right: float = 8.0
    bottom: float = 8.0


@dataclass(frozen=True, slots=True)
class Frame:
    """A page shared out; ``x``, ``y`` is the sheet's upper left corner, ``points`` of paper are one unit of wood."""

    arrangement: Arrangement
    width: float
    height: float
    paper: float
    """Height of the paper: the page is higher only where its list is too long."""
    denominator: float
    points: float
    x: float
    y: float
    sheet: tuple[float, float]
    words: tuple[float, float]
    """Base line of the words about the edge to start from."""
    legend: tuple[float, float]
    legend_width: float
    legend_lines: int
    key: Key
    key_at: tuple[float, float]


def share_out(
    size: tuple[float, float], rule: Rule, margins: Margins, legend: str, lines: Sequence[Line], way: Arrangement
) -> Frame:
    """Return the page for a sheet of the given size, as large as one arrangement lets it be.

    The page is as high as it needs; only a list too long for one page makes it higher than the paper.
    """
    width, height = (SHORT, LONG) if way == "portrait" else (LONG, SHORT)
    beside = way == "beside"
    text_width = _BESIDE if beside else width - 2 * EDGE
    notes = tuple(wrapped(legend, text_width, SMALLEST))
    notes_high = len(notes) * ROW + 8
    key = lay_out(lines, rule, text_width)
    room = width - 2 * EDGE - margins.left - margins.right - (_BESIDE + _GUTTER if beside else 0)
    below = 0.0 if beside else notes_high + key.height
    free = height - HEADER - margins.top - margins.bottom - _FOOT - below - EDGE
    high = max(free, _LEAST_SHARE * height)
    denominator = _denominator(max(size[0] * POINTS[rule.unit] / room, size[1] * POINTS[rule.unit] / high))
    points = POINTS[rule.unit] / denominator
    sheet = (size[0] * points, size[1] * points)
    x, y = EDGE + margins.left, HEADER + margins.top
    under = y + sheet[1] + margins.bottom
    if beside:
        notes_at = (width - _BESIDE - EDGE, HEADER + 9.0)
        key_at = (notes_at[0], HEADER + notes_high)
        used = max(under + _FOOT - 10, key_at[1] + key.height)
    else:
        notes_at = (EDGE, under + _FOOT)
        key_at = (EDGE, under + _FOOT - 9 + notes_high)
        used = key_at[1] + key.height
    return Frame(
        arrangement=way,
        width=width,
        height=math.ceil((used + EDGE) * 2) / 2,
        paper=height,
        denominator=denominator,
        points=points,
        x=x,
        y=y,
        sheet=sheet,
        words=(x, under + 11),
        legend=notes_at,
        legend_width=text_width,
        legend_lines=len(notes),
        key=key,
        key_at=key_at,
    )


def _denominator(least: float) -> float:
    """Return the scale 1 : n to draw at: whole numbers, halves below 20, at most half as large as life.

    >>> _denominator(10.8), _denominator(2.1), _denominator(0.2)
    (11.0, 2.5, 2.0)
    """
    if least <= 2:
        return 2.0
    return float(math.ceil(least)) if least > 20 else math.ceil(least * 2 - 1e-9) / 2
