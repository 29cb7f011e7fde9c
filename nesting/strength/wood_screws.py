"""Wood screws: sizes of ASME B18.6.1 as NDS Table L3 prints them, bending yield, thread, tip, lead holes.

Sizes in inches, strengths in pounds a square inch. Values hold for screws to ASME B18.6.1 alone: drywall, deck and
construction screws are outside unless they have a report of their own (NDS 12.1.5.1, 12.1.8, transcribed).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class WoodScrew:
    """One gauge: nominal diameter D, root diameter D_r, head diameter D_H (in), bending yield strength F_yb (psi)."""

    gauge: int
    diameter: float
    root: float
    head: float
    bending_yield: float

    @property
    def tip(self) -> float:
        """Length of the tapered tip, E = 2 D (NDS Table L3, transcribed)."""
        return 2 * self.diameter

    def thread(self, length: float) -> float:
        """Return the threaded length of a screw, T = the larger of 4 D and 2 L / 3 (NDS Table L3, transcribed).

        >>> screw(10).thread(3.0)
        2.0
        """
        return max(4 * self.diameter, 2 * length / 3)


_ROWS: Final = (
    (6, 0.138, 0.113, 0.262, 100_000),
    (7, 0.151, 0.122, 0.287, 90_000),
    (8, 0.164, 0.131, 0.312, 90_000),
    (9, 0.177, 0.142, 0.337, 90_000),
    (10, 0.190, 0.152, 0.363, 80_000),
    (12, 0.216, 0.171, 0.414, 80_000),
    (14, 0.242, 0.196, 0.480, 70_000),
    (16, 0.268, 0.209, 0.515, 70_000),
    (18, 0.294, 0.232, 0.602, 60_000),
    (20, 0.320, 0.255, 0.616, 60_000),
    (24, 0.372, 0.298, 0.724, 45_000),
)
SCREWS: Final = {row[0]: WoodScrew(*row) for row in _ROWS}
"""NDS Table L3 (transcribed, p. 182), from ASME B18.6.1; F_yb from Table I1 (transcribed, p. 175)."""

_YIELD_BANDS: Final = (
    (0.142, 100_000.0),
    (0.177, 90_000.0),
    (0.236, 80_000.0),
    (0.273, 70_000.0),
    (0.344, 60_000.0),
    (0.375, 45_000.0),
)


def screw(gauge: int) -> WoodScrew:
    """Return a gauge of the table. Raises ``ValueError`` for one it does not hold.

    >>> screw(8).root
    0.131
    """
    if gauge not in SCREWS:
        raise ValueError(f"No. {gauge} is not in the table; {', '.join(str(known) for known in SCREWS)} are")
    return SCREWS[gauge]


def nominal_diameter(gauge: int) -> float:
    """Return D = 0.060 + 0.013 gauge in inches (from memory; it gives every D of the table).

    >>> round(nominal_diameter(8), 3)
    0.164
    """
    return 0.060 + 0.013 * gauge


def bending_yield(diameter: float) -> float:
    """Return F_yb in psi for a *nominal* diameter of 0.099 to 0.375 in, NDS Table I1 (transcribed, p. 175).

    >>> bending_yield(0.190)
    80000.0
    """
    if not 0.099 <= diameter <= 0.375:
        raise ValueError(f"diameters from 0.099 to 0.375 in have a value, {diameter:g} has none")
    return next(strength for most, strength in _YIELD_BANDS if diameter <= most)


def lead_hole_for_withdrawal(size: WoodScrew, gravity: float) -> float:
    """Return the lead hole's diameter in inches where the thread holds; 0: none is required.

    NDS 12.1.5.2: none up to G 0.50 (transcribed); 70 % of the root up to 0.60, 90 % above (from memory).

    >>> lead_hole_for_withdrawal(screw(8), 0.42), round(lead_hole_for_withdrawal(screw(8), 0.55), 4)
    (0, 0.0917)
    """
    if gravity <= 0.50:
        return 0
    return (0.7 if gravity <= 0.60 else 0.9) * size.root
