"""Boxes on a page: what a text or a mark covers, and whether two of them touch."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from nesting.draw.ink import Text
from nesting.draw.lettering import ASCENT, DESCENT, advance

CAPITALS = 0.75
_FLAT = frozenset("ABCDEFGHIKLMNOPRSTUVWXYZ0123456789 ×°:.-")
_RISING = frozenset("abcdefhiklmnorstuvwxz")
_STROKE = 0.15


@dataclass(frozen=True, slots=True)
class Box:
    """An upright rectangle from (``left``, ``top``) to (``right``, ``bottom``), y down the page."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        """From left to right."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """From top to bottom."""
        return self.bottom - self.top

    @property
    def centre(self) -> tuple[float, float]:
        """The middle."""
        return (self.left + self.right) / 2, (self.top + self.bottom) / 2

    def grown(self, by: float) -> Box:
        """Return the box with each side moved outwards, or inwards where ``by`` is negative."""
        return Box(self.left - by, self.top - by, self.right + by, self.bottom + by)

    def meets(self, other: Box) -> bool:
        """Whether the insides of the two boxes have a point in common."""
        return (
            self.left < other.right and other.left < self.right and self.top < other.bottom and other.top < self.bottom
        )

    def holds(self, other: Box) -> bool:
        """Whether the other box lies within this one."""
        return (
            self.left <= other.left
            and self.top <= other.top
            and self.right >= other.right
            and self.bottom >= other.bottom
        )

    def crossed(self, start: tuple[float, float], end: tuple[float, float]) -> bool:
        """Whether a straight line runs through the inside of the box (method of Liang and Barsky, 1984)."""
        (x1, y1), (x2, y2) = start, end
        if (x1 <= self.left and x2 <= self.left) or (x1 >= self.right and x2 >= self.right):
            return False
        if (y1 <= self.top and y2 <= self.top) or (y1 >= self.bottom and y2 >= self.bottom):
            return False
        enter, leave = 0.0, 1.0
        for origin, run, low, high in (
            (start[0], end[0] - start[0], self.left, self.right),
            (start[1], end[1] - start[1], self.top, self.bottom),
        ):
            if run == 0:
                continue
            first, last = sorted(((low - origin) / run, (high - origin) / run))
            enter, leave = max(enter, first), min(leave, last)
        return enter < leave


def reach(text: str) -> tuple[float, float]:
    """Return how far a text reaches above and below its base line, in ems: capitals and figures have no tails."""
    signs = set(text) - _FLAT
    if not signs:
        return CAPITALS, 0.02
    signs -= _RISING
    return ASCENT, 0.02 if not signs else _STROKE if signs == {"/"} else DESCENT


def box_of(text: Text) -> Box:
    """Return what a text covers at most, in whatever face it is shown.

    >>> box_of(Text(10, 20, "80", size=10, anchor="middle"))
    Box(left=3.63, top=12.5, right=16.37, bottom=20.2)
    """
    width = advance(text.text, text.size, bold=text.bold)
    above, below = (part * text.size for part in reach(text.text))
    before = {"start": 0.0, "middle": width / 2, "end": width}[text.anchor]
    if text.turned:
        return Box(text.x - above, text.y + before - width, text.x + below, text.y + before)
    return Box(text.x - before, text.y - above, text.x - before + width, text.y + below)


def free(box: Box, taken: Iterable[Box]) -> bool:
    """Whether a box meets none of those taken."""
    return not any(box.meets(other) for other in taken)
