"""From a tree of cuts to divisions: strips in any order, waste last, full sheets broken down, stations chosen."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction
from typing import Literal

from nesting.errors import Bug, CannotBeDone
from nesting.layout import CutKind, Layout, Node
from nesting.sequence.breakdown import break_down
from nesting.sequence.divisions import Against, Division, Key, Operation, StockFacts, Strip, Way, low_of, size_of
from nesting.steps import Station
from nesting.trade.bevel import Bevel
from nesting.trade.saw import (
    Saw,
    against_the_rules_at_fence,
    is_full_sheet,
    lean,
    stations,
    straight_reference,
    widest_after_breakdown,
)


class Divider:
    """Turns layouts into divisions for one saw; gathers the reasons where no station can make a cut."""

    def __init__(
        self, saw: Saw, layouts: tuple[Layout, ...], stocks: dict[str, StockFacts], *, rearrange: bool
    ) -> None:
        self.saw, self.stocks, self.rearrange = saw, stocks, rearrange
        self.reasons: list[str] = []
        self._keys: dict[object, Key] = {}
        self._wanted: Counter[Fraction] = Counter()
        for layout in layouts:
            for node in layout.tree.walk():
                if node.cut is not None:
                    self._wanted.update({size_of(p, node.cut) for p in node.pieces if p.role != "waste"})

    def divide(self, layout: Layout) -> Division | None:
        """Return the division of a whole stock piece, None where it is not cut at all."""
        return self._divide(layout.tree, layout)

    def check(self) -> None:
        """Raise :class:`CannotBeDone` with every reason found."""
        if self.reasons:
            raise CannotBeDone(self.reasons)

    def trim_of(self, layout: Layout) -> Fraction:
        """Return what this stock loses at a factory edge."""
        stock = self.stocks.get(layout.stock)
        return self.saw.edge_trim if stock is None else stock.trim

    def _divide(self, node: Node, layout: Layout) -> Division | None:
        if node.cut is None or (self.rearrange and _is_waste(node)):
            return None
        if node.bevel or not self.rearrange:
            return self._single(node, layout)
        return self._strips_of(node, node.cut, layout) or self._single(node, layout)

    # One cut, as it is in the tree

    def _single(self, node: Node, layout: Layout) -> Division:
        assert node.cut is not None  # noqa: S101 - asked by every caller
        cut, low = node.cut, low_of(node, node.cut)
        strips = tuple(Strip(size_of(p, cut), p, self._divide(p, layout), low_of(p, cut) - low) for p in node.pieces)
        ways = self._bevel_ways(node, layout) if node.bevel else self._square_ways(node, layout)
        if not ways:
            self._cannot(layout, node, node.cut, size_of(node.pieces[0], node.cut), node.bevel)
        operations = (Operation(ways, tuple(range(len(strips)))),)
        return self._division("cut", node.cut, strips, None, operations, bevel=node.bevel)

    def _square_ways(self, node: Node, layout: Layout) -> tuple[Way, ...]:
        assert node.cut is not None  # noqa: S101 - asked by every caller
        cut, along, across = node.cut, _along(node, node.cut), size_of(node, node.cut)
        ranked: list[tuple[int, Way]] = []
        for piece in node.pieces:
            against: Against = "low" if low_of(piece, cut) == low_of(node, cut) else "high"
            setting = size_of(piece, cut)
            useless = piece.role == "waste" and len(node.pieces) > 1
            if useless and setting < self.saw.narrowest_rip:
                continue
            rough = self._rough(node, cut, against, layout)
            for station in stations(self.saw, cut, along, across, setting):
                rank = self._rank(station, cut, along, setting)
                rank += 20 * (rough and station != "breakdown saw") + 10 * useless
                ranked.append((rank, Way(station, setting, against)))
        best = min((rank for rank, _ in ranked), default=0)
        ways = tuple(way for rank, way in ranked if rank == best)
        return ways[:1] if ways and ways[0].station == "breakdown saw" else ways

    def _rough(self, node: Node, cut: CutKind, against: Against, layout: Layout) -> bool:
        low, size = low_of(node, cut), size_of(node, cut)
        whole = layout.width if cut == "rip" else layout.length
        at_edge = low == 0 if against == "low" else low + size == whole
        trims = any(piece.role == "waste" for piece in node.pieces) or len(node.pieces) == 1
        return not trims and not straight_reference(at_edge, self.trim_of(layout))

    def _rank(self, station: Station, cut: CutKind, along: Fraction, setting: Fraction) -> int:
        if station == "table saw":
            return 3 if against_the_rules_at_fence(self.saw, along, setting) else 0
        if station == "crosscut sled":
            return 0 if cut == "crosscut" else 1
        return 2

    def _bevel_ways(self, node: Node, layout: Layout) -> tuple[Way, ...]:
        """Return the ways of a bevel rip: against the low edge, and against the high one where it fits the grid."""
        rule = Bevel(layout.thickness, self.saw.kerf, node.bevel, self.saw.fence_step)
        leans = lean(self.saw)
        ways = []
        for piece in node.pieces:
            against: Against = "low" if piece.y == node.y else "high"
            setting = piece.width - rule.rise if leans == "away" else piece.width
            on_grid = setting % self.saw.fence_step == 0
            if (against == "low" or on_grid or len(node.pieces) == 1) and piece.role != "waste":
                ways += [
                    Way(station, setting, against, leans)
                    for station in stations(self.saw, "rip", node.length, node.width, setting, node.bevel)
                ]
        return tuple(ways)

    # Strips of a chain of parallel cuts

    def _strips_of(self, node: Node, cut: CutKind, layout: Layout) -> Division | None:
        """Return the strips of a chain of parallel cuts; None where its order has to stay as it is."""
        entries = _flatten(node, cut)
        trim, kerf = self.trim_of(layout), self.saw.kerf
        low, across, along = low_of(node, cut), size_of(node, cut), _along(node, cut)
        whole = layout.width if cut == "rip" else layout.length
        at_low, at_high = trim > 0 and low == 0, trim > 0 and low + across == whole
        if (at_low and not _is_waste(entries[0])) or (at_high and not _is_waste(entries[-1])):
            return None
        kept = [e for e in entries if e is not None and not _is_waste(e)]
        strips = tuple(Strip(size_of(k, cut), k, self._divide(k, layout)) for k in kept)
        if not at_low:
            return self._strips(cut, along, across, strips, layout, node)
        waste = min(low_of(k, cut) for k in entries[1:] if k is not None) - low - kerf
        rest = across - waste - kerf
        inner = self._strips(cut, along, rest, strips, layout, node)
        ways = tuple(Way(station, rest, "high") for station in stations(self.saw, cut, along, across, rest))
        if not ways:
            self._cannot(layout, node, cut, rest)
        strip = Strip(rest, None, inner) if inner else strips[0]
        return self._division("trim", cut, (strip,), waste, (Operation(ways, (0,)),))

    def _strips(
        self, cut: CutKind, along: Fraction, across: Fraction, strips: tuple[Strip, ...], layout: Layout, node: Node
    ) -> Division | None:
        """Return the division of a piece of the given size into these strips; None where no cut is needed."""
        kerf = self.saw.kerf
        left = across - sum((s.size + kerf for s in strips), Fraction(0))
        if left < -kerf:
            raise Bug(f"{layout.id}: the pieces of {node.id} are larger than what they are cut from")
        slack = None if left == -kerf else left
        cuts = len(strips) - (slack is None)
        if cuts == 0:
            return None
        widest = widest_after_breakdown(along, self.saw.unit)
        if cuts > 1 and len(strips) > 1 and self.saw.breakdown_saw and is_full_sheet(along, across, self.saw.unit):
            assert widest is not None  # noqa: S101 - a full sheet is wide and long
            return self._split(cut, along, across, strips, layout, node, widest)
        strips = tuple(sorted(strips, key=lambda s: (-s.size, s.inner.key if s.inner else -1)))
        operations, forced = self._operations(cut, along, across, strips, slack, layout, node)
        return self._division("strips", cut, strips, slack, operations, free=slack is None, forced=forced)

    def _split(
        self,
        cut: CutKind,
        along: Fraction,
        across: Fraction,
        strips: tuple[Strip, ...],
        layout: Layout,
        node: Node,
        widest: Fraction,
    ) -> Division:
        """Break a full sheet down into two groups of strips with one cut of the guided saw."""
        kerf = self.saw.kerf
        chosen = break_down([s.size for s in strips], across, kerf, widest, self._wanted)
        first = tuple(s for i, s in enumerate(strips) if i in chosen)
        second = tuple(s for i, s in enumerate(strips) if i not in chosen)
        size = sum((s.size for s in first), Fraction(0)) + kerf * (len(first) - 1)
        rest = across - size - kerf
        groups = tuple(
            Strip(width, None, inner) if (inner := self._strips(cut, along, width, group, layout, node)) else group[0]
            for width, group in ((size, first), (rest, second))
        )
        ways = (Way("breakdown saw", size, "low"),)
        return self._division("split", cut, groups, None, (Operation(ways, (0, 1)),))

    def _operations(
        self,
        cut: CutKind,
        along: Fraction,
        across: Fraction,
        strips: tuple[Strip, ...],
        slack: Fraction | None,
        layout: Layout,
        node: Node,
    ) -> tuple[tuple[Operation, ...], int | None]:
        """Return the operations of a division, and which of them has to be the strip that falls free."""
        operations: list[Operation] = []
        forced: int | None = None
        worst = 0
        for size in sorted({s.size for s in strips}, reverse=True):
            places = tuple(i for i, s in enumerate(strips) if s.size == size)
            ways = tuple(Way(st, size, "low") for st in stations(self.saw, cut, along, across, size))
            rank = min((self._rank(way.station, cut, along, size) for way in ways), default=9)
            last = False
            alone = len(places) == 1 and not any(o.last for o in operations)
            if rank > 1 and alone and slack is not None and slack > 0:
                left = size + self.saw.kerf + slack
                far = tuple(Way(st, slack, "high") for st in stations(self.saw, cut, along, left, slack))
                far_rank = min((self._rank(way.station, cut, along, slack) for way in far), default=9)
                if far_rank < min(rank, 2):
                    ways, rank, last = far, far_rank, True
            if rank > 1 and len(places) == 1 and slack is None and rank > worst:
                forced, worst = len(operations), rank
            if ways and ways[0].station == "breakdown saw":
                operations += [Operation(ways, (place,)) for place in places]
            else:
                operations.append(Operation(ways, places, last))
        if forced is None and slack is None:
            forced = _the_offcut(strips, operations)
        for index, operation in enumerate(operations):
            if not operation.ways and index != forced:
                self._cannot(layout, node, cut, strips[operation.strips[0]].size)
        return tuple(operations), forced

    def _division(
        self,
        kind: Literal["strips", "trim", "split", "cut"],
        cut: CutKind,
        strips: tuple[Strip, ...],
        slack: Fraction | None,
        operations: tuple[Operation, ...],
        *,
        bevel: Fraction = Fraction(0),
        free: bool = False,
        forced: int | None = None,
    ) -> Division:
        inner = tuple(s.inner.key if s.inner else -1 for s in strips)
        found = (kind, cut, bevel, free, forced, operations, inner)
        key = self._keys.setdefault(found, len(self._keys))
        return Division(kind, cut, bevel, strips, slack, operations, key, free, forced)

    def _cannot(
        self, layout: Layout, node: Node, cut: CutKind, setting: Fraction, bevel: Fraction = Fraction(0)
    ) -> None:
        saw, along = self.saw, _along(node, cut)
        what = f"layout {layout.id}, piece {node.id}: no station can make the {'bevel rip' if bevel else cut}"
        size = f"at {float(setting):g} {saw.unit} in a piece {float(along):g} {saw.unit} along the cut"
        why = f"the fence opens to {float(saw.rip_capacity):g} {saw.unit}"
        if cut == "crosscut":
            why += f", the sled carries {float(saw.crosscut_capacity):g} {saw.unit}"
        if not bevel and not saw.breakdown_saw:
            why += ", and there is no guided saw (breakdown_saw = false)"
        self.reasons.append(f"{what} {size}: {why}")


def _the_offcut(strips: tuple[Strip, ...], operations: list[Operation]) -> int | None:
    """Return the operation of the one offcut among strips that leave no waste: it takes what is left, errors included.

    The last strip carries the errors of all before it (common practice, no source), and an offcut can bear them.
    """
    offcuts = [i for i, strip in enumerate(strips) if strip.node is not None and strip.node.role == "offcut"]
    if len(offcuts) != 1:
        return None
    return next((i for i, operation in enumerate(operations) if operation.strips == tuple(offcuts)), None)


def _along(node: Node, cut: CutKind) -> Fraction:
    return node.length if cut == "rip" else node.width


def _is_waste(node: Node | None) -> bool:
    """Say whether nothing is made of a piece, however it is cut."""
    return node is None or all(piece.role in ("cut", "waste") for piece in node.walk())


def _flatten(node: Node, cut: CutKind) -> list[Node | None]:
    """Return the pieces of a chain of parallel square cuts, low side first; None for a rest that the blade eats."""
    entries: list[Node | None] = []
    stack: list[Node | None] = [node]
    while stack:
        top = stack.pop()
        if top is None or top.cut != cut or top.bevel:
            entries.append(top)
        elif len(top.pieces) > 1:
            stack += reversed(top.pieces)
        elif low_of(top.pieces[0], cut) == low_of(top, cut):
            stack += (None, top.pieces[0])
        else:
            stack += (top.pieces[0], None)
    return entries
