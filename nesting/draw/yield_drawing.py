"""The yield curve as a drawing: cleats per sheet by cleat height, the heights asked for marked, sweet spots dotted."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

from nesting.draw.curve import Series, draw_steps
from nesting.lengths import Unit, show_length
from nesting.yield_curve import Yield, rule_of_thumb, usual_range

MOST_CURVES = 5
"""One more is the rule of thumb."""


def draw_yield(
    title: str, yields: Sequence[tuple[str, Yield]], heights: Sequence[Fraction], unit: Unit, step: Fraction
) -> str:
    """Return the yield curves of at most ``MOST_CURVES`` sheets as SVG; ``heights`` (asked for) stand as dashed lines.

    Beside them runs the rule of thumb, the width of the first sheet over the height. Raises ``ValueError`` without a
    curve, or for more than can be told apart.
    """
    if not yields:
        raise ValueError("there is nothing to draw: no sheet is given")
    low, high = usual_range(tuple(heights), unit)
    low = max(low, *(sheet.lowest for _, sheet in yields))
    width = yields[0][1].width
    series = [Series(name, _steps(sheet, low, high)) for name, sheet in yields]
    over = f"{show_length(width, unit, step)} over the height"
    thumb = f"{over}: rule of thumb, no kerf, bevel or trim (common practice, no source)"
    series.append(Series(thumb, _thumb(width, low, high)))
    first = yields[0][1]
    dots = [(float(spot.tallest), float(spot.count), "") for spot in first.sweet_spots(low, high, unit)]
    dots = [(x, y, text) for x, y, text in dots if low <= x <= high]
    uprights = [
        (float(height), f"{show_length(height, unit, step)}: {first.count(height)} cleats")
        for height in heights
        if height > first.rule.rise
    ]
    return draw_steps(
        title,
        series,
        dots,
        f"height of a cleat on its tall face, {unit}",
        "cleats per sheet, each as long as the sheet",
        uprights=uprights,
        dots="sweet spot: the tallest cleat that still gives as many" + (" (first curve)" if len(yields) > 1 else ""),
    )


def _steps(sheet: Yield, low: Fraction, high: Fraction) -> tuple[tuple[float, float], ...]:
    """Return a curve that falls where a tread ends: just above the tallest height that gives its count."""
    points = [(float(low), float(sheet.count(low)))]
    treads = list(sheet.treads(low, high))
    for (last, _), (_, count) in pairwise(treads):
        points.append((float(last), float(count)))
    return (*points, (float(high), points[-1][1]))


def _thumb(width: Fraction, low: Fraction, high: Fraction) -> tuple[tuple[float, float], ...]:
    points = [(float(low), float(rule_of_thumb(width, low)))]
    for count in range(rule_of_thumb(width, low), max(1, rule_of_thumb(width, high)), -1):
        points.append((float(width / count), float(count - 1)))
    return (*points, (float(high), points[-1][1]))
