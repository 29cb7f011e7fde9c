"""The screw schedule: which screws hold the wall cleats to the studs, how many, and the screws of the holders.

A screw passes the cleat and the sheathing, which hold nothing, and must stand as deep in the stud as is wanted. Lengths
as sold, a screw at every stud and the usual No. 8 × 2 1/2 in (60 mm): common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from nesting.errors import Fault
from nesting.lengths import Unit, exact_text, show_length
from nesting.project.faults import fault
from nesting.project.model import Project
from nesting.project.wall_keys import Wall
from nesting.steps import Caution
from nesting.trade.saw import inches
from nesting.trade.screw_lengths import SIZES, SOLD, at_least, clearance_hole, lead_hole
from nesting.wall.built import Built
from nesting.wall.section import section_of

USUAL: Final[Mapping[Unit, Fraction]] = {"in": Fraction(5, 2), "mm": Fraction(60)}
WIRING: Final = Fraction(5, 4)
"""Cables and pipes in bored holes may stand this near behind a stud's face, in inches (NEC 300.4(A)(1))."""
LEAST_DIAMETERS: Final = 6
"""A screw that stands less deep than so many of its diameters has no rated value (ANSI/AWC NDS 2018, 12.1.5.6)."""
_EDGE: Final = Fraction(5, 2)
"""Diameters from a stud's edge (NDS Commentary, Table C12.1.5.7)."""


@dataclass(frozen=True, slots=True)
class WallScrew:
    """The screw through a wall cleat: its size and length, how deep it stands in the stud, and its holes.

    ``layers`` is what it passes before the stud; ``usual`` how deep the usual length would stand.
    """

    gauge: int
    kind: str
    length: Fraction
    layers: Fraction
    embedded: Fraction
    wanted: Fraction
    usual: Fraction
    clearance: Fraction
    lead: Fraction


@dataclass(frozen=True, slots=True)
class ScrewLine:
    """A line of the schedule: what the screws hold, their number, size and length."""

    holds: str
    count: int
    gauge: int
    length: Fraction
    kind: str
    note: str = ""


def wall_screw(project: Project, wall: Wall) -> WallScrew:
    """Return the screw for a project's wall: the one asked for, or the shortest sold that stands as deep as wanted.

    Where none sold is long enough it is as long as it has to be; :func:`cautions` says so.
    """
    unit, asked = project.unit, wall.screws
    layers = section_of(project).thickness + sum((layer.thickness for layer in wall.sheathing), Fraction(0))
    needed = layers + wall.embedment
    length = asked.length or at_least(needed, unit) or needed
    return WallScrew(
        asked.gauge,
        asked.kind,
        length,
        layers,
        length - layers,
        wall.embedment,
        USUAL[unit] - layers,
        clearance_hole(asked.gauge, unit),
        lead_hole(asked.gauge, unit),
    )


