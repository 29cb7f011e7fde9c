"""A wall seen from the room, in points: where its rows, studs, holders and keep-outs come to stand on the page."""

from __future__ import annotations

from dataclasses import dataclass

from nesting.draw.boxes import Box
from nesting.plan_wall import HungHolder, WallDocument, WallKeepout, WallPiece, WallRow

_SHOWN_GAP = 40.0
"""Points of floor gap shown at most; a higher one is broken off."""


@dataclass(frozen=True, slots=True)
class View:
    """The scale and place of a wall; ``x``, ``y`` is the upper left corner of its area, ``points`` one unit of it."""

    wall: WallDocument
    x: float
    y: float
    points: float
    width: float
    height: float

    def at_x(self, along: float) -> float:
        """Return where a place along the wall lies on the page."""
        return self.x + along * self.points

    def at_y(self, up: float) -> float:
        """Return where a height on the wall lies on the page."""
        return self.y + (self.height - up) * self.points

    @property
    def right(self) -> float:
        """Right edge of the area."""
        return self.at_x(self.width)

    @property
    def bottom(self) -> float:
        """Lower edge of the area."""
        return self.at_y(0)

    @property
    def broken(self) -> bool:
        """Whether the gap above the floor is shown shorter than it is."""
        return self.wall.floor_gap * self.points > _SHOWN_GAP

    @property
    def floor(self) -> float:
        """Where the floor is drawn."""
        return self.bottom + min(self.wall.floor_gap * self.points, _SHOWN_GAP)

    @property
    def cleat(self) -> float:
        """Height of a cleat."""
        return (self.wall.cleat_height or 0.0) * self.points

    def piece(self, row: WallRow, piece: WallPiece) -> Box:
        """Return the face of a piece of wall cleat."""
        low = self.at_y(row.y)
        return Box(self.at_x(piece.x), low - self.cleat, self.at_x(piece.x + piece.length), low)

    def keepout(self, keepout: WallKeepout, *, grown: bool) -> Box:
        """Return a keep-out, or the room to leave around it, as far as it lies on the wall."""
        room = keepout.clearance if grown else 0.0
        return Box(
            self.at_x(max(keepout.x - room, 0)),
            self.at_y(min(keepout.y + keepout.height + room, self.height)),
            self.at_x(min(keepout.x + keepout.width + room, self.width)),
            self.at_y(max(keepout.y - room, 0)),
        )

    def holder(self, hung: HungHolder) -> Box | None:
        """Return the front of a holder; None where the plan does not say how large it is."""
        if hung.y is None or hung.width is None or hung.height is None:
            return None
        return Box(
            self.at_x(hung.x), self.at_y(hung.y + hung.height), self.at_x(hung.x + hung.width), self.at_y(hung.y)
        )


def view_of(wall: WallDocument, x: float, y: float, points: float) -> View:
    """Return the view of a wall at a scale. Raises ``ValueError`` where the plan does not say how large it is."""
    if wall.width is None or wall.height is None:
        raise ValueError("the plan does not say how large its wall is")
    return View(wall, x, y, points, wall.width, wall.height)
