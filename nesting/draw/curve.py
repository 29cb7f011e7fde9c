"""Curves that go in steps, with points marked in words: how a yield or a gap changes, readable in black and white.

Lines differ by weight and dashes, never by colour, and the legend says in words which is which.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

from nesting.draw.boxes import Box, box_of, free
from nesting.draw.ink import Line, Mark, Page, Polyline, Rect, Text, to_svg
from nesting.draw.lettering import advance, clean, shortened

WIDTH, HEIGHT = 560.0, 360.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 64.0, 24.0, 44.0, 50.0
_ROW = 14.0
_STYLES: Final[tuple[tuple[float, tuple[float, ...]], ...]] = (
    (2.2, ()),
    (1.4, (7, 3)),
    (1.4, (1.5, 2.5)),
    (0.7, ()),
    (1.4, (9, 3, 2, 3)),
    (2.6, (4, 6)),
)
_DOT = 5.0


@dataclass(frozen=True, slots=True)
class Series:
    """One curve: its name and its points by rising x; between them it holds the value of the one before."""

    name: str
    points: tuple[tuple[float, float], ...]


def draw_steps(
    title: str,
    series: Sequence[Series],
    marks: Sequence[tuple[float, float, str]],
    x_label: str,
    y_label: str,
    *,
    uprights: Sequence[tuple[float, str]] = (),
    dots: str = "",
) -> str:
    """Return step curves with axes, marked points and a legend in words, as SVG.

    ``marks`` are points with what to say about them; words that find no room beside their point are numbered and
    said in the legend. ``uprights`` are values of x with a dashed line and words above it; ``dots`` says in the legend
    what marks without words are. Raises ``ValueError`` without a point to draw, or for more curves than can be told
    apart (6).
    """
    xs = [x for one in series for x, _ in one.points] + [x for x, _, _ in marks] + [x for x, _ in uprights]
    ys = [y for one in series for _, y in one.points] + [y for _, y, _ in marks]
    if not xs:
        raise ValueError("there is nothing to draw: no curve has a point")
    if len(series) > len(_STYLES):
        raise ValueError(f"at most {len(_STYLES)} curves can be told apart in black and white")
    across, up = _ticks(min(xs), max(xs), 8), _ticks(min(0.0, *ys), max(ys), 6)
    plot = Box(_LEFT, _TOP, WIDTH - _RIGHT, HEIGHT - _BOTTOM)

    def place(x: float, y: float) -> tuple[float, float]:
        return (
            plot.left + (x - across[0]) / (across[-1] - across[0]) * plot.width,
            plot.bottom - (y - up[0]) / (up[-1] - up[0]) * plot.height,
        )

    items: list[Mark] = [Text(10, 22, shortened(clean(title), WIDTH - 20, 15.0, bold=True), 15.0, bold=True)]
    items += _axes(across, up, plot, clean(x_label), clean(y_label))
    for one, (weight, dashes) in zip(series, _STYLES, strict=False):
        items += _curve([place(*point) for point in one.points], weight, dashes)
    above, notes = _uprights([(place(x, up[0])[0], clean(text)) for x, text in uprights], plot)
    items += above
    treads = [(line.x1, line.y1, line.x2, line.y2) for line in items if isinstance(line, Line) and line.weight > 0.5]
    words, more = _marked([(*place(x, y), clean(text)) for x, y, text in marks], plot, treads, len(notes))
    items += words
    notes += more
    y = HEIGHT + 2
    for one, (weight, dashes) in zip(series, _STYLES, strict=False):
        items.append(Line(_LEFT, y - 3, _LEFT + 34, y - 3, weight=weight, dashes=dashes))
        items.append(Text(_LEFT + 42, y, shortened(clean(one.name), WIDTH - _LEFT - 52, 10.0), 10.0))
        y += _ROW
    if dots and any(not text for _, _, text in marks):
        items.append(Rect(_LEFT + 29 - _DOT / 2, y - 3 - _DOT / 2, _DOT, _DOT, weight=0, fill="ink"))
        items.append(Text(_LEFT + 42, y, shortened(clean(dots), WIDTH - _LEFT - 52, 10.0), 10.0))
        y += _ROW
    for number, note in notes:
        items.append(Text(_LEFT + 34, y, f"{number}", 10.0, bold=True, anchor="end"))
        items.append(Text(_LEFT + 42, y, shortened(note, WIDTH - _LEFT - 52, 10.0), 10.0))
        y += _ROW
    says = [
        f"Across: {clean(x_label)}, {across[0]:g} to {across[-1]:g}. Up: {clean(y_label)}, {up[0]:g} to {up[-1]:g}."
    ]
    for one in series:
        if one.points:
            (first_x, first_y), (last_x, last_y) = one.points[0], one.points[-1]
            says.append(f"{clean(one.name)}: {first_y:g} at {first_x:g}, {last_y:g} at {last_x:g}.")
    says += [f"Marked at {x:g}, {y_:g}: {clean(text) or clean(dots)}." for x, y_, text in marks]
    says += [f"Marked at {x:g}: {clean(text)}." for x, text in uprights]
    return to_svg(Page(WIDTH, y, title, " ".join(says), tuple(items)))


def _ticks(low: float, high: float, most: int) -> list[float]:
    """Return round figures 1, 2 or 5 times a power of ten apart that enclose the range.

    >>> _ticks(0, 17, 6)
    [0.0, 5.0, 10.0, 15.0, 20.0]
    """
    span = high - low or abs(high) or 1.0
    power = 10.0 ** math.floor(math.log10(span / most))
    step = next(power * times for times in (1, 2, 5, 10, 20) if span / (power * times) <= most)
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    return [round(step * count, 12) for count in range(first, max(last, first + 1) + 1)]


def _axes(across: list[float], up: list[float], plot: Box, x_label: str, y_label: str) -> list[Mark]:
    marks: list[Mark] = [
        Polyline(((plot.left, plot.top), (plot.left, plot.bottom), (plot.right, plot.bottom)), weight=1.2)
    ]
    taken: list[Box] = []
    for number, value in enumerate(across):
        x = plot.left + number / (len(across) - 1) * plot.width
        marks.append(Line(x, plot.bottom, x, plot.bottom + 4, weight=1))
        text = Text(x, plot.bottom + 15, f"{value:g}", 10.0, anchor="middle")
        if free(box_of(text).grown(2), taken):
            marks.append(text)
            taken.append(box_of(text))
    for number, value in enumerate(up):
        y = plot.bottom - number / (len(up) - 1) * plot.height
        marks.append(Line(plot.left - 4, y, plot.right if number else plot.left, y, weight=0.3))
        marks.append(Text(plot.left - 7, y + 3.5, f"{value:g}", 10.0, anchor="end"))
    middle = (plot.left + plot.right) / 2
    marks.append(Text(middle, plot.bottom + 32, shortened(x_label, plot.width, 11.0), 11.0, anchor="middle"))
    words = shortened(y_label, plot.height, 11.0)
    marks.append(Text(18, (plot.top + plot.bottom) / 2, words, 11.0, anchor="middle", turned=True))
    return marks


def _curve(points: list[tuple[float, float]], weight: float, dashes: tuple[float, ...]) -> list[Mark]:
    marks: list[Mark] = []
    for (x1, y1), (x2, y2) in pairwise(points):
        marks.append(Line(x1, y1, x2, y1, weight=weight, dashes=dashes))
        if y1 != y2:
            marks.append(Line(x2, y1, x2, y2, weight=weight, dashes=dashes))
    return marks


def _uprights(lines: list[tuple[float, str]], plot: Box) -> tuple[list[Mark], list[tuple[int, str]]]:
    """Draw dashed lines up the plot with their words above it, or a number for the legend where they would meet."""
    items: list[Mark] = []
    notes: list[tuple[int, str]] = []
    taken: list[Box] = []
    for x, text in lines:
        items.append(Line(x, plot.top - 2, x, plot.bottom, weight=0.5, dashes=(3, 3)))
        words = Text(x, plot.top - 5, text, 10.0, bold=True, anchor="middle")
        if not free(box_of(words).grown(3), taken) or not 0 < box_of(words).left < box_of(words).right < WIDTH:
            notes.append((len(notes) + 1, text))
            words = Text(x + 3, plot.top + 10, str(len(notes)), 10.0, bold=True)
            while not free(box_of(words).grown(1), taken):
                words = replace(words, y=words.y + 12)
        items.append(words)
        taken.append(box_of(words))
    return items, notes


def _marked(
    marks: list[tuple[float, float, str]],
    plot: Box,
    lines: list[tuple[float, float, float, float]],
    numbered: int = 0,
) -> tuple[list[Mark], list[tuple[int, str]]]:
    """Set the words of marked points beside them where there is room, else a number for the legend."""
    items: list[Mark] = []
    notes: list[tuple[int, str]] = []
    taken = [Box(x - _DOT / 2, y - _DOT / 2, x + _DOT / 2, y + _DOT / 2) for x, y, _ in marks]
    within = Box(plot.left + 2, plot.top - 10, plot.right + 18, plot.bottom - 2)
    for (x, y, text), dot in zip(marks, list(taken), strict=True):
        items.append(Rect(dot.left, dot.top, _DOT, _DOT, weight=0, fill="ink"))
        if not text:
            continue
        spot = _beside(x, y, text, within, taken, lines)
        if spot is None:
            notes.append((numbered + len(notes) + 1, text))
            spot = _beside(x, y, str(notes[-1][0]), within, taken, lines, bold=True)
        if spot is not None:
            covered = box_of(spot).grown(1)
            items += [Rect(covered.left, covered.top, covered.width, covered.height, weight=0, fill="paper"), spot]
            taken.append(covered)
    return items, notes


def _beside(
    x: float,
    y: float,
    words: str,
    within: Box,
    taken: list[Box],
    lines: list[tuple[float, float, float, float]],
    *,
    bold: bool = False,
) -> Text | None:
    """Return the words at the first spot beside a point that is free of other words, best where no curve runs."""
    half = advance(words, 10.0, bold=bold) / 2
    spots = ((0, -7), (half + 6, -5), (-half - 6, -5), (half + 6, 12), (-half - 6, 12), (0, 16), (0, -20), (0, 28))
    second: Text | None = None
    for along, down in spots:
        text = Text(x + along, y + down, words, 10.0, bold=bold, anchor="middle")
        covered = box_of(text).grown(1)
        if not within.holds(covered) or not free(covered, taken):
            continue
        if not any(covered.crossed((x1, y1), (x2, y2)) for x1, y1, x2, y2 in lines):
            return text
        second = second or text
    return second
