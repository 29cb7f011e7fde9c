"""Fewest settings by trying everything: breadth first over the pieces that lie about and the settings in force.

Written from the rules alone (strips in any order, waste last, one strip free where there is no waste); shares only the
tree of the layouts and the stations' rules with the code under test. For jobs of up to some ten cuts.
"""

from __future__ import annotations

from collections import deque
from fractions import Fraction

from nesting.layout import CutKind, Layout, Node
from nesting.trade.saw import Saw, stations

Move = tuple[int, int, tuple[int, ...]]
"""Fence (0) or stop (1), the setting's number, and what comes of the piece."""


class Pieces:
    """Numbers for pieces that are divided alike, and what can be done with each."""

    def __init__(self, saw: Saw) -> None:
        self.saw = saw
        self.numbers: dict[object, int] = {}
        self.moves: list[list[Move]] = []
        self.settings: dict[Fraction, int] = {}

    def of(self, node: Node) -> int | None:
        """Return the number of a rectangle with all that is below it, None where nothing is to be cut."""
        if node.cut is None or nothing(node):
            return None
        across, along = (node.width, node.length) if node.cut == "rip" else (node.length, node.width)
        strips: list[tuple[Fraction, int]] = []

        def gather(piece: Node) -> None:
            if piece.cut == node.cut and piece.bevel == 0 and not nothing(piece):
                for below in piece.pieces:
                    gather(below)
            elif not nothing(piece):
                inner = self.of(piece)
                strips.append((piece.width if node.cut == "rip" else piece.length, -1 if inner is None else inner))

        gather(node)
        waste = sum(size + self.saw.kerf for size, _ in strips) - self.saw.kerf != across
        return self.number(node.cut, along, tuple(sorted(strips)), waste=waste)

    def number(
        self, cut: CutKind, along: Fraction, strips: tuple[tuple[Fraction, int], ...], *, waste: bool
    ) -> int | None:
        if len(strips) == 1 and not waste:
            return None if strips[0][1] < 0 else strips[0][1]
        if not strips:
            return None
        key = (cut, along, strips, waste)
        if key not in self.numbers:
            moves: list[Move] = []
            for i, (size, inner) in enumerate(strips):
                rest = self.number(cut, along, strips[:i] + strips[i + 1 :], waste=waste)
                new = tuple(n for n in (rest, inner) if n is not None and n >= 0)
                for station in stations(self.saw, cut, along, size, size):
                    setting = self.settings.setdefault(size, len(self.settings))
                    moves.append((int(station != "table saw"), setting, new))
            self.numbers[key] = len(self.moves)
            self.moves.append(moves)
        return self.numbers[key]


def nothing(node: Node) -> bool:
    return node.role == "waste" or (node.role == "cut" and all(nothing(piece) for piece in node.pieces))


def fewest_settings(layouts: list[Layout], saw: Saw) -> int:
    """Return the least number of settings for all layouts together."""
    known = Pieces(saw)
    there = tuple(sorted(n for n in (known.of(layout.tree) for layout in layouts) if n is not None))
    start = (there, -1, -1)
    best = {start: 0}
    queue = deque([(0, start)])
    while queue:
        cost, state = queue.popleft()
        there, fence, stop = state
        if not there:
            return cost
        if best[state] < cost:
            continue
        for i, piece in enumerate(there):
            for station, setting, new in known.moves[piece]:
                now = (fence, stop)[station]
                price = now != setting
                lost = -1 if saw.sled_shares_table else (stop, fence)[station]
                pair = (setting, lost) if station == 0 else (lost, setting)
                then = (tuple(sorted((*there[:i], *there[i + 1 :], *new))), *pair)
                if best.get(then, 10**9) > cost + price:
                    best[then] = cost + price
                    (queue.append if price else queue.appendleft)((cost + price, then))
    raise AssertionError("no order cuts everything")
