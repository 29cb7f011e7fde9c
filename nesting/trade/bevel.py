"""The bevel rule: what a bevel rip removes, and how wide a blank must be for the cleats wanted.

With thickness t, kerf k and bevel b (degrees from square), measured in the plane of the sheet: the
rip removes k / cos b; a cleat's tall face exceeds its short face by t tan b; a blank of width W gives
tall faces h1 + h2 = W + t tan b - k / cos b. Plane trigonometry, derived; the published check is the
strip formula S = 2a - t tan b + k / cos b worked through in the tests.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

_DIGITS = 10**15


@lru_cache(maxsize=64)
def tangent(bevel: Fraction) -> Fraction:
    """Return tan b, exact at 0 and 45 degrees, elsewhere within 1e-15 of the double nearest to it.

    >>> tangent(Fraction(45)), tangent(Fraction(0))
    (Fraction(1, 1), Fraction(0, 1))
    """
    if bevel in (0, 45):
        return Fraction(int(bevel != 0))
    return Fraction(round(math.tan(math.radians(bevel)) * _DIGITS), _DIGITS)


@lru_cache(maxsize=64)
def secant(bevel: Fraction) -> Fraction:
    """Return 1 / cos b, exact at 0 degrees, elsewhere within 1e-15 of the double nearest to it."""
    if bevel == 0:
        return Fraction(1)
    return Fraction(round(_DIGITS / math.cos(math.radians(bevel))), _DIGITS)


def round_up(value: Fraction, step: Fraction) -> Fraction:
    """Return the smallest multiple of ``step`` that is not below ``value``.

    >>> round_up(Fraction(5458, 1000), Fraction(1, 32))
    Fraction(175, 32)
    """
    return -((-value) // step) * step


@dataclass(frozen=True, slots=True)
class Blank:
    """A strip to be bevel-ripped: its width, the fence setting, and the tall faces that come out.

    ``setting`` is measured at the table on the short face, the blade leaning away from the fence, from
    the low edge. ``low`` is the tall face of the cleat at that edge, ``high`` that of the other one;
    ``high`` is ``None`` for a lone cleat, whose blade eats the rest of the strip.
    """

    width: Fraction
    setting: Fraction
    low: Fraction
    high: Fraction | None


@dataclass(frozen=True, slots=True)
class Bevel:
    """The rule for one thickness, kerf and angle; ``rise`` is t tan b, ``gap`` is k / cos b."""

    thickness: Fraction
    kerf: Fraction
    angle: Fraction
    step: Fraction

    @property
    def rise(self) -> Fraction:
        """How much a cleat's tall face exceeds its short face."""
        return self.thickness * tangent(self.angle)

    @property
    def gap(self) -> Fraction:
        """Width that the tilted blade takes away, measured in the plane of the sheet."""
        return self.kerf * secant(self.angle)

    def pair(self, low: Fraction, high: Fraction) -> Blank:
        """Return the narrowest blank on the grid that gives tall faces of at least ``low`` and ``high``.

        The published trial value for 3 in cleats of 23/32 ply, kerf 1/8, 45 degrees:

        >>> rule = Bevel(Fraction(23, 32), Fraction(1, 8), Fraction(45), Fraction(1, 32))
        >>> blank = rule.pair(Fraction(3), Fraction(3))
        >>> blank.width, blank.setting, blank.low, round(float(blank.high), 4)
        (Fraction(175, 32), Fraction(73, 32), Fraction(3, 1), 3.0107)
        """
        setting = round_up(low - self.rise, self.step)
        width = round_up(setting + self.gap + high, self.step)
        return Blank(width, setting, setting + self.rise, width - setting - self.gap)

    def lone(self, height: Fraction) -> Blank:
        """Return the narrowest strip on the grid for one cleat, bevelled along its far edge.

        >>> rule = Bevel(Fraction(23, 32), Fraction(1, 8), Fraction(45), Fraction(1, 32))
        >>> rule.lone(Fraction(3)).width
        Fraction(3, 1)
        """
        setting = round_up(height - self.rise, self.step)
        tall = setting + self.rise
        return Blank(round_up(tall, self.step), setting, tall, None)
