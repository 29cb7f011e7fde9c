"""Layouts drawn by hand: named strips of a piece, a pair of cleats; and the work for them, replayed."""

from __future__ import annotations

from fractions import Fraction

from replay_by_hand import play

from nesting.layout import Layout, Node
from nesting.sequence import plan_work
from nesting.trade.bevel import Bevel
from nesting.trade.saw import Saw

KERF = Fraction(1, 8)
SAW = Saw(KERF, edge_trim=Fraction(0))


def F(value) -> Fraction:
    return Fraction(value)


class Tree:
    """Builds a layout by naming the strips of each piece."""

    def __init__(self, name):
        self.name, self.n = name, 0

    def id(self):
        self.n += 1
        return f"{self.name}.{self.n}" if self.n > 1 else self.name

    def piece(self, x, y, length, width, what):
        """``what``: 'part', 'waste', 'offcut', or (cut, [(size, what), ...]) from the low side, all sizes given."""
        name = self.id()
        if isinstance(what, str):
            return Node(name, x, y, length, width, what, part="panel" if what == "part" else None)
        cut, strips = what
        size, inner = strips[0]
        size = F(size)
        if len(strips) == 1:
            box = (x, y, length, size) if cut == "rip" else (x, y, size, width)
            return Node(name, x, y, length, width, "cut", cut, F(0), (self.piece(*box, inner),))
        rest = strips[1][1] if len(strips) == 2 else (cut, strips[1:])
        step = size + KERF
        if cut == "rip":
            pieces = (self.piece(x, y, length, size, inner), self.piece(x, y + step, length, width - step, rest))
        else:
            pieces = (self.piece(x, y, size, width, inner), self.piece(x + step, y, length - step, width, rest))
        return Node(name, x, y, length, width, "cut", cut, F(0), pieces)


def layout(name, length, width, what):
    length, width = F(length), F(width)
    return Layout(name, "ply", length, width, Fraction(23, 32), Tree(name).piece(F(0), F(0), length, width, what))


def settings(layouts, saw=SAW, **options):
    work = plan_work(layouts, saw, **options)
    play(work.layouts, work.sequence.steps, KERF)
    assert work.sequence.setups.proven
    return work


def blank(*, lone=False):
    """A 3 in pair of cleats from 23/32 ply; sizes as worked through at the bevel rule."""
    rule = Bevel(Fraction(23, 32), KERF, F(45), Fraction(1, 32))
    sizes = rule.lone(F(3)) if lone else rule.pair(F(3), F(3))
    low = Node("A1.1", F(0), F(0), F(40), sizes.low, "part", part="cleat")
    pieces = (low,)
    if sizes.high is not None:
        pieces = (low, Node("A1.2", F(0), sizes.width - sizes.high, F(40), sizes.high, "part", part="cleat"))
    root = Node("A1", F(0), F(0), F(40), sizes.width, "cut", "rip", F(45), pieces)
    return Layout("A1", "ply", F(40), sizes.width, Fraction(23, 32), root)
