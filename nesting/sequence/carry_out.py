"""Carrying an order out on the stock: the trees of cuts that come of it, and its steps."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from nesting.errors import Bug
from nesting.layout import CutKind, Layout, Node, Role
from nesting.sequence.divisions import Division, Strip, Way
from nesting.sequence.shop import Done
from nesting.steps import Step


@dataclass(slots=True, eq=False)
class Piece:
    """A rectangle while the work goes on; ``pieces`` fill in once it is cut."""

    x: Fraction
    y: Fraction
    length: Fraction
    width: Fraction
    role: Role
    id: str = ""
    cut: CutKind | None = None
    bevel: Fraction = Fraction(0)
    part: str | None = None
    turned: bool = False
    pieces: list[Piece] = field(default_factory=list)

    def walk(self) -> Iterator[Piece]:
        """Yield this piece and all below it, parents first, low side first."""
        stack = [self]
        while stack:
            piece = stack.pop()
            yield piece
            stack += reversed(piece.pieces)


@dataclass(slots=True)
class _Open:
    """A piece being divided: what is left of it, and which strips are still in it."""

    rest: Piece
    inside: set[int]


@dataclass(frozen=True, slots=True)
class _Pass:
    layout: str
    piece: Piece
    way: Way


class Workshop:
    """Plays an order on pieces with coordinates."""

    def __init__(self, layouts: Sequence[Layout], wholes: Sequence[Division | None], kerf: Fraction) -> None:
        self._kerf = kerf
        self._layouts = layouts
        self._roots: list[Piece] = []
        self._open: dict[int, _Open] = {}
        self._passes: list[_Pass] = []
        for layout, division in zip(layouts, wholes, strict=True):
            root = _piece_of(layout.tree, layout.tree.x, layout.tree.y)
            self._roots.append(root)
            self._start(root, division)

    def work(self, order: Sequence[Done]) -> None:
        """Carry out operations in order."""
        for done in order:
            way = done.op.guided if done.symbol is None else done.op.ways[done.symbol]
            if way is None:
                raise Bug("an operation of fence or stop was sent to the guided saw")
            for layout, division in done.op.group.pieces:
                for index in done.op.strips:
                    self._cut(layout, division, index, way)

    def layouts(self, *, renumber: bool) -> tuple[Layout, ...]:
        """Return the layouts as cut; ``renumber`` names every piece anew, in the order of the tree."""
        made = []
        for layout, root in zip(self._layouts, self._roots, strict=True):
            if renumber:
                for n, piece in enumerate(root.walk()):
                    piece.id = f"{layout.id}.{n}" if n else layout.id
            made.append(Layout(layout.id, layout.stock, layout.length, layout.width, layout.thickness, _node(root)))
        return tuple(made)

    def steps(self) -> tuple[Step, ...]:
        """Return one step for each cut made so far, in order, settings not yet numbered."""
        found = []
        for n, done in enumerate(self._passes, start=1):
            piece, way = done.piece, done.way
            if piece.cut is None:
                raise Bug("a step cuts a piece that is not cut")
            makes = tuple(p.id for p in piece.pieces)
            found.append(
                Step(
                    n,
                    done.layout,
                    piece.id,
                    way.station,
                    piece.cut,
                    piece.bevel,
                    way.setting,
                    way.against,
                    way.leans,
                    makes,
                    0,
                )
            )
        return tuple(found)

    def _start(self, piece: Piece, division: Division | None) -> None:
        if division is not None:
            piece.role, piece.cut, piece.bevel = "cut", division.cut, division.bevel
            self._open[id(division)] = _Open(piece, set(range(len(division.strips))))
        elif piece.role == "cut":
            piece.role = "waste"

    def _cut(self, layout: str, division: Division, index: int, way: Way) -> None:
        state = self._open[id(division)]
        if index not in state.inside:
            return
        piece, cut, strips = state.rest, division.cut, division.strips
        self._passes.append(_Pass(layout, piece, way))
        piece.cut = cut
        low, size = (piece.y, piece.width) if cut == "rip" else (piece.x, piece.length)
        high = low + size
        if division.kind == "strips":
            state.inside.discard(index)
            self._add(piece, strips[index], low)
            low += strips[index].size + self._kerf
            if not state.inside:
                self._waste(piece, low, division.slack)
            elif len(state.inside) == 1 and division.slack is None:
                self._add(piece, strips[state.inside.pop()], low)
            else:
                state.rest = _part_of(piece, low, high - low, "cut")
                piece.pieces.append(state.rest)
            return
        state.inside.clear()
        if division.kind == "cut":
            for strip in strips:
                self._add(piece, strip, low + strip.offset)
        elif division.kind == "trim":
            self._waste(piece, low, division.slack)
            self._add(piece, strips[0], high - strips[0].size)
        else:
            self._add(piece, strips[0], low)
            self._add(piece, strips[1], high - strips[1].size)

    def _waste(self, piece: Piece, at: Fraction, size: Fraction | None) -> None:
        if size is not None and size > 0:
            piece.pieces.append(_part_of(piece, at, size, "waste"))

    def _add(self, parent: Piece, strip: Strip, at: Fraction) -> None:
        if strip.node is None:
            made = _part_of(parent, at, strip.size, "cut")
        else:
            x, y = (parent.x, at) if parent.cut == "rip" else (at, parent.y)
            made = _piece_of(strip.node, x, y)
        parent.pieces.append(made)
        self._start(made, strip.inner)


def _part_of(parent: Piece, at: Fraction, size: Fraction, role: Role) -> Piece:
    if parent.cut == "rip":
        return Piece(parent.x, at, parent.length, size, role)
    return Piece(at, parent.y, size, parent.width, role)


def _piece_of(node: Node, x: Fraction, y: Fraction) -> Piece:
    return Piece(x, y, node.length, node.width, node.role, node.id, part=node.part, turned=node.turned)


def _node(piece: Piece) -> Node:
    pieces = tuple(_node(p) for p in piece.pieces)
    return Node(
        piece.id,
        piece.x,
        piece.y,
        piece.length,
        piece.width,
        piece.role,
        piece.cut,
        piece.bevel,
        pieces,
        piece.part,
        piece.turned,
    )
