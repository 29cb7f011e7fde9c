"""Random guillotine layouts for the tests and the benchmark, drawn from one seed each; no solver is asked."""

from __future__ import annotations

import itertools
import random
from collections.abc import Sequence
from fractions import Fraction

from nesting.layout import CutKind, Layout, Node
from nesting.trade.bevel import Bevel

KERF = Fraction(1, 8)
STEP = Fraction(1, 32)
THICKNESS = Fraction(23, 32)


class Draw:
    """Draws one layout: trims, then cuts of any depth; sizes come from a short list, so that they recur."""

    def __init__(self, chance: random.Random, name: str, sizes: Sequence[Fraction], *, bevels: bool = True) -> None:
        self.chance, self.name, self.sizes, self.bevels = chance, name, sizes, bevels
        self.ids = (f"{name}.{n}" for n in itertools.count(1))

    def layout(self, length: Fraction, width: Fraction, trim: Fraction, parts: int) -> Layout:
        """Return a layout of at most ``parts`` parts on a stock of these sides."""
        self.parts = parts
        root = self.trimmed(
            self.name, Fraction(0), Fraction(0), length, width, trim, ["low x", "high x", "low y", "high y"]
        )
        return Layout(self.name, "ply", length, width, THICKNESS, root)

    def trimmed(
        self, name: str, x: Fraction, y: Fraction, length: Fraction, width: Fraction, trim: Fraction, edges: list[str]
    ) -> Node:
        if not edges or trim == 0:
            return self.node(name, x, y, length, width, 4)
        edge, rest = edges[0], edges[1:]
        waste = trim - KERF
        cut: CutKind = "crosscut" if edge.endswith("x") else "rip"
        low = edge.startswith("low")
        dx, dy = (trim, Fraction(0)) if cut == "crosscut" else (Fraction(0), trim)
        inner = self.trimmed(next(self.ids), x + dx * low, y + dy * low, length - dx, width - dy, trim, rest)
        pieces = [inner]
        if waste > 0:
            if cut == "crosscut":
                at = x if low else x + length - waste
                piece = Node(next(self.ids), at, y, waste, width, "waste")
            else:
                at = y if low else y + width - waste
                piece = Node(next(self.ids), x, at, length, waste, "waste")
            pieces = [piece, inner] if low else [inner, piece]
        return Node(name, x, y, length, width, "cut", cut, Fraction(0), tuple(pieces))

    def node(self, name: str, x: Fraction, y: Fraction, length: Fraction, width: Fraction, depth: int) -> Node:
        chance = self.chance
        if self.bevels and depth < 4 and length > 24 and chance.random() < 0.5 and (blank := self.blank(width)):
            return self.bevelled(name, x, y, length, width, blank)
        options = [
            (cut, size) for cut, whole in (("rip", width), ("crosscut", length)) for size in self.sizes if size < whole
        ]
        if depth == 0 or self.parts <= 1 or not options or (depth < 3 and chance.random() < 0.25):
            self.parts -= 1
            keep = min(length, width) > 2
            role = "part" if keep and chance.random() < 0.85 else "waste"
            return Node(name, x, y, length, width, role, part="panel" if role == "part" else None)  # type: ignore[arg-type]
        cut, size = chance.choice(options)
        return self.strips(name, x, y, length, width, cut, size, depth)  # type: ignore[arg-type]

    def strips(
        self,
        name: str,
        x: Fraction,
        y: Fraction,
        length: Fraction,
        width: Fraction,
        cut: CutKind,
        size: Fraction,
        depth: int,
    ) -> Node:
        """Cut a strip off the low or the high edge and go on with the rest, mostly in the same direction."""
        whole = width if cut == "rip" else length
        rest = whole - size - KERF
        low_first = self.chance.random() < 0.7

        def piece(at: Fraction, span: Fraction, deep: int, *, go_on: bool) -> Node:
            box = (x, y + at, length, span) if cut == "rip" else (x + at, y, span, width)
            label = next(self.ids)
            fitting = [s for s in self.sizes if s < span]
            if go_on and fitting and self.parts > 1 and self.chance.random() < 0.7:
                again = size if size < span and self.chance.random() < 0.5 else self.chance.choice(fitting)
                return self.strips(label, *box, cut, again, depth)
            if go_on and self.chance.random() < 0.3:
                return Node(label, *box, "waste")
            return self.node(label, *box, deep)

        if rest <= 0:
            at = Fraction(0) if low_first else whole - size
            return Node(name, x, y, length, width, "cut", cut, Fraction(0), (piece(at, size, depth - 1, go_on=False),))
        if low_first:
            pieces = (
                piece(Fraction(0), size, depth - 1, go_on=False),
                piece(size + KERF, rest, depth - 1, go_on=True),
            )
        else:
            pieces = (piece(Fraction(0), rest, depth - 1, go_on=True), piece(rest + KERF, size, depth - 1, go_on=False))
        return Node(name, x, y, length, width, "cut", cut, Fraction(0), pieces)

    def blank(self, width: Fraction) -> tuple[Fraction, Fraction] | None:
        """Return the tall faces of two cleats that this strip gives, if it is of a fitting width."""
        rule = Bevel(THICKNESS, KERF, Fraction(45), STEP)
        if not 4 <= width <= 9:
            return None
        low = rule.rise + (width / 2 - rule.rise) // STEP * STEP + self.chance.choice((0, 8)) * STEP
        return low, width + rule.rise - rule.gap - low

    def bevelled(
        self, name: str, x: Fraction, y: Fraction, length: Fraction, width: Fraction, blank: tuple[Fraction, Fraction]
    ) -> Node:
        low = self.bar(x, y, length, blank[0])
        high = self.bar(x, y + width - blank[1], length, blank[1])
        return Node(name, x, y, length, width, "cut", "rip", Fraction(45), (low, high))

    def bar(self, x: Fraction, y: Fraction, length: Fraction, width: Fraction) -> Node:
        name = next(self.ids)
        fitting = [s for s in self.sizes if 10 < s < length]
        if not fitting or self.chance.random() < 0.2:
            return Node(name, x, y, length, width, "part", part="cleat")
        size = self.chance.choice(fitting)
        first = Node(next(self.ids), x, y, size, width, "part", part="cleat")
        rest = length - size - KERF
        pieces = (first,) if rest <= 0 else (first, self.bar(x + size + KERF, y, rest, width))
        return Node(name, x, y, length, width, "cut", "crosscut", Fraction(0), pieces)


SIZES = [Fraction(n, 2) for n in (9, 12, 17, 24, 29, 40, 47)]


def one_sheet(seed: int, length: int, width: int, parts: int, *, trim: Fraction = Fraction(1, 4)) -> Layout:
    """Return one layout on a sheet of these sides."""
    return Draw(random.Random(seed), "A1", SIZES).layout(Fraction(length), Fraction(width), trim, parts)


def random_job(
    seed: int, sheets: int, parts: int, *, trim: Fraction = Fraction(1, 4), bevels: bool = True
) -> list[Layout]:
    """Return ``sheets`` layouts with about ``parts`` parts on each, mostly 96 x 48 in, some smaller."""
    chance = random.Random(seed)
    pool = [Fraction(n, 2) for n in range(8, 70)]
    sizes = [*chance.sample(pool, 8), Fraction(175, 32)]
    made = []
    for number in range(1, sheets + 1):
        length, width = chance.choice([(96, 48), (96, 48), (96, 48), (48, 48), (48, 24)])
        drawer = Draw(chance, f"A{number}", sizes, bevels=bevels)
        made.append(drawer.layout(Fraction(length), Fraction(width), trim, parts))
    return made