def screws_at(project: Project, wall: Wall, x: Fraction, length: Fraction) -> tuple[Fraction, ...]:
    """Return where along the wall the screws of a piece of a row go: at the centre of every stud behind it.

    Where a piece ends on a stud, as at a splice, its screw moves in from the end as far as the stud's edge allows.
    Two screws a stud stand one over the other.
    """
    unit = project.unit
    mark = Fraction(1, 32) if unit == "in" else Fraction(1, 2)
    across = inches(SIZES[wall.screws.gauge][0], unit)
    aside = max(Fraction(0), (wall.studs.stud_width / 2 - _EDGE * across) // mark * mark)
    centres = [centre for centre in wall.studs.centres(wall.width, unit) if x <= centre <= x + length]
    return tuple(min(max(centre, x + aside), x + length - aside) for centre in centres)


def row_screws(project: Project, pieces: Sequence[tuple[int, Fraction, Fraction]]) -> tuple[ScrewLine, ...]:
    """Return the lines for wall cleats, row by row; a piece is its row, its low end and its length."""
    wall = project.wall
    if wall is None:
        return ()
    screw = wall_screw(project, wall)
    counts: dict[int, int] = {}
    for row, x, length in pieces:
        counts[row] = counts.get(row, 0) + wall.screws.per_stud * len(screws_at(project, wall, x, length))
    return tuple(
        ScrewLine(f"row {row} to the studs", count, screw.gauge, screw.length, screw.kind)
        for row, count in sorted(counts.items())
    )


def holder_lines(built: Sequence[Built], spacers: Mapping[str, int]) -> tuple[ScrewLine, ...]:
    """Return the lines for holders, all copies together; ``spacers`` tells how many copies have one."""
    lines = []
    for holder in built:
        for screws in holder.screws:
            copies = spacers.get(holder.name, 0) if screws.spacer else holder.holder.quantity
            if copies:
                count = copies * screws.count
                holds = f"{holder.name}: {screws.joins}"
                lines.append(ScrewLine(holds, count, screws.gauge, screws.length, "wood screw", screws.note))
    return tuple(lines)


def shopping(lines: Sequence[ScrewLine]) -> tuple[tuple[str, int, Fraction, int], ...]:
    """Return kind, size, length and number of the screws to buy, one entry for each length.

    >>> line = ScrewLine("row 1 to the studs", 9, 8, Fraction(5, 2), "wood screw")
    >>> [(kind, gauge, str(length), count) for kind, gauge, length, count in shopping([line, line])]
    [('wood screw', 8, '5/2', 18)]
    """
    counts: dict[tuple[str, int, Fraction], int] = {}
    for line in lines:
        key = (line.kind, line.gauge, line.length)
        counts[key] = counts.get(key, 0) + line.count
    return tuple((*key, count) for key, count in sorted(counts.items()))


def faults(project: Project) -> Iterator[Fault]:
    """Yield why the screws asked for cannot hold a wall cleat."""
    wall = project.wall
    if wall is None or wall.screws.length is None:
        return
    screw = wall_screw(project, wall)
    if screw.embedded <= 0:
        asked, layers = _said(project, screw.length), _said(project, screw.layers)
        needed = at_least(screw.layers + screw.wanted, project.unit)
        usual = f"; {_said(project, needed)} is sold" if needed is not None else ""
        yield fault(
            ("wall", "screws", "length"),
            f"{asked} does not reach the studs behind {layers} of cleat and sheathing",
            f"more than {layers}, {_said(project, screw.layers + screw.wanted)} for the embedment wanted{usual}",
        )


def cautions(project: Project) -> Iterator[Caution]:
    """Yield what to mind when the wall cleats are screwed on."""
    wall = project.wall
    if wall is None:
        return
    screw = wall_screw(project, wall)
    for code, text in _told(project, wall, screw):
        yield Caution(code, text, "wall cleats")


def _said(project: Project, value: Fraction) -> str:
    return f"{show_length(value, project.unit, project.project.fence_step)} {project.unit}"


def _told(project: Project, wall: Wall, screw: WallScrew) -> Iterator[tuple[str, str]]:
    unit = project.unit

    def said(value: Fraction) -> str:
        return _said(project, value)

    layers = " and ".join([said(section_of(project).thickness), *(said(layer.thickness) for layer in wall.sheathing)])
    if wall.screws.length is not None and screw.embedded < screw.wanted:
        yield (
            "wall_screw_short",
            f"Screws of {said(screw.length)} stand only {said(screw.embedded)} in the studs behind {layers}, less than "
            f"the {said(screw.wanted)} wanted.",
        )
    elif screw.usual < screw.wanted:
        stands = f"stand only {said(screw.usual)} in the studs" if screw.usual > 0 else "not reach the studs"
        yield (
            "usual_screw_short",
            f"The usual {said(USUAL[unit])} screw would {stands} behind {layers}, less than the {said(screw.wanted)} "
            f"wanted: use {said(screw.length)}.",
        )
    if screw.length > SOLD[unit][-1]:
        yield (
            "no_such_screw",
            f"No usual screw is {said(screw.length)} long; the longest is {said(SOLD[unit][-1])}. Use a structural "
            "screw of that length, or take the sheathing off behind the cleats.",
        )
    least = LEAST_DIAMETERS * inches(SIZES[screw.gauge][0], unit)
    mark = project.project.fence_step if unit == "in" else Fraction(1, 10)
    if screw.embedded < least:
        yield (
            "wall_screw_unrated",
            f"A screw that stands {said(screw.embedded)} in the stud, less than 6 of its diameters "
            f"({said(-(-least // mark) * mark)}), has no rated value (ANSI/AWC NDS 2018, 12.1.5.6).",
        )
    if screw.embedded > inches(WIRING, unit):
        yield (
            "wiring_behind",
            f"The screws reach {said(screw.embedded)} behind the face of the studs; cables and pipes may stand "
            f"{said(inches(WIRING, unit))} behind it (NEC 300.4(A)(1)). Find out where they run before you drill, "
            "above and below every box, switch and sink most of all. A steel plate that stops the bit means stop.",
        )
    yield (
        "wall_lead_holes",
        f"Drill {exact_text(screw.clearance, unit)} {unit} through the cleat and {exact_text(screw.lead, unit)} {unit} "
        f"into the stud for No. {screw.gauge}, "
        "always where a piece ends on a stud: there each piece has a screw of its own, near the stud's edge. Drywall "
        "and sheathing hold nothing: find the centre of every stud.",
    )
