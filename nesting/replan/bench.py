"""The bench as it is: the plan in exact lengths, what is done, what is lost, and where new pieces can be cut.

Three kinds of room: *rests*, offcuts and waste that no step touches any more, there already or to come; *open pieces*,
which may be cut otherwise than planned; *bars*, bevelled rests that give cleats of their own height and nothing else.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from nesting.layout import Layout, Node
from nesting.plan import Plan
from nesting.progress.ground import Ground, ground
from nesting.progress.record import Progress
from nesting.progress.standing import existing, lost_pieces
from nesting.project.model import Project
from nesting.replan.exact import Ruler
from nesting.steps import Step
from nesting.trade.bevel import tangent

ZERO = Fraction(0)


@dataclass(frozen=True, slots=True)
class Room:
    """A square piece that parts can be cut from; ``x`` to ``width`` are its outline without rough factory edges.

    ``whole`` tells a stock piece that no saw has touched: its edges are trimmed as those of any other.
    """

    id: str
    layout: Layout
    node: Node
    x: Fraction
    y: Fraction
    length: Fraction
    width: Fraction
    whole: bool


@dataclass(frozen=True, slots=True)
class Bar:
    """A bevelled piece of ``width`` on its tall face; ``lengths`` are the sound stretches in it, from the low end."""

    id: str
    layout: Layout
    node: Node
    x: Fraction
    lengths: tuple[Fraction, ...]
    there: bool


@dataclass(frozen=True, slots=True)
class Bench:
    """Everything a new plan starts from. ``lost`` maps lost pieces to what is left of each, in exact lengths."""

    project: Project
    plan: Plan
    layouts: dict[str, Layout]
    steps: tuple[Step, ...]
    nodes: dict[str, tuple[Layout, Node]]
    seen: Ground
    done: frozenset[int]
    there: frozenset[str]
    lost: dict[str, tuple[tuple[Fraction, Fraction], ...]]
    gone: frozenset[str]

    def bevelled(self, piece: str) -> bool:
        """Whether an edge of a piece slants."""
        return bool(self.seen.places[piece].bevelled)

    def trim(self, layout: Layout) -> Fraction:
        """Return what a layout's stock loses at each factory edge."""
        stock = next(stock for stock in self.project.stocks if stock.name == layout.stock)
        return self.project.trim(stock)

    def open_steps(self) -> list[Step]:
        """Return the steps that are neither done nor lost, in order."""
        return [step for step in self.steps if step.n not in self.done and step.piece not in self.gone]

    def lost_parts(self) -> Counter[str]:
        """Return the names of the parts and cleats that are lost, or were to come from what is lost."""
        return Counter(self.nodes[piece][1].part or "" for piece in self.gone if self.nodes[piece][1].role == "part")

    def room(self, piece: str) -> Room | None:
        """Return what of a square piece lies clear of rough factory edges, None where nothing does."""
        layout, node = self.nodes[piece]
        trim = self.trim(layout)
        whole = piece == layout.id
        if whole:
            return Room(piece, layout, node, ZERO, ZERO, layout.length, layout.width, whole)
        left, low = max(node.x, trim), max(node.y, trim)
        right = min(node.x + node.length, layout.length - trim)
        high = min(node.y + node.width, layout.width - trim)
        if right <= left or high <= low:
            return None
        return Room(piece, layout, node, left, low, right - left, high - low, whole)

    def rests(self, freed: frozenset[str]) -> Iterator[Room]:
        """Yield rests that are no part of a freed piece, as they come in the plan."""
        for piece, (_, node) in self.nodes.items():
            if node.role in ("offcut", "waste") and not self._out(piece, freed) and not self.bevelled(piece):
                room = self.room(piece)
                if room is not None:
                    yield room

    def open_pieces(self) -> Iterator[Node]:
        """Yield every square piece, there or to come, that a step still open cuts."""
        for piece, (_, node) in self.nodes.items():
            still = node.role == "cut" and piece not in self.gone and self.seen.cutter.get(piece) not in self.done
            if still and not self.bevelled(piece):
                yield node

    def topmost(self) -> list[str]:
        """Return the open square pieces that are there."""
        return [node.id for node in self.open_pieces() if node.id in self.there]

    def bars(self, freed: frozenset[str]) -> Iterator[Bar]:
        """Yield bevelled rests, and what keeps its bevel of bevelled pieces that are lost."""
        for piece, (layout, node) in self.nodes.items():
            if not self.bevelled(piece):
                continue
            if piece in self.lost:
                lengths = tuple(length for length, width in self.lost[piece] if width >= node.width)
                if lengths and sum(lengths) <= node.length:
                    yield Bar(piece, layout, node, node.x, lengths, there=True)
            elif node.role in ("offcut", "waste") and not self._out(piece, freed):
                trim = self.trim(layout)
                low, high = max(node.x, trim), min(node.x + node.length, layout.length - trim)
                if high > low:
                    yield Bar(piece, layout, node, low, (high - low,), piece in self.there)

    def _out(self, piece: str, freed: frozenset[str]) -> bool:
        """Whether a piece is lost, now or earlier, or part of a freed one."""
        if piece in self.gone or piece in self.seen.scrapped:
            return True
        at: str | None = piece
        while at is not None:
            if at in freed:
                return True
            at = self.seen.places[at].parent
        return False

    def square_rest(self, piece: str, length: Fraction, width: Fraction) -> tuple[Fraction, Fraction] | None:
        """Return the square rectangle that can be had of what is left of a piece; None: it keeps its bevel, or nothing.

        Between the tall and the short face the bevel is in the way: squared off, a bevelled piece is as wide as its
        short face, t tan b less than the tall one, down to a mark of the fence.
        """
        layout, node = self.nodes[piece]
        if not self.bevelled(piece):
            return length, width
        if width >= node.width:
            return None
        step = self.project.project.fence_step
        short = (node.width - layout.thickness * tangent(self.project.cleats.bevel)) // step * step
        return (length, min(width, short)) if short > 0 else None


def bench(project: Project, plan: Plan, progress: Progress) -> Bench:
    """Return where a new plan starts from; the record agrees with the plan, and the plan is sound."""
    ruler, seen = Ruler(project), ground(plan)
    layouts = {layout.id: ruler.layout(layout) for layout in plan.layouts}
    nodes = {node.id: (layout, node) for layout in layouts.values() for node in layout.tree.walk()}
    lost: dict[str, tuple[tuple[Fraction, Fraction], ...]] = {}
    for piece, left in lost_pieces(plan, progress, seen).items():
        node = nodes[piece][1]
        lost[piece] = tuple((_within(a, node.length), _within(b, node.width)) for a, b in left)
    gone = frozenset(node.id for piece in lost for node in nodes[piece][1].walk())
    done = frozenset(progress.done)
    there = frozenset(existing(seen, done).keys() - gone)
    return Bench(project, plan, layouts, ruler.steps(plan, layouts), nodes, seen, done, there, lost, gone)


def _within(told: float, drawn: Fraction) -> Fraction:
    """Return a size as it was told, the drawn one where it is told to the last of nine places."""
    exact = Fraction(repr(told))
    return drawn if abs(exact - drawn) <= Fraction(1, 10**6) else exact
