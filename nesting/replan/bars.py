"""Lost cleats from bevelled rests: the bevel is right there already, so a crosscut is all it takes.

A bevelled bar gives cleats of its own tall face and nothing else; which bar gives which is best-fit decreasing: the
longest cleat first, into the shortest stretch that holds it (Johnson, "Near-optimal bin packing algorithms", 1973).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction

from nesting.demand import Cleat
from nesting.layout import Layout, Node
from nesting.project.model import Project
from nesting.replan.bench import Bar
from nesting.replan.wanted import Kind


@dataclass(slots=True)
class _Filled:
    bar: Bar
    left: list[Fraction]
    whole: Fraction
    names: list[tuple[str, Fraction]] = field(default_factory=list)


def from_bars(
    project: Project, bars: Sequence[Bar], wanted: Counter[str], kinds: Mapping[str, Kind]
) -> tuple[list[Layout], Counter[str]]:
    """Return bars cut into cleats that are wanted, each as a layout of that piece alone, and what they give.

    The tall face of a bar must be at least the height asked for, and less than two marks of the fence above it: what
    two roundings of a plan allow.
    """
    kerf, step = project.saw.kerf, project.project.fence_step
    filled = [_Filled(bar, list(bar.lengths), bar.node.x + bar.node.length - bar.x) for bar in bars]
    given: Counter[str] = Counter()
    cleats = [(kinds[name].piece, kinds[name].thickness, count) for name, count in wanted.items()]
    by_stock = {stock.name: stock for stock in project.stocks}
    for piece, thickness, count in sorted(cleats, key=lambda one: (-one[0].length, one[0].name)):
        if not isinstance(piece, Cleat):
            continue
        for _ in range(count):
            fitting: list[tuple[Fraction, int, int]] = []
            for at, one in enumerate(filled):
                tall = one.bar.node.width
                if not piece.height <= tall < piece.height + 2 * step:
                    continue
                if not project.suits(thickness, by_stock[one.bar.layout.stock]):
                    continue
                room = [(left, which) for which, left in enumerate(one.left) if piece.length <= left]
                if room and piece.length <= one.whole:
                    left, which = min(room)
                    fitting.append((left, at, which))
            if not fitting:
                break
            _, at, which = min(fitting)
            one = filled[at]
            one.names.append((piece.name, piece.length))
            one.left[which] -= piece.length + kerf
            one.whole -= piece.length + kerf
            given[piece.name] += 1
    return [_crosscut(one, kerf) for one in filled if one.names], given


def _crosscut(filled: _Filled, kerf: Fraction) -> Layout:
    """Return a bar crosscut into its cleats from the low end, the rest being waste."""
    bar = filled.bar
    cuts: list[tuple[Node, Node]] = []
    rest = replace(bar.node, role="waste", cut=None, bevel=Fraction(0), pieces=(), part=None, turned=False)
    if bar.x > rest.x:  # a rough end comes off first
        off = bar.x - rest.x - kerf
        inner = replace(rest, x=bar.x, length=rest.x + rest.length - bar.x)
        cuts.append((rest, replace(rest, length=off) if off > 0 else inner))
        rest = inner
    spare = rest.length
    tree: Node | None = None
    pieces: list[Node] = []
    for name, length in filled.names:
        pieces.append(replace(rest, x=rest.x + rest.length - spare, length=length, role="part", part=name))
        spare -= length + kerf
    end = rest.x + rest.length
    tail = replace(rest, x=end - spare, length=spare) if spare > 0 else None
    for piece in reversed(pieces):
        if tail is None and piece.x + piece.length == end:
            tail = piece
            continue
        below = (piece, tail) if tail is not None else (piece,)
        tail = replace(rest, x=piece.x, length=end - piece.x, role="cut", cut="crosscut", pieces=below)
    tree = tail or rest
    for whole, off_piece in reversed(cuts):
        pieces_ = (tree,) if off_piece.x != whole.x else (off_piece, tree)
        tree = replace(whole, role="cut", cut="crosscut", pieces=pieces_)
    layout = bar.layout
    return Layout(bar.id, layout.stock, layout.length, layout.width, layout.thickness, tree)
