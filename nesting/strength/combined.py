"""Load at an angle to the surface: a screw that is pulled out and pushed sideways at once."""

from __future__ import annotations

import math


def at_angle(lateral: float, withdrawal: float, degrees: float) -> float:
    """Return Z'_a in lb for a load at an angle from the wood's surface, NDS Eq. 12.4-1, screws (transcribed, p. 89).

    ``lateral`` is Z', ``withdrawal`` W'p.

    >>> round(at_angle(226, 128, 45), 1)
    163.4
    """
    angle = math.radians(degrees)
    return withdrawal * lateral / (withdrawal * math.cos(angle) ** 2 + lateral * math.sin(angle) ** 2)


def nails_at_angle(lateral: float, withdrawal: float, degrees: float) -> float:
    """Return Z'_a in lb for nails: first powers of sine and cosine, NDS Eq. 12.4-2 (transcribed, p. 89)."""
    angle = math.radians(degrees)
    return withdrawal * lateral / (withdrawal * math.cos(angle) + lateral * math.sin(angle))


def ratio(shear: float, pull: float, lateral: float, withdrawal: float) -> float:
    """Return load over capacity for a shear V and a pull T: R / Z'_a = (V^2 / Z' + T^2 / W'p) / R, NDS Eq. 12.4-1.

    >>> round(ratio(50, 50, 100, 100), 4)
    0.7071
    """
    resultant = math.hypot(shear, pull)
    if not resultant:
        return 0.0
    return (shear**2 / lateral + pull**2 / withdrawal) / resultant


def worst_ratio(shear: float, pull: float, lateral: float, withdrawal: float) -> float:
    """Return the greatest ratio of any part of a shear and a pull: both, the shear alone or the pull alone.

    Where a screw holds sideways far better than outward, Eq. 12.4-1 falls as a little shear is added to a pull. Neither
    of the two loads is sure to be there, so the greatest of the three is taken; that more load helps is thereby ruled
    out (derived: for a given pull the ratio falls and then rises with the shear, and the other way round).

    >>> worst_ratio(10, 90, 400, 100)
    0.9
    """
    return max(ratio(shear, pull, lateral, withdrawal), shear / lateral, pull / withdrawal)
