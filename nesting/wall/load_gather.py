"""From a project, its holders as built and its wall as laid out to the plain facts that the load checks need."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Final, Protocol

from nesting.lengths import Unit
from nesting.project.model import Project
from nesting.strength.panels import weight
from nesting.strength.rails import Rail
from nesting.strength.species import UNKNOWN, read_species
from nesting.strength.units import from_inches, inches, pounds
from nesting.trade.screw_lengths import SOLD
from nesting.wall.built import Built
from nesting.wall.load_facts import Board, Driven, HolderFacts, JointScrews, PieceFacts, WallFacts
from nesting.wall.naming import HungPiece
from nesting.wall.screws import screws_at, wall_screw
from nesting.wall.section import section_of

TOOLS_OUT: Final = 2.0
"""How far in front of a flat back the middle of what hangs on it stands, inches (common practice, no source)."""
_JOINS: Final = re.compile(r"(\w+) into the edge of (?:each|the) (\w+)")


class Hangs(Protocol):
    """One copy of a holder where it hangs."""

    @property
    def holder(self) -> str:
        """Its name."""

    @property
    def x(self) -> Fraction:
        """Its low end."""

    @property
    def row(self) -> int:
        """Its row, from the top."""

    @property
    def foot(self) -> str:
        """What its foot rests on."""


def wall_facts(project: Project) -> WallFacts:
    """Return what holds for all cleats of a project; of one without a wall, what its holders need to know."""
    unit, wall = project.unit, project.wall
    section = section_of(project)
    heights = inches(section.wall_height, unit), inches(section.holder_height, unit)
    common = (float(project.cleats.bevel), inches(section.thickness, unit), *heights)
    if wall is None:
        return WallFacts(*common, 8, 2.5, 1, 0.0, UNKNOWN)
    between = sum((layer.thickness for layer in wall.sheathing), Fraction(0))
    return WallFacts(
        *common,
        wall.screws.gauge,
        inches(wall_screw(project, wall).length, unit),
        wall.screws.per_stud,
        inches(between, unit),
        read_species(wall.studs.species),
        inches(wall.embedment, unit),
        wall.screws.kind,
        tuple(inches(length, unit) for length in SOLD[unit]),
    )


def holder_facts(project: Project, built: Built, feet: Sequence[str] = ()) -> HolderFacts:
    """Return one holder's facts; of several copies the one whose back bears least deep.

    ``feet`` say what each copy's foot rests on; without any, its spacer or its own cleat is meant.
    """
    unit, holder = project.unit, built.holder
    usual = "own cleat" if built.spacer is None else "spacer"
    pad = min(inches(built.pad(foot), unit) for foot in feet or (usual,))
    thickness, width = inches(built.thickness, unit), inches(built.width, unit)
    out = inches(built.arm, unit)
    if holder.style == "back":
        out = max(out, wall_facts(project).thickness / 2 + thickness + TOOLS_OUT)
    first = built.screws[0]
    return HolderFacts(
        built.name,
        holder.style,
        width,
        inches(built.height, unit),
        inches(built.depth, unit),
        thickness,
        pounds(holder.load, unit),
        own_weight(project, built),
        out,
        pad,
        Driven(first.gauge, inches(first.length, unit), first.count),
        tuple(
            JointScrews(found[1], found[2], Driven(screws.gauge, inches(screws.length, unit), screws.count))
            for screws in built.screws
            if (found := _JOINS.fullmatch(screws.joins))
        ),
        _board(project, built),
        _gusset(project, built),
        all(
            stock.grain
            for stock in project.stocks
            if project.suits(holder.thickness or project.cleats.thickness, stock)
        ),
    )


def exact(value: float, unit: Unit) -> Fraction:
    """Return a size in inches as a length of the document, to a thousandth of a millimetre.

    >>> exact(7.5, "in"), exact(25 / 25.4, "mm")
    (Fraction(15, 2), Fraction(25, 1))
    """
    return Fraction(round(from_inches(value, unit), 3)).limit_denominator(1_000)


def own_weight(project: Project, built: Built) -> float:
    """Return what one copy weighs itself in lb: parts, cleat and spacer, as if of birch."""
    unit, copies = project.unit, built.holder.quantity
    own = inches(section_of(project).thickness, unit)
    pieces = [
        (part.length, part.width, Fraction(part.quantity, copies), inches(built.thickness, unit))
        for part in built.parts
    ]
    pieces.append((built.cleat.length, project.cleats.holder_height, Fraction(1), own))
    if built.spacer is not None:
        pieces.append((built.spacer.length, built.spacer.width, Fraction(1), own))
    return sum(
        float(count) * weight(inches(length, unit), inches(width, unit), thickness)
        for length, width, count, thickness in pieces
    )


def piece_facts(
    project: Project, pieces: Sequence[HungPiece], hung: Sequence[Hangs], facts: Mapping[str, HolderFacts]
) -> tuple[PieceFacts, ...]:
    """Return the pieces of all rows with the holders that hang on each, wholly or in part."""
    wall, unit = project.wall, project.unit
    if wall is None:
        return ()
    widths = {holder.name: holder.width for holder in project.holder}
    on_row: dict[int, list[Hangs]] = defaultdict(list)
    for one in hung:
        on_row[one.row].append(one)
    found = []
    for piece in pieces:
        end = piece.x + piece.length
        studs = tuple(inches(at - piece.x, unit) for at in screws_at(project, wall, piece.x, piece.length))
        here = tuple(
            facts[one.holder] for one in on_row[piece.row] if one.x < end and one.x + widths[one.holder] > piece.x
        )
        found.append(PieceFacts(piece.part, piece.row, Rail(inches(piece.length, unit), studs), here))
    return tuple(found)


def _board(project: Project, built: Built) -> Board | None:
    """Return the part that bears the contents, and what holes take of it at the weakest place."""
    unit = project.unit
    names = {f"{built.name}: {what}" for what in ("shelf", "bottom", "arm")}
    part = next((part for part in built.parts if part.name in names), None)
    if part is None:
        return None
    deep: dict[Fraction, Fraction] = defaultdict(Fraction)
    wide: dict[Fraction, Fraction] = defaultdict(Fraction)
    for hole in built.drilling:
        slot = hole.kind == "slot"
        deep[hole.along] += part.width - hole.from_rear + hole.diameter / 2 if slot else hole.diameter
        wide[Fraction(0) if slot else hole.from_rear] += hole.diameter
    lost = (max(side.values(), default=Fraction(0)) for side in (deep, wide))
    return Board(inches(part.length, unit), inches(part.width, unit), *(inches(value, unit) for value in lost))


def _gusset(project: Project, built: Built) -> tuple[float, float] | None:
    if not built.gussets:
        return None
    cut = built.gussets[0]
    return inches(cut.tall, project.unit), inches(cut.deep, project.unit)
