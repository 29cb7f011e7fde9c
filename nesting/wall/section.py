"""A holder on its cleat seen from the side: how high it stands over its row, where its foot comes, what lifts it off.

The wall cleat's tall face looks into the room, its bevel falls toward the wall; the holder's cleat hooks into the
groove behind, its tall face against the wall and its upper edge flush with the upper edge of the holder's back. Between
wall and back everything is as thick as the cleats. Plane geometry, derived; flush mounting: common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from nesting.trade.bevel import tangent

if TYPE_CHECKING:
    from nesting.project.model import Project

FRICTION: Final = Fraction(3, 10)
"""Plywood on plywood, dry: the low end of what handbooks give for smooth dry wood (from memory)."""


@dataclass(frozen=True, slots=True)
class Section:
    """One geometry for all holders of a wall; ``thickness`` as measured, ``slope`` the tangent of the bevel.

    Depths are measured down from the upper edge of a holder's back, heights up from the lower edge of its wall cleat.
    """

    thickness: Fraction
    wall_height: Fraction
    holder_height: Fraction
    slope: Fraction

    @property
    def rise(self) -> Fraction:
        """How much a cleat's tall face exceeds its short one: a holder comes off when lifted so far."""
        return self.thickness * self.slope

    @property
    def top(self) -> Fraction:
        """Height of a holder's upper edge.

        3 in cleats of 23/32 in ply at 45 degrees:

        >>> usual = Section(Fraction(23, 32), Fraction(3), Fraction(3), Fraction(1))
        >>> usual.top, usual.contact, usual.own_foot
        (Fraction(169, 32), Fraction(169, 64), Fraction(169, 32))
        """
        return self.wall_height + self.holder_height - self.rise

    @property
    def contact(self) -> Fraction:
        """Depth of the middle of the bevel, where the holder's weight goes over."""
        return self.holder_height - self.rise / 2

    @property
    def own_foot(self) -> Fraction:
        """Depth of the lower edge of the holder's own wall cleat, against which its back lies flat."""
        return self.top

    def reaches(self, height: Fraction, drop: Fraction) -> bool:
        """Whether a back of this height rests on a wall cleat whose lower edge is ``drop`` below its own cleat's.

        >>> usual = Section(Fraction(23, 32), Fraction(3), Fraction(3), Fraction(1))
        >>> usual.reaches(Fraction(10), Fraction(6)), usual.reaches(Fraction(8), Fraction(6))
        (True, False)
        """
        return height > drop + self.holder_height - self.rise

    def spacer(self, height: Fraction, usual: Fraction, least: Fraction) -> Fraction | None:
        """Return the height of a spacer behind the foot; None where the back's own wall cleat leaves no room for one.

        When the holder is lifted off the spacer rises with it and must not meet the wall cleat above it.

        >>> usual = Section(Fraction(23, 32), Fraction(3), Fraction(3), Fraction(1))
        >>> [usual.spacer(Fraction(h), Fraction(3, 2), Fraction(1, 2)) for h in (8, 7, 6)]
        [Fraction(3, 2), Fraction(1, 1), None]
        """
        room = height - self.own_foot - self.rise
        return min(room, usual) if room >= least else None

    @property
    def steepest(self) -> Fraction | None:
        """How far out from the bevel a load may stand for each unit of pad below it, friction helping; None: any.

        tan(b + phi) with tan phi = 0.3; without friction the limit is ``slope``. Free body of the holder, derived.

        >>> Section(Fraction(23, 32), Fraction(3), Fraction(3), Fraction(1)).steepest
        Fraction(13, 7)
        """
        if self.slope * FRICTION >= 1:
            return None
        return (self.slope + FRICTION) / (1 - self.slope * FRICTION)


def section_of(project: Project) -> Section:
    """Return the section of a project's cleats, as thick as the thickest stock that suits them."""
    cleats = project.cleats
    thickness = measured(project, cleats.thickness)
    return Section(thickness, cleats.wall_height, cleats.holder_height, tangent(cleats.bevel))


def measured(project: Project, asked: Fraction) -> Fraction:
    """Return the measured thickness behind an asked one: of the thickest stock that suits it."""
    return max((stock.thickness for stock in project.stocks if project.suits(asked, stock)), default=asked)
