"""Groups of screws: what each carries where the load tips or twists the group.

Forces, lengths and moments in any consistent units.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass


def pull_of_rows(moment: float, rows: Sequence[tuple[float, int]]) -> tuple[float, ...]:
    """Return the pull on one screw of each row of a plate that tips about its edge: T_i = M y_i / sum(n y^2).

    ``rows`` are (distance y from the edge, screws n in the row). Elastic, the plate stiff: machine-design textbook,
    wall bracket (read).

    >>> [round(pull, 1) for pull in pull_of_rows(200, [(1, 2), (3, 2)])]
    [10.0, 30.0]
    """
    stiffness = sum(count * y**2 for y, count in rows)
    return tuple(moment * y / stiffness for y, _ in rows)


def bracket_pull(load: float, arm: float, far: float, near: float) -> float:
    """Return F_1 = P e l_1 / (2 (l_1^2 + l_2^2)), the pull on a far bolt of four: machine-design textbook (read).

    >>> round(bracket_pull(25_000, 100, 150, 25), 1)
    8108.1
    """
    return load * arm * far / (2 * (far**2 + near**2))


def area_by_shear(pull: float, shear: float, allowed: float) -> float:
    """Return the core area at which the greatest shear stress, sqrt((s/2)^2 + t^2), is as allowed (textbook, read)."""
    return math.hypot(pull / 2, shear) / allowed


def area_by_principal(pull: float, shear: float, allowed: float) -> float:
    """Return the core area at which the principal stress, s/2 + sqrt((s/2)^2 + t^2), is as allowed (textbook, read)."""
    return (pull / 2 + math.hypot(pull / 2, shear)) / allowed


@dataclass(frozen=True, slots=True)
class Carried:
    """What one screw of a twisted group carries: components and their resultant."""

    across: float
    down: float

    @property
    def resultant(self) -> float:
        """Size of the force."""
        return math.hypot(self.across, self.down)


def twisted(load: float, arm: float, places: Sequence[tuple[float, float]]) -> tuple[Carried, ...]:
    """Return what each screw carries of a downward load at ``arm`` to the right of the group's centre.

    Direct P / n and torsion P e r_i / sum(r^2), across the radius, added as vectors: machine-design textbook (read).
    ``places`` are (x to the right, y up) from the centre of the group.

    >>> group = twisted(10_000, 500, [(x, y) for x in (-100, 100) for y in (-75, 75)])
    >>> round(max(screw.resultant for screw in group), 1)
    12093.4
    """
    polar = sum(x * x + y * y for x, y in places)
    turn = load * arm / polar
    return tuple(Carried(turn * y, load / len(places) + turn * x) for x, y in places)


def knee_brace(load: float, at: float, out: float, down: float) -> tuple[float, float]:
    """Return (force along a brace, pull at the top) for a load ``at`` from the wall, the brace ``out`` and ``down``.

    W x sqrt(d^2 + h^2) / (d h) and W x / h: moments about the wall (derived).

    >>> [round(force, 2) for force in knee_brace(40, 10, 8, 8)]
    [70.71, 50.0]
    """
    return load * at * math.hypot(out, down) / (out * down), load * at / down
