"""A search as a drawing: how the cost of the best plan fell, and what nothing can cost less than, over time.

Black on white: the cost a heavy line, the bound a dashed one, what is not known yet hatched between them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from nesting.draw.ink import Hatch, Line, Mark, Page, Polyline, Text, box, to_svg
from nesting.draw.lettering import advance
from nesting.money import money

_WIDTH: Final = 620.0
_HEIGHT: Final = 190.0
_LEFT, _TOP, _RIGHT, _BOTTOM = 8.0, 18.0, 150.0, 26.0
_LETTERS: Final = 14.0
_HEADROOM: Final = 0.12
_BEYOND: Final = 1.06
"""How far the lines run on after the last news, so that it can be seen."""
_LEAST_APART: Final = 17.0


@dataclass(frozen=True, slots=True)
class Moment:
    """Where the search stood after some seconds; money as plain numbers."""

    elapsed: float
    cost: float | None
    bound: float


def draw_falling(moments: Sequence[Moment], currency: str) -> str:
    """Return the drawing as SVG; empty where no cost is known yet.

    >>> draw_falling([Moment(0.1, None, 80.0)], "USD")
    ''
    >>> "Cost 120.00 USD" in draw_falling([Moment(0.5, 150.0, 80.0), Moment(2.0, 120.0, 90.0)], "USD")
    True
    """
    known = [moment for moment in moments if moment.cost is not None]
    if not known:
        return ""
    costs = [moment.cost for moment in known if moment.cost is not None]
    low = min(moment.bound for moment in known)
    high = max(costs)
    spread = (high - low) or max(high, 1.0)
    low, high = low - spread * _HEADROOM, high + spread * _HEADROOM
    last = known[-1]
    ends = max(last.elapsed * _BEYOND, 0.1)

    def x(seconds: float) -> float:
        return _LEFT + seconds / ends * (_WIDTH - _LEFT - _RIGHT)

    def y(value: float) -> float:
        return _TOP + (high - value) / (high - low) * (_HEIGHT - _TOP - _BOTTOM)

    floor = _HEIGHT - _BOTTOM
    marks: list[Mark] = [Line(_LEFT, floor, x(ends), floor, weight=1)]
    cost_line: list[tuple[float, float]] = []
    bound_line: list[tuple[float, float]] = []
    for moment, until in zip(known, [*(one.elapsed for one in known[1:]), ends], strict=True):
        assert moment.cost is not None  # noqa: S101  (only those were kept)
        start, end = x(min(moment.elapsed, until)), x(until)
        if len(known) == 1:
            start = _LEFT
        top, bottom = y(moment.cost), y(moment.bound)
        if bottom - top > 1 and end - start > 0:
            marks.append(Hatch(box(start, top, end - start, bottom - top), 6.0, 0.6))
        cost_line += [(start, top), (end, top)]
        bound_line += [(start, bottom), (end, bottom)]
    marks.append(Polyline(tuple(cost_line), weight=3))
    marks += [Line(*one, *other, weight=1.6, dashes=(7, 4)) for one, other in pairwise(bound_line)]
    assert last.cost is not None  # noqa: S101
    at = x(ends) + 8
    up, down = y(last.cost), y(last.bound)
    if down - up < _LEAST_APART:
        up, down = (up + down - _LEAST_APART) / 2, (up + down + _LEAST_APART) / 2
    marks.append(Text(at, up + 5, f"cost {money(last.cost)}", _LETTERS, bold=True))
    marks.append(Text(at, down + 5, f"bound {money(last.bound)}", _LETTERS))
    marks.append(Text(_LEFT, _HEIGHT - 8, "0 s", _LETTERS))
    said = f"{last.elapsed:.0f} s" if last.elapsed >= 10 else f"{last.elapsed:.1f} s"
    marks.append(Text(x(ends) - advance(said, _LETTERS), _HEIGHT - 8, said, _LETTERS))
    title = f"Cost {money(last.cost, currency)}, bound {money(last.bound, currency)} after {said}"
    desc = f"The cost began at {money(costs[0], currency)}; hatched is what the search does not know yet."
    return to_svg(Page(_WIDTH, _HEIGHT, title, desc, tuple(marks), "px"))
