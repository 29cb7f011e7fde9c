"""What one screw of a wall or a holder may carry: sideways and outward, for loads that stay for years, dry and warm.

C_D 0.9 (NDS Table 2.3.2); C_M and C_t 1.0. Heads count as flat and let in. Pounds and inches.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from nesting.strength import combined, gap, head, lateral, penetration, withdrawal
from nesting.strength.factors import END_GRAIN, STORED
from nesting.strength.lateral import MODES, Mode
from nesting.strength.species import PANEL_GRAVITIES
from nesting.strength.wood_screws import WoodScrew
from nesting.wall.load_facts import Driven, WallFacts
from nesting.wall.load_rows import Check

PLYWOOD: Final = PANEL_GRAVITIES["plywood"]
EDGE: Final = 0.5
"""Share of a thread that holds in a plywood edge: the plies that show it side grain, half of them (derived). The NDS
allows no withdrawal from end grain (12.2.2.3) and has no value for panel edges."""
SOURCE: Final = "NDS 2018: 12.2-2, 12.3.1, 12.2-6, 12.4-1"
SOURCE_GAP: Final = "NDS 2018: 12.2-2, 12.4-1; lateral with a gap: own derivation after AWC TR12"


@dataclass(frozen=True, slots=True)
class Holds:
    """What one screw holds in lb: ``sideways`` Z' in a mode, ``thread`` W' p, ``head`` W_H'; ``point``: reach, in."""

    sideways: float
    mode: Mode
    thread: float
    head: float
    point: float

    @property
    def outward(self) -> float:
        """The lesser of thread and head."""
        return min(self.thread, self.head)

    def ratio(self, shear: float, pull: float) -> float:
        """Return the share that a shear and a pull take of what the screw holds."""
        if self.sideways <= 0 or self.outward <= 0:
            return 0.0 if shear <= 0 and pull <= 0 else float("inf")
        return combined.worst_ratio(shear, pull, self.sideways, self.outward)

    def may_carry(self, shear: float, pull: float) -> float:
        """Return the greatest load in the direction of a shear and a pull together, Z'_a."""
        ratio = self.ratio(shear, pull)
        return math.hypot(shear, pull) / ratio if ratio else self.sideways

    def governs(self, shear: float, pull: float) -> str:
        """Say what gives way first."""
        out = "the thread pulls out" if self.thread <= self.head else "the head pulls through"
        if self.outward <= 0 or self.sideways <= 0:
            return "the screw does not reach"
        sideways, outward = shear / self.sideways, pull / self.outward
        if outward > 3 * sideways:
            return out
        return f"sideways (mode {self.mode}: {MODES[self.mode]})" + (f" while {out}" if outward * 3 > sideways else "")


def at_stud(wall: WallFacts) -> Holds:
    """Return what one wall screw holds: cleat under its head, sheathing as a gap that bears nothing, stud."""
    size = wall.size
    into = penetration.reach(size, wall.length, wall.thickness + wall.between)
    shear = lateral.screw_shear(size, PLYWOOD, wall.thickness, wall.species.gravity, into.point, wall.between)
    mode, sideways = gap.lateral_value(shear)
    thread = withdrawal.capacity(withdrawal.wood_screw(wall.species.gravity, size.diameter), into.thread, STORED)
    return Holds(STORED * sideways, mode, thread, _head(size, wall.thickness), into.point)


def into_face(screws: Driven, side: float, main: float) -> Holds:
    """Return what one screw holds through a plywood ``side`` into the face of a plywood ``main`` behind it.

    The yield equations take the penetration as it is. Below 6 D, where a panel is too thin for more, the NDS rates no
    screw sideways; this reckons on with the same equations (own).
    """
    return _in_plywood(screws, side, main, 1.0, 1.0)


def into_edge(screws: Driven, side: float) -> Holds:
    """Return what one screw holds through a plywood ``side`` into a panel's edge: C_eg 0.67, half of the thread."""
    return _in_plywood(screws, side, float("inf"), END_GRAIN, EDGE)


def screw_check(item: str, check: str, holds: Holds, shear: float, pull: float, source: str, sentence: str) -> Check:
    """Return the check of one screw under a shear and a pull together."""
    load, may = math.hypot(shear, pull), holds.may_carry(shear, pull)
    return Check(item, check, load, may, "force", holds.governs(shear, pull), source, sentence)


def _in_plywood(screws: Driven, side: float, main: float, lateral_share: float, thread_share: float) -> Holds:
    size = screws.size
    into = penetration.reach(size, screws.length, side)
    point = min(into.point, main)
    mode, sideways = gap.lateral_value(lateral.screw_shear(size, PLYWOOD, side, PLYWOOD, point))
    sideways *= STORED * lateral_share
    held = withdrawal.capacity(withdrawal.wood_screw(PLYWOOD, size.diameter), min(into.thread, main), STORED)
    return Holds(sideways, mode, thread_share * held, _head(size, side), point)


def _head(size: WoodScrew, side: float) -> float:
    return STORED * head.pull_through_flat(size.head, PLYWOOD, side)
