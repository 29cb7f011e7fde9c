"""Where one holder may hang by itself: on which rows, between which x, and on what its foot rests there.

A holder takes up a rectangle of the wall: its back, and above it the room to lift it off, which is the depth of the
bevel. The rectangle stays inside the usable area and off every keep-out grown by its clearance. Its cleat lies wholly
on one run, whose pieces may be spliced under it, and clear of the cleats of the rows above, lifted as well as seated.
Its foot rests on a wall cleat behind it where half its width or more lies on it; else it gets a spacer, which must meet
no cleat; where its own wall cleat leaves no room for one, it lies on that alone. Derived from the section of the
cleats; half a foot's width is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from nesting.project.model import Project
from nesting.project.wall_keys import Wall
from nesting.wall.built import Built
from nesting.wall.rows import Row, Run, blocked, crosses
from nesting.wall.spans import Span, joined, shared, without

Foot = Literal["next cleat", "spacer", "own cleat"]


@dataclass(frozen=True, slots=True)
class Place:
    """A stretch of a row on which a holder may hang: its left edge lies from ``low`` to ``high``, both included.

    ``bottom`` and ``top`` are the heights of its foot and of its upper edge in the usable area.
    """

    row: int
    foot: Foot
    low: Fraction
    high: Fraction
    bottom: Fraction
    top: Fraction


@dataclass(frozen=True, slots=True)
class Tried:
    """What each rule leaves of the rows for one holder, rule after rule; ``places`` is what all of them leave."""

    wide_enough: bool
    high_enough: bool
    clear_above: bool
    off_keepouts: bool
    places: tuple[Place, ...]


def places(project: Project, rows: Sequence[Row], built: Built) -> tuple[Place, ...]:
    """Return where a holder may hang on the wall of a project, from the top and from the left."""
    return tried(project, rows, built).places


def tried(project: Project, rows: Sequence[Row], built: Built) -> Tried:
    """Return where a holder may hang, and which rule leaves it nowhere if none does."""
    wall, cleats = project.wall, project.cleats
    if wall is None:
        return Tried(False, False, False, False, ())
    wide = high = clear = off = False
    found: list[Place] = []
    for row in rows:
        bottom, top = row.y + built.bottom, row.y + built.top
        spans: tuple[Span, ...] = tuple((run.x, run.end - built.width) for run in row.runs if run.length >= built.width)
        wide = wide or bool(spans)
        if bottom < 0 or top + built.lift > wall.height or not spans:
            continue
        high = True
        lifted = row.y + cleats.wall_height + cleats.holder_height
        above = [other for other in rows if row.y < other.y < lifted]
        spans = _clear_of(spans, [run for other in above for run in other.runs], built.width)
        clear = clear or bool(spans)
        spans = _off_keepouts(wall, spans, bottom, top + built.lift, built.width)
        off = off or bool(spans)
        under = [other for other in rows if other.y < row.y and other.y + cleats.wall_height > bottom]
        for foot, stretches in _feet(spans, under, built):
            found += [Place(row.index, foot, low, end, bottom, top) for low, end in stretches]
    return Tried(wide, high, clear, off, tuple(found))


def _clear_of(spans: Iterable[Span], runs: Iterable[Run], width: Fraction) -> tuple[Span, ...]:
    """Return where a piece of this width meets none of the runs."""
    left = tuple(spans)
    for run in runs:
        left = without(left, run.x - width, run.end)
    return left


def _off_keepouts(
    wall: Wall, spans: Iterable[Span], low: Fraction, high: Fraction, width: Fraction
) -> tuple[Span, ...]:
    left = tuple(spans)
    for keepout in wall.keepout:
        if crosses(keepout, low, high):
            start, end = blocked(keepout)
            left = without(left, start - width, end)
    return left


def _feet(spans: tuple[Span, ...], under: Sequence[Row], built: Built) -> list[tuple[Foot, tuple[Span, ...]]]:
    """Part spans by what a foot rests on there; ``under`` are the rows whose cleats the back reaches down to."""
    half = built.width / 2
    runs = [run for row in under for run in row.runs]
    bears = joined((run.x - half, run.end - half) for run in runs if run.length >= half)
    resting = joined(shared(spans, bears))
    feet: list[tuple[Foot, tuple[Span, ...]]] = [("next cleat", resting)]
    if built.spacer is not None:
        feet.append(("spacer", joined(_clear_of(spans, runs, built.width))))
        return feet
    rest = spans
    for low, high in resting:
        rest = without(rest, low, high)
    ends = {end for span in resting for end in span}
    feet.append(("own cleat", tuple(span for span in joined(rest) if span[0] < span[1] or span[0] not in ends)))
    return feet
