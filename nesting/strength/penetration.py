"""How far a screw reaches into the member that holds its point: least reach, full value, stud edges, pipes and wires.

Inches throughout.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from nesting.strength.wood_screws import WoodScrew

PRACTICE: Final = 1.25
"""What the trade aims at in the stud (common practice, no source)."""
STUD_FACE_TO_HOLE: Final = 1.25
"""Bored holes for cables stand at least 1 1/4 in (31.8 mm) from the stud's face, else a 1/16 in steel plate protects
them: NEC 300.4(A)(1) (read)."""


@dataclass(frozen=True, slots=True)
class Reach:
    """What of a screw lies in the main member: ``point`` its tip included, ``thread`` its thread alone."""

    point: float
    thread: float


def reach(size: WoodScrew, length: float, before: float) -> Reach:
    """Return how far a screw of a ``length`` goes into the main member behind ``before`` of other material.

    The length of a flat-headed screw includes its head (from memory).

    >>> from nesting.strength.wood_screws import screw
    >>> reach(screw(8), 2.5, 23 / 32 + 5 / 8).point  # 1 5/32: the usual screw falls short
    1.15625
    """
    point = max(0.0, length - before)
    return Reach(point, min(point, size.thread(length)))


def least(size: WoodScrew) -> float:
    """Return the least penetration for lateral load, 6 D with the tip (NDS 12.1.5.6, transcribed).

    >>> from nesting.strength.wood_screws import screw
    >>> round(least(screw(10)), 2)
    1.14
    """
    return 6 * size.diameter


def full(size: WoodScrew) -> float:
    """Return the penetration for full tabulated lateral values, 10 D (NDS Table 12L, footnote 3, transcribed)."""
    return 10 * size.diameter


def share_of_full(size: WoodScrew, point: float) -> float:
    """Return p / 10 D, at most 1: what tabulated lateral values are multiplied by (NDS Table 12L, footnote 3).

    The footnote holds from 6 D on; below that the NDS has no value, and this only reckons on in the same line.

    >>> from nesting.strength.wood_screws import screw
    >>> round(share_of_full(screw(10), 1.781), 3)
    0.937
    """
    return min(1.0, point / full(size))


def drift_from_centre(size: WoodScrew, stud_width: float) -> float:
    """Return how far from a stud's centre a screw may go and keep 2.5 D from the stud's edge.

    2.5 D: NDS advisory Commentary Table C12.1.5.7 (transcribed); the remainder by subtraction.

    >>> from nesting.strength.wood_screws import screw
    >>> [round(drift_from_centre(screw(gauge), 1.5), 3) for gauge in (8, 10, 14)]
    [0.34, 0.275, 0.145]
    """
    return stud_width / 2 - 2.5 * size.diameter


def side_by_side(size: WoodScrew, stud_width: float) -> bool:
    """Say whether two prebored screws fit beside each other across a stud's face.

    Edge 2.5 D and 3 D between rows, prebored: NDS advisory Commentary Table C12.1.5.7 (transcribed).

    >>> from nesting.strength.wood_screws import screw
    >>> side_by_side(screw(8), 1.5), side_by_side(screw(10), 1.5)
    (True, False)
    """
    return (2.5 + 3 + 2.5) * size.diameter <= stud_width


def between_along_grain(size: WoodScrew, prebored: bool) -> float:
    """Return the least distance of two screws along a stud's grain, loaded along the grain: 15 D, prebored 10 D.

    NDS advisory Commentary Table C12.1.5.7 (transcribed): in a row, parallel.

    >>> from nesting.strength.wood_screws import screw
    >>> round(between_along_grain(screw(8), prebored=True), 2)
    1.64
    """
    return (10 if prebored else 15) * size.diameter


def may_meet_cables(length: float, before_stud: float) -> bool:
    """Say whether a screw can pass 1 1/4 in behind the stud's face, where cables and pipes may run (NEC 300.4(A)(1)).

    >>> may_meet_cables(2.5, 23 / 32 + 1 / 2), may_meet_cables(2.25, 23 / 32 + 1 / 2)
    (True, False)
    """
    return length - before_stud > STUD_FACE_TO_HOLE
