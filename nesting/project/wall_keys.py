"""The keys of a wall to be fitted out: its usable area, studs, sheathing, keep-outs, rows and screws.

x and y are measured from the lower left corner of the usable area, x along the wall, y up.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Any, Final, Literal

from pydantic import Field

from nesting.lengths import Unit
from nesting.project.fields import (
    Length,
    LengthOrZero,
    Lengths,
    ListOf,
    Name,
    OneOrTwo,
    OwnLength,
    OwnLengthOrZero,
    StudSpecies,
)
from nesting.project.table import Table, usual
from nesting.strength.species import UNKNOWN

Start = Literal["top", "bottom"]
Gauge = Literal[6, 7, 8, 9, 10, 12, 14, 16, 18, 20, 24]
"""Sizes of wood screws in ANSI/AWC NDS 2018, Table L3, from ASME B18.6.1."""
ScrewKind = Literal["wood screw", "construction screw", "deck screw", "drywall screw"]
USUAL_SPACING: Final[dict[Unit, Fraction]] = {"in": Fraction(16), "mm": Fraction(400)}
"""Studs at 16 in on centre (IRC, Table R602.3(5)); 400 mm is common practice, no source."""


def _all_usual(description: str) -> Any:
    """Return a table that may be left out."""
    return Field(default={}, validate_default=True, description=f"{description} Default: every key at its own default.")


class Sheathing(Table):
    """One layer between the studs and the cleats."""

    name: Name = Field(description='What it is, such as "drywall". Required.')
    thickness: Length = Field(description="Its thickness. Required.")


class Studs(Table):
    """Where the studs stand: on a grid, or as measured."""

    first: OwnLengthOrZero = Field(
        default=None, description="Centre of the first stud on the grid. Default: one spacing from x = 0."
    )
    spacing: OwnLength = Field(
        default=None,
        description="Distance of the studs from centre to centre. Default: 16 in, or 400 mm in a millimetre document.",
    )
    positions: Lengths = Field(
        default=None,
        description="Centres as measured, in place of first and spacing. Default: on the grid.",
    )
    stud_width: Length = usual("1 1/2", "38", "Width of a stud's face.")
    species: StudSpecies = Field(
        default=UNKNOWN.name,
        description='Wood of the studs as its grade stamp groups it, such as "spruce-pine-fir" (SPF) or "douglas '
        'fir-larch" (DF-L). Steel and masonry are refused: wood screws do not hold there. Default: "unknown", reckoned '
        "as the weakest group of the table, spruce-pine-fir (south).",
    )

    def centres(self, width: Fraction, unit: Unit) -> tuple[Fraction, ...]:
        """Return the stud centres on a wall of this width, from its left end.

        >>> studs = Studs.model_validate({"first": "8", "spacing": "16"}, context={"unit": "in"})
        >>> [int(centre) for centre in studs.centres(Fraction(48), "in")]
        [8, 24, 40]
        """
        if self.positions is not None:
            return tuple(sorted(self.positions))
        spacing = USUAL_SPACING[unit] if self.spacing is None else self.spacing
        first = spacing if self.first is None else self.first
        return tuple(first + spacing * n for n in range((width - first) // spacing + 1))


class Keepout(Table):
    """A part of the wall that stays free: an outlet, a switch, a window, a door, a pipe."""

    name: Name = Field(description="What is there; used once among all keep-outs. Required.")
    x: LengthOrZero = Field(description="Its left edge. Required.")
    y: LengthOrZero = Field(description="Its lower edge. Required.")
    width: Length = Field(description="Width along the wall. Required.")
    height: Length = Field(description="Height. Required.")
    clearance: LengthOrZero = Field(
        default=Fraction(0), description="Room to leave around it on all sides. Default: 0."
    )


class WallScrews(Table):
    """The screws that hold wall cleats to the studs."""

    gauge: Gauge = Field(default=8, description="Screw size by number, 6 to 24. Default: 8.")
    length: OwnLength = Field(
        default=None,
        description="Length of the screw. Default: the shortest usual length that gives the wanted embedment.",
    )
    per_stud: OneOrTwo = Field(default=1, description="Screws at every stud, 1 or 2. Default: 1.")
    kind: ScrewKind = Field(
        default="wood screw",
        description='"wood screw" (ASME B18.6.1; the one kind that the NDS rates), "construction screw", '
        '"deck screw" or "drywall screw". Default: "wood screw".',
    )


class Wall(Table):
    """A wall to be fitted out with rows of wall cleats."""

    width: Length = Field(description="Width of the usable area. Required.")
    height: Length = Field(description="Height of the usable area. Required.")
    floor_gap: LengthOrZero = Field(
        default=Fraction(0), description="Height of the area's lower edge above the floor. Default: 0."
    )
    gap: OwnLength = Field(
        default=None, description="Clear height between cleats, in place of rows. Default: the height of a wall cleat."
    )
    rows: Lengths = Field(
        default=None,
        description="Lower edges of the cleats above y = 0, in place of gap. Default: rows at equal gaps.",
    )
    start: Start = Field(
        default="top",
        description='Where the first row sits, "top" or "bottom" of the area; rows at equal gaps only. No row stands '
        "nearer to the top than a holder cleat is high, so that a holder can be lifted off it. Default: "
        '"top".',
    )
    overhang: LengthOrZero = usual("4", "100", "A cleat may run this far past its last stud.")
    sheathing: ListOf[Sheathing] = Field(
        default=(), description="Layers between studs and cleats. Default: none, bare studs."
    )
    studs: Studs = _all_usual("The studs.")
    keepout: ListOf[Keepout] = Field(default=(), description="What stays free. Default: nothing.")
    screws: WallScrews = _all_usual("The screws at the studs.")
    embedment: Length = usual("1 1/4", "32", "How deep a screw is to stand in the stud.")
