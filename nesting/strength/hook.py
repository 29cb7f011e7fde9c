"""The bevel as a hook: what a hung weight does at bevel, foot and back, and how it tips the cleat on the wall.

Free bodies without friction unless said; derived, the numbers in the tests being regression values. Any consistent
units. The angle b is the bevel's, from horizontal (45 degrees: from square, the same).
"""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Hung:
    """A hung item: its ``weight``, how far ``out`` from the bevel's contact it acts, how far below its foot bears.

    ``above`` is the height of the back's contact with the wall above the bevel's.
    """

    weight: float
    out: float
    foot: float
    bevel: float = 45.0
    above: float = 0.0

    @property
    def contact(self) -> float:
        """Force across the bevel, N = W / cos b."""
        return self.weight / math.cos(math.radians(self.bevel))

    @property
    def thrust(self) -> float:
        """Horizontal part of it, H = W tan b: pulls the item to the wall and the wall cleat off it."""
        return self.weight * math.tan(math.radians(self.bevel))

    @property
    def at_foot(self) -> float:
        """What the foot presses on the wall, B = (W e + a H) / (h + a).

        >>> round(Hung(50, 8, 12).at_foot, 3), round(Hung(50, 8, 12, above=0.36).at_foot, 3)
        (33.333, 33.819)
        """
        return (self.weight * self.out + self.above * self.thrust) / (self.foot + self.above)

    @property
    def at_back(self) -> float:
        """What the wall presses on the back near the bevel, C = H - B; below 0 the hook would have to be held."""
        return self.thrust - self.at_foot

    @property
    def seated(self) -> bool:
        """Whether the hook stays seated without friction: C >= 0, that is e / h <= tan b."""
        return self.out / self.foot <= math.tan(math.radians(self.bevel))

    @property
    def design_thrust(self) -> float:
        """H to design for, W max(tan b, e / h)."""
        return self.weight * max(math.tan(math.radians(self.bevel)), self.out / self.foot)

    def thrust_with_friction(self, friction: float) -> tuple[float, float]:
        """Return the range W tan(b - phi) to W tan(b + phi), tan phi the coefficient of friction.

        >>> [round(thrust, 2) for thrust in Hung(50, 8, 12).thrust_with_friction(0.3)]
        [26.92, 92.86]
        """
        bevel, phi = math.radians(self.bevel), math.atan(friction)
        return self.weight * math.tan(bevel - phi), self.weight * math.tan(bevel + phi)

    def bearing(self, length: float, thickness: float) -> float:
        """Return the pressure on the bevel, N / (L t / cos b) = W / (L t)."""
        return self.weight / (length * thickness)


def lift_to_unhook(thickness: float, bevel: float = 45.0) -> float:
    """Return how far an item is lifted to come off, t tan b."""
    return thickness * math.tan(math.radians(bevel))


@dataclass(frozen=True, slots=True)
class Tipped:
    """A cleat that tips about its lower edge: load on its bevel, screws in one row.

    ``height`` is the long face, ``row`` the height of the screws above the lower edge; ``thrust`` and ``weight`` act
    at mid thickness of the bevel.
    """

    weight: float
    thrust: float
    height: float
    thickness: float
    row: float
    bevel: float = 45.0

    @property
    def contact_height(self) -> float:
        """Height of the load above the lower edge, y_b = h_c - (t / 2) tan b."""
        return self.height - self.thickness / 2 * math.tan(math.radians(self.bevel))

    @property
    def moment(self) -> float:
        """Moment about the lower edge, H y_b + W t / 2."""
        return self.thrust * self.contact_height + self.weight * self.thickness / 2

    @property
    def pull(self) -> float:
        """Pull on the row of screws, T = (H y_b + W x_c) / y_s; at 45 degrees W h_c / y_s whatever the thickness.

        >>> round(Tipped(50, 50, 4, 0.719, 2).pull, 9), round(Tipped(50, 50, 4, 0.719, 3).pull, 1)
        (100.0, 66.7)
        """
        return self.moment / self.row

    @property
    def at_edge(self) -> float:
        """What the lower edge presses on the wall, T - H."""
        return self.pull - self.thrust
