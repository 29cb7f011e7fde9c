"""A tool holder as it is built: its parts, cleat, spacer, cuts, holes, screws and joints, all exact.

Lengths in the document's unit. The parts bear the holder's name, a colon and what they are: ``pump shelf: back``.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from nesting.project.holder_keys import Holder
from nesting.project.model import PartGrain
from nesting.steps import Caution
from nesting.wall.drilling import Hole
from nesting.wall.gussets import DiagonalCut
from nesting.wall.holder_screws import HolderScrews


@dataclass(frozen=True, slots=True)
class BuiltPart:
    """A rectangular part, ``quantity`` of it for all copies of its holder; ``thickness`` as the project asks for it."""

    name: str
    length: Fraction
    width: Fraction
    thickness: Fraction
    quantity: int
    grain: PartGrain
    note: str = ""


@dataclass(frozen=True, slots=True)
class HolderCleat:
    """The cleats of a holder, as long as its back is wide; ``quantity`` of them for all its copies."""

    name: str
    length: Fraction
    quantity: int


@dataclass(frozen=True, slots=True)
class Built:
    """A holder as it is built; ``parts``, ``cleat`` and ``gussets`` are for all its copies, the rest for one.

    ``spacer`` is the strip of the cleats' thickness that one copy gets behind its foot where it reaches no cleat below;
    None where its own wall cleat leaves no room for one. ``thickness`` is as measured. ``height`` is that of the back,
    ``top`` how far its upper edge stands above the lower edge of its wall cleat, ``lift`` how far it is raised to
    come off; ``arm`` how far the middle of its contents stands out from the bevel, ``contact`` how far the bevel lies
    below its upper edge.
    """

    holder: Holder
    thickness: Fraction
    parts: tuple[BuiltPart, ...]
    cleat: HolderCleat
    spacer: BuiltPart | None
    gussets: tuple[DiagonalCut, ...]
    drilling: tuple[Hole, ...]
    screws: tuple[HolderScrews, ...]
    joints: tuple[str, ...]
    depth: Fraction
    top: Fraction
    lift: Fraction
    arm: Fraction
    contact: Fraction
    cautions: tuple[Caution, ...]

    @property
    def name(self) -> str:
        """Name of the holder."""
        return self.holder.name

    @property
    def width(self) -> Fraction:
        """Width along the wall."""
        return self.holder.width

    @property
    def height(self) -> Fraction:
        """Height of the back, from its upper edge to its foot."""
        return self.holder.height

    @property
    def bottom(self) -> Fraction:
        """How far the foot stands above the lower edge of its wall cleat; negative where it is below."""
        return self.top - self.height

    def pad(self, foot: str) -> Fraction:
        """Return how far below the bevel its back bears: at its foot, or at its own wall cleat's lower edge.

        ``foot`` is as in :class:`nesting.wall.hanging.Hung`.
        """
        lowest = min(self.height, self.top) if foot == "own cleat" else self.height
        return lowest - self.contact
