"""The screws of one holder: into its cleat, into the spacer at its foot, and at its butt joints.

Counts and lengths: common practice, no source. No. 6 × 1 1/4 in (30 mm) into the holder cleat is the usual one; the
length is chosen so that it never comes through the cleat, where it would scratch or stand off the wall.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from nesting.lengths import Unit
from nesting.trade.saw import inches
from nesting.trade.screw_lengths import SOLD, at_least, at_most
from nesting.wall.styles import Joint

USUAL_INTO_CLEAT: Final[Mapping[Unit, Fraction]] = {"in": Fraction(5, 4), "mm": Fraction(30)}
_COVER: Final[Mapping[Unit, Fraction]] = {"in": Fraction(1, 16), "mm": Fraction(3, 2)}
_BITE: Final[Mapping[Unit, Fraction]] = {"in": Fraction(1, 2), "mm": Fraction(12)}
_CLEAT_SPACING, _JOINT_SPACING = 8, 6


@dataclass(frozen=True, slots=True)
class HolderScrews:
    """Screws of one kind in one holder: what they join, their number, size and length, and where they go.

    ``spacer``: only a copy that has a spacer needs them.
    """

    joins: str
    count: int
    gauge: int
    length: Fraction
    note: str = ""
    spacer: bool = False


@dataclass(frozen=True, slots=True)
class IntoCleat:
    """The screw through a back into its cleat: its length, whether the usual one would come through, and its bite."""

    length: Fraction
    through: Fraction
    bite: Fraction


def into_cleat(back: Fraction, cleat: Fraction, unit: Unit, asked: Fraction | None = None) -> IntoCleat:
    """Return the screw through a back of one thickness into a cleat of another; ``asked`` overrules the choice.

    ``through`` is by how much the usual screw (or the one asked for) would come out of the cleat; 0: it does not.
    Of the screws that stay 1/16 in (1.5 mm) inside, it is the usual one or, where a thick back leaves that less than
    1/2 in (12 mm) to bite, the next longer; where none bites so deep, the longest.

    >>> half, three = Fraction(15, 32), Fraction(23, 32)
    >>> into_cleat(three, three, "in").length, into_cleat(half, three, "in")
    (Fraction(5, 4), IntoCleat(length=Fraction(1, 1), through=Fraction(1, 16), bite=Fraction(17, 32)))
    """
    usual = USUAL_INTO_CLEAT[unit] if asked is None else asked
    through = max(Fraction(0), usual - back - cleat)
    if asked is not None:
        return IntoCleat(asked, through, asked - back)
    most = at_most(back + cleat - _COVER[unit], unit) or SOLD[unit][0]
    length = min(most, at_least(max(usual, back + _BITE[unit]), unit) or most)
    return IntoCleat(length, through, length - back)


def bites(screw: IntoCleat, unit: Unit) -> bool:
    """Whether a screw stands at least 3/8 in (9.5 mm) in the cleat."""
    return screw.bite >= inches(Fraction(3, 8), unit)


def along(length: Fraction, spacing: int, unit: Unit) -> int:
    """Return how many screws go along a length: two at least, at most ``spacing`` inches apart.

    >>> [along(Fraction(n), 8, "in") for n in (4, 12, 24)]
    [2, 3, 4]
    """
    return max(2, int(-(-length // inches(spacing, unit))) + 1)


def across_joint(thickness: Fraction, unit: Unit) -> Fraction:
    """Return the length of a screw through one part into the edge of another: the longest within three thicknesses.

    >>> across_joint(Fraction(15, 32), "in"), across_joint(Fraction(23, 32), "in")
    (Fraction(5, 4), Fraction(2, 1))
    """
    return at_most(3 * thickness, unit) or SOLD[unit][0]


def into_joints(joints: Iterable[Joint], thickness: Fraction, gauge: int, unit: Unit) -> tuple[HolderScrews, ...]:
    """Return the screws of a holder's butt joints."""
    length = across_joint(thickness, unit)
    return tuple(
        HolderScrews(
            f"{joint.through} into the edge of {'each ' if joint.count > 1 else 'the '}{joint.into}",
            joint.count * along(joint.length, _JOINT_SPACING, unit),
            gauge,
            length,
            "lead hole first: screws into the edge of plywood split it",
        )
        for joint in joints
    )


def into_holder_cleat(width: Fraction, screw: IntoCleat, gauge: int, unit: Unit) -> HolderScrews:
    """Return the screws that hold a back to its cleat."""
    return HolderScrews(
        "back into its cleat",
        along(width, _CLEAT_SPACING, unit),
        gauge,
        screw.length,
        "from the front, above the bevel, with glue",
    )
