"""Holes and slots of a rack: their centres, evenly spread, and why so many do not fit.

Measured on the rack's board as it lies on the bench: from its left end, and from its rear edge, the one that meets the
back. Between two holes, and between a hole and an edge, stays as much wood as half a hole is wide, and never less than
3/8 in (9.5 mm); a slot keeps half its width on either side: common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from nesting.lengths import Unit
from nesting.trade.saw import inches


@dataclass(frozen=True, slots=True)
class Hole:
    """A hole to be drilled: its centre on the board, and for a slot how far it is sawn out to the front edge."""

    along: Fraction
    from_rear: Fraction
    diameter: Fraction
    kind: Literal["hole", "slot"]


@dataclass(frozen=True, slots=True)
class Board:
    """The board to be drilled: ``length`` along the wall, ``depth`` from the back to the front edge.

    ``ends`` is kept free at each end, where a gusset stands under it.
    """

    length: Fraction
    depth: Fraction
    ends: Fraction
    unit: Unit

    def web(self, across: Fraction) -> Fraction:
        """Return the wood that stays beside a hole or slot this wide.

        >>> board = Board(Fraction(12), Fraction(4), Fraction(0), "in")
        >>> board.web(Fraction(1)), board.web(Fraction(1, 4))
        (Fraction(1, 2), Fraction(3, 8))
        """
        return max(across / 2, inches(Fraction(3, 8), self.unit))

    def most_along(self, across: Fraction) -> int:
        """Return how many holes or slots this wide fit side by side.

        >>> Board(Fraction(12), Fraction(4), Fraction(0), "in").most_along(Fraction(1))
        7
        """
        web = self.web(across)
        return max(0, int((self.length - 2 * self.ends - web) // (across + web)))

    def most_rows(self, across: Fraction) -> int:
        """Return how many rows of holes fit one behind the other."""
        web = self.web(across)
        return max(0, int((self.depth - web) // (across + web)))

    def holes(self, diameter: Fraction, count: int, rows: int) -> tuple[Hole, ...]:
        """Return the centres of holes in equal rows, the first row nearest to the back; a last row may have fewer.

        >>> board = Board(Fraction(12), Fraction(4), Fraction(0), "in")
        >>> [(str(hole.along), str(hole.from_rear)) for hole in board.holes(Fraction(1), 3, 1)]
        [('11/4', '2'), ('6', '2'), ('37/4', '2')]
        """
        each = -(-count // rows)
        centres = []
        for row in range(-(-count // each)):
            across = _spread(rows, diameter, self.web(diameter), Fraction(0), self.depth)[row]
            here = min(each, count - row * each)
            first, last = self.ends, self.length - self.ends
            along = _spread(each, diameter, self.web(diameter), first, last)[:here]
            centres += [Hole(x, across, diameter, "hole") for x in along]
        return tuple(centres)

    def slots(self, width: Fraction, length: Fraction, count: int) -> tuple[Hole, ...]:
        """Return where to drill the inner ends of slots; two saw cuts to the front edge open each.

        >>> board = Board(Fraction(12), Fraction(4), Fraction(0), "in")
        >>> [(str(hole.along), str(hole.from_rear)) for hole in board.slots(Fraction(1, 2), Fraction(2), 3)]
        [('23/8', '9/4'), ('6', '9/4'), ('73/8', '9/4')]
        """
        along = _spread(count, width, self.web(width), self.ends, self.length - self.ends)
        return tuple(Hole(x, self.depth - length + width / 2, width, "slot") for x in along)


def _spread(count: int, across: Fraction, web: Fraction, first: Fraction, last: Fraction) -> list[Fraction]:
    """Return centres with the same wood between any two as at the ends, where ``web`` is the least of it."""
    wood = (last - first - count * across) / (count + 1)
    if wood < web:
        raise ValueError(f"{count} of {across} do not fit between {first} and {last}")
    return [first + wood + across / 2 + (across + wood) * n for n in range(count)]
