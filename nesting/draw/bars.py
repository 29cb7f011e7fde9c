"""Bars side by side: one block a measure, one bar an alternative, its figure written at its end.

Readable in black and white and at the width of a phone: a bar is outlined, the least or most of its block is filled,
and every bar's figure stands in words beside it, so that nothing hangs on length or tone alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from nesting.draw.ink import Line, Mark, Page, Rect, Text, to_svg
from nesting.draw.lettering import advance, clean, shortened

WIDTH: Final = 380.0
MOST_BARS: Final = 40
_EDGE: Final = 10.0
_ROW: Final = 17.0
_BAR: Final = 11.0
_SIZE: Final = 10.0
_MOST_LABEL: Final = 130.0


@dataclass(frozen=True, slots=True)
class Measure:
    """One block: its name, and for each alternative its value (None: there is none), the figure written, a bound.

    ``best``: whether the least or the most is filled; None fills none. A bound is drawn as a mark across its bar.
    """

    name: str
    values: tuple[float | None, ...]
    figures: tuple[str, ...]
    best: str | None = None
    bounds: tuple[float | None, ...] = ()


def draw_bars(title: str, labels: Sequence[str], measures: Sequence[Measure], legend: Sequence[str] = ()) -> str:
    """Return the blocks of bars below one another as SVG.

    Raises ``ValueError`` for more than ``MOST_BARS`` alternatives, or without a measure.
    """
    if len(labels) > MOST_BARS or not measures:
        raise ValueError(f"bars are drawn for 1 to {MOST_BARS} alternatives and at least one measure")
    names = [clean(label) for label in labels]
    wide = min(_MOST_LABEL, max((advance(name, _SIZE) for name in names), default=0.0))
    left = _EDGE + wide + 8
    widest = max((advance(clean(figure), _SIZE) for measure in measures for figure in measure.figures), default=0.0)
    room = WIDTH - _EDGE - left - widest - 8
    items: list[Mark] = [Text(_EDGE, 22, shortened(clean(title), WIDTH - 2 * _EDGE, 14.0, bold=True), 14.0, bold=True)]
    y = 44.0
    says = []
    for measure in measures:
        items.append(
            Text(_EDGE, y, shortened(clean(measure.name), WIDTH - 2 * _EDGE, 11.0, bold=True), 11.0, bold=True)
        )
        y += 6
        most = max((value for value in measure.values if value is not None), default=0.0) or 1.0
        known = [value for value in measure.values if value is not None]
        best = None if measure.best is None or not known else min(known) if measure.best == "least" else max(known)
        for at, (name, value) in enumerate(zip(names, measure.values, strict=True)):
            items.append(Text(_EDGE, y + _BAR - 1, shortened(name, wide + 2, _SIZE), _SIZE))
            long = 0.0 if value is None else room * max(0.0, value) / most
            if value is not None:
                filled = value == best and len(set(known)) > 1
                items.append(Rect(left, y, long, _BAR, weight=0.8, fill="ink" if filled else "paper"))
                bound = measure.bounds[at] if at < len(measure.bounds) else None
                if bound is not None and bound < value:
                    x = left + room * bound / most
                    items.append(Line(x, y - 2.5, x, y + _BAR + 2.5, weight=1.6))
            items.append(Text(left + long + 5, y + _BAR - 1, clean(measure.figures[at]), _SIZE))
            y += _ROW
        figures = "; ".join(f"{n}: {clean(f)}" for n, f in zip(names, measure.figures, strict=True))
        says.append(f"{clean(measure.name)}: {figures}.")
        y += 16
    for line in legend:
        items.append(Text(_EDGE, y - 4, shortened(clean(line), WIDTH - 2 * _EDGE, 9.0), 9.0))
        y += 13
    return to_svg(Page(WIDTH, y, title, " ".join(says), tuple(items)))
