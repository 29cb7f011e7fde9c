"""Withdrawal: how hard a fastener pulls out of side grain, as design values (NDS) and ultimate ones (*Wood Handbook*).

Pounds an inch of thread in the member that holds the point; G oven-dry for the NDS, at 12 % moisture for the
*Wood Handbook*. Never in end grain (NDS 12.2.2.3, transcribed).
"""

from __future__ import annotations

import math

LOWEST_GRAVITY, HIGHEST_GRAVITY = 0.31, 0.73
"""Range of Eq. 12.2-2 (transcribed)."""


def wood_screw(gravity: float, diameter: float) -> float:
    """Return W = 2850 G^2 D in lb/in, NDS Eq. 12.2-2 (transcribed, p. 76; also read in two other handbooks).

    Printed Table 12.2B is up to 0.7 lb/in lower, for it is truncated.

    >>> round(wood_screw(0.50, 0.190), 3)
    135.375
    """
    if not LOWEST_GRAVITY <= gravity <= HIGHEST_GRAVITY:
        raise ValueError(
            f"a specific gravity from {LOWEST_GRAVITY} to {HIGHEST_GRAVITY} has a value, {gravity:g} has none"
        )
    return 2850 * gravity**2 * diameter


def lag_screw(gravity: float, diameter: float) -> float:
    """Return W = 1800 G^1.5 D^0.75 in lb/in, tip excluded, NDS Eq. 12.2-1 (read; Table 12.2A, p. 77).

    >>> round(lag_screw(0.50, 0.25))
    225
    """
    return 1800 * math.pow(gravity, 1.5) * math.pow(diameter, 0.75)


def nail(gravity: float, diameter: float) -> float:
    """Return W = 1380 G^2.5 D in lb/in for a smooth nail, NDS Eq. 12.2-3 (transcribed, p. 77).

    >>> round(nail(0.42, 0.131), 2)
    20.67
    """
    return 1380 * math.pow(gravity, 2.5) * diameter


def capacity(value: float, thread: float, duration: float = 1.0, wet: float = 1.0, temperature: float = 1.0) -> float:
    """Return W' p_t in lb: ``value`` (lb/in) times C_D, C_M, C_t and thread in inches, NDS 11.3 (transcribed).

    >>> round(capacity(wood_screw(0.42, 0.190), 1.5, duration=0.9), 3)
    128.953
    """
    return value * duration * wet * temperature * thread


def ultimate_wood_screw(gravity: float, diameter: float, thread: float) -> float:
    """Return the *ultimate* load P = 15,700 G^2 D L in lb, Wood Handbook Eq. 8-10 (number read, constant from memory).

    5.5 times the design value: not to be designed with.

    >>> round(ultimate_wood_screw(0.45, 0.190, 1.5), 2)
    906.09
    """
    return 15_700 * gravity**2 * diameter * thread


def ultimate_wood_screw_metric(gravity: float, diameter: float, thread: float) -> float:
    """Return the same in newtons from millimetres, P = 108.25 G^2 D L (number read, constant from memory)."""
    return 108.25 * gravity**2 * diameter * thread
