"""What the load checks need to know of holders, wall cleats and their pieces: plain inches and pounds.

Kept apart from how a wall is laid out, so that every check can be worked through by hand with a few numbers. Own weight
is reckoned at 3.5 lb a square foot for each inch of thickness, that of birch plywood (from memory); softwood plywood
weighs 3.0 (panel manual, read).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from nesting.strength.hook import Hung
from nesting.strength.rails import Rail
from nesting.strength.species import Species
from nesting.strength.wood_screws import WoodScrew, screw

Style = Literal["back", "shelf", "box", "rack", "bin", "bracket"]


@dataclass(frozen=True, slots=True)
class Driven:
    """Screws of one kind: gauge, length in inches, how many."""

    gauge: int
    length: float
    count: int

    @property
    def size(self) -> WoodScrew:
        """Diameters and strength."""
        return screw(self.gauge)


@dataclass(frozen=True, slots=True)
class JointScrews:
    """Screws through one part of a holder into the edge of another."""

    through: str
    into: str
    screws: Driven


@dataclass(frozen=True, slots=True)
class Board:
    """The part that bears the contents: a shelf, a bottom or an arm; ``lost_deep`` and ``lost_wide`` go to holes.

    ``length`` runs along the face grain. ``lost_deep`` is the most that holes take of a section across the wall,
    ``lost_wide`` of one along it.
    """

    length: float
    width: float
    lost_deep: float = 0.0
    lost_wide: float = 0.0


@dataclass(frozen=True, slots=True)
class HolderFacts:
    """One holder as it hangs. ``out`` is how far its load stands out from the bevel, ``pad`` how far below it it bears.

    ``depth`` is over all, from the rear of the back. ``board`` bears the contents (None: a flat back); ``gusset`` are
    the legs, upright and level, of its two gussets, ``parts`` the number of equal spans into which gussets part its
    shelf. ``grain``: every board has a face grain and lies as it should.
    """

    name: str
    style: Style
    width: float
    height: float
    depth: float
    thickness: float
    contents: float
    own: float
    out: float
    pad: float
    into_cleat: Driven
    joints: tuple[JointScrews, ...] = ()
    board: Board | None = None
    gusset: tuple[float, float] | None = None
    grain: bool = True
    parts: int = 1

    @property
    def weight(self) -> float:
        """Contents and own weight."""
        return self.contents + self.own

    def hung(self, bevel: float) -> Hung:
        """Return the holder as a free body on a bevel."""
        return Hung(self.weight, self.out, self.pad, bevel)

    def screws(self, through: str, into: str) -> Driven | None:
        """Return the screws through one part into the edge of another, if there are any."""
        return next((one.screws for one in self.joints if (one.through, one.into) == (through, into)), None)


@dataclass(frozen=True, slots=True)
class WallFacts:
    """What holds for all cleats of a wall: heights of tall faces, thickness, bevel in degrees, screws, studs.

    ``between`` is the sheathing between cleat and studs, ``wanted`` how deep screws are to stand in the stud, ``sold``
    the lengths in which screws can be had.
    """

    bevel: float
    thickness: float
    wall_height: float
    holder_height: float
    gauge: int
    length: float
    per_stud: int
    between: float
    species: Species
    wanted: float = 1.25
    kind: str = "wood screw"
    sold: tuple[float, ...] = ()

    @property
    def size(self) -> WoodScrew:
        """The wall screws' diameters and strength."""
        return screw(self.gauge)


@dataclass(frozen=True, slots=True)
class PieceFacts:
    """One piece of wall cleat: its name and row, its studs, and the holders that hang on it, wholly or in part."""

    name: str
    row: int
    rail: Rail
    holders: tuple[HolderFacts, ...]
