"""From patterns to cut trees: exact positions, edge trims, kerfs, bevel rips, ids.

A pattern says which pieces lie beside which; here every cut is placed as low as the pieces below it allow,
in exact lengths, so that what is left gathers at the high side. The integer grid is left behind.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

from nesting.demand import Panel, Stock
from nesting.layout import CutKind, Layout, Node
from nesting.solve.grid import Gridded
from nesting.solve.pattern import Pattern, Put, Split, Strip
from nesting.trade.bevel import Bevel, Blank
from nesting.trade.offcuts import worth_keeping

ZERO = Fraction(0)
Size = tuple[Fraction, Fraction]


@dataclass(frozen=True, slots=True)
class _Space:
    x: Fraction
    y: Fraction
    length: Fraction
    width: Fraction


class TreeBuilder:
    """Builds the cut trees of one thickness group; ``panels`` are the group's, fillers behind them.

    ``names`` holds for cleats that pieces of runs are cut as the names of these pieces, used up one by one.
    """

    def __init__(
        self,
        gridded: Gridded,
        panels: tuple[Panel, ...],
        unit: Literal["in", "mm"],
        names: Mapping[int, Sequence[str]] | None = None,
    ) -> None:
        self._names = {cleat: iter(own) for cleat, own in (names or {}).items()}
        self.gridded = gridded
        self.panels = panels
        self.unit = unit
        self.kerf = gridded.rules.kerf
        self._gap = Bevel(ZERO, self.kerf, gridded.rules.angle, gridded.rules.step).gap
        self.staged = gridded.rules.max_stages is not None or gridded.rules.first_cut != "any"

    def layout(self, layout_id: str, bin_index: int, pattern: Pattern) -> Layout:
        """Return the layout of one stock piece cut by ``pattern``."""
        stock = self.gridded.stocks[bin_index]
        tree = self._trimmed(stock, bin_index, pattern)
        return Layout(layout_id, stock.name, stock.length, stock.width, stock.thickness, _numbered(tree, layout_id))

    def need(self, bin_index: int, pattern: Pattern) -> Size:
        """Return the exact length and width that the pieces of a pattern take, kerfs between them included."""
        if pattern is None:
            return ZERO, ZERO
        if isinstance(pattern, Put):
            panel = self.panels[pattern.item]
            return (panel.width, panel.length) if pattern.turned else (panel.length, panel.width)
        if isinstance(pattern, Strip):
            bars = [self._bar_length(bar) for bar in (pattern.low, pattern.high or ())]
            return max(bars), self._blank(bin_index, pattern)[0].width
        low, high = self.need(bin_index, pattern.low), self.need(bin_index, pattern.high)
        along = 1 if pattern.cut == "rip" else 0
        between = self.kerf if low[along] and high[along] else ZERO
        total = low[along] + between + high[along]
        across = max(low[1 - along], high[1 - along])
        return (across, total) if along else (total, across)

    def _bar_length(self, bar: tuple[int, ...]) -> Fraction:
        lengths = [self.gridded.cleats[index].length for index in bar]
        return sum(lengths, ZERO) + self.kerf * max(0, len(lengths) - 1)

    def _blank(self, bin_index: int, strip: Strip) -> tuple[Blank, tuple[int, ...], tuple[int, ...] | None]:
        """Return the blank of a strip with its bars; one empty bar makes it a lone cleat's strip."""
        row, exact = self.gridded.problem.blanks[bin_index], self.gridded.blanks[bin_index]
        asked = row[strip.blank]
        if strip.high and strip.low:
            return exact[strip.blank], strip.low, strip.high
        kind = asked.low if strip.low or asked.high is None else asked.high
        alone = next(i for i, blank in enumerate(row) if blank.high is None and blank.low == kind)
        return exact[alone], strip.low or strip.high or (), None

    # -- edges of the stock

    def _trimmed(self, stock: Stock, bin_index: int, pattern: Pattern) -> Node:
        """Trim the factory edges, then cut; beside mere waste the high trim is cut where the pieces end."""
        trim = stock.trim
        whole = _Space(ZERO, ZERO, stock.length, stock.width)
        if not trim:
            return self._build(whole, bin_index, pattern)
        length, width = self.need(bin_index, pattern)
        spare_x, spare_y = stock.length - 2 * trim - length, stock.width - 2 * trim - width
        keeps_y = self.staged or spare_y <= self.kerf or worth_keeping(stock.length, spare_y - self.kerf, self.unit)
        keeps_x = self.staged or spare_x <= self.kerf or worth_keeping(spare_x - self.kerf, stock.width, self.unit)
        cuts: list[tuple[CutKind, Fraction, bool]] = [("rip", trim, True), ("crosscut", trim, True)]
        cuts.append(("rip", stock.width - 2 * trim if keeps_y else width, False))
        cuts.append(("crosscut", stock.length - 2 * trim if keeps_x else length, False))
        return self._trim(whole, cuts, bin_index, pattern)

    def _trim(
        self, space: _Space, cuts: list[tuple[CutKind, Fraction, bool]], bin_index: int, pattern: Pattern
    ) -> Node:
        if not cuts:
            return self._build(space, bin_index, pattern)
        (cut, size, at_low), *later = cuts
        side = space.width if cut == "rip" else space.length
        low, high = (size - self.kerf, side - size) if at_low else (size, side - size - self.kerf)
        near, far = _parted(space, cut, low, high)
        waste, rest = (near, far) if at_low else (far, near)
        scrap = [_leaf(waste, "waste")] if waste.length > 0 and waste.width > 0 else []
        kept = self._trim(rest, later, bin_index, pattern)
        pieces = (*scrap, kept) if at_low else (kept, *scrap)
        return _cut(space, cut, pieces)

    # -- pieces

    def _build(self, space: _Space, bin_index: int, pattern: Pattern) -> Node:
        if pattern is None:
            return self._rest(space)
        if isinstance(pattern, Split):
            if pattern.low is None or pattern.high is None:
                only = pattern.low if pattern.high is None else pattern.high
                if only is None:
                    return self._rest(space)
                along = 1 if pattern.cut == "rip" else 0
                return self._cut_off(space, pattern.cut, self.need(bin_index, only)[along], bin_index, only)
            return self._split(space, bin_index, pattern, pattern.low, pattern.high)
        length, width = self.need(bin_index, pattern)
        if isinstance(pattern, Strip) and not self._shorten(space, pattern, length):
            length = space.length
        if (space.length, space.width) == (length, width):
            return self._piece(space, bin_index, pattern)
        spare_x, spare_y = space.length - length, space.width - width
        crosscut_first = spare_x * space.width > spare_y * space.length
        if spare_x and (crosscut_first or not spare_y):
            return self._cut_off(space, "crosscut", length, bin_index, pattern)
        return self._cut_off(space, "rip", width, bin_index, pattern)

    def _shorten(self, space: _Space, strip: Strip, length: Fraction) -> bool:
        """Whether a blank is crosscut before its bevel rip: for a good leftover, or to save cutting two ends."""
        rest = space.length - length - self.kerf
        if self.staged or rest <= 0:
            return False
        if worth_keeping(rest, space.width, self.unit):
            return True
        return bool(strip.low and strip.high) and self._bar_length(strip.low) == self._bar_length(strip.high or ())

    def _split(self, space: _Space, bin_index: int, split: Split, low: Pattern, high: Pattern) -> Node:
        along = 1 if split.cut == "rip" else 0
        size = self.need(bin_index, low)[along]
        side = space.width if split.cut == "rip" else space.length
        near, far = _parted(space, split.cut, size, side - size - self.kerf)
        if self.staged:  # bring the high piece to size in this stage, or its own cuts would need one more
            above = self._cut_off(far, split.cut, self.need(bin_index, high)[along], bin_index, high)
        else:
            above = self._build(far, bin_index, high)
        return _cut(space, split.cut, (self._build(near, bin_index, low), above))

    def _cut_off(self, space: _Space, cut: CutKind, size: Fraction, bin_index: int, pattern: Pattern) -> Node:
        """Cut a rest off at the high side; what is not wider than the kerf the blade eats."""
        side = space.width if cut == "rip" else space.length
        if size == side:
            return self._build(space, bin_index, pattern)
        near, far = _parted(space, cut, size, side - size - self.kerf)
        rest = [self._rest(far)] if far.length > 0 and far.width > 0 else []
        return _cut(space, cut, (self._build(near, bin_index, pattern), *rest))

    def _piece(self, space: _Space, bin_index: int, leaf: Put | Strip) -> Node:
        if isinstance(leaf, Put):
            name = self.panels[leaf.item].name
            return replace(_leaf(space, "part"), part=name, turned=leaf.turned)
        blank, low, high = self._blank(bin_index, leaf)
        bars = [self._bar(_Space(space.x, space.y, space.length, blank.low), low)]
        other = space.width - blank.setting - self._gap
        if other > 0:
            top = space.y + space.width - other
            bars.append(self._bar(_Space(space.x, top, space.length, other), high or ()))
        return replace(_cut(space, "rip", tuple(bars)), bevel=self.gridded.rules.angle)

    def _bar(self, space: _Space, cleats: tuple[int, ...]) -> Node:
        """Crosscut one bar into its cleats; its end is waste."""
        if not cleats:
            return _leaf(space, "waste")
        cleat = self.gridded.cleats[cleats[0]]
        name = next(self._names[cleats[0]]) if cleats[0] in self._names else cleat.name
        if cleat.length == space.length:
            return replace(_leaf(space, "part"), part=name)
        near, far = _parted(space, "crosscut", cleat.length, space.length - cleat.length - self.kerf)
        rest = [self._bar(far, cleats[1:])] if far.length > 0 else []
        return _cut(space, "crosscut", (replace(_leaf(near, "part"), part=name), *rest))

    def _rest(self, space: _Space) -> Node:
        return _leaf(space, "offcut" if worth_keeping(space.length, space.width, self.unit) else "waste")


def _parted(space: _Space, cut: CutKind, low: Fraction, high: Fraction) -> tuple[_Space, _Space]:
    """Two spaces at the low and the high side of a cut; a size that is not positive means none."""
    if cut == "rip":
        return (
            _Space(space.x, space.y, space.length, low),
            _Space(space.x, space.y + space.width - high, space.length, high),
        )
    return (
        _Space(space.x, space.y, low, space.width),
        _Space(space.x + space.length - high, space.y, high, space.width),
    )


def _leaf(space: _Space, role: Literal["part", "offcut", "waste"]) -> Node:
    return Node("", space.x, space.y, space.length, space.width, role)


def _cut(space: _Space, cut: CutKind, pieces: tuple[Node, ...]) -> Node:
    return Node("", space.x, space.y, space.length, space.width, "cut", cut, ZERO, pieces)


def _numbered(tree: Node, layout_id: str) -> Node:
    """Give ids level by level: the root bears the layout's, the pieces A1.1, A1.2 and so on."""
    numbers: dict[int, str] = {id(tree): layout_id}
    queue, counter = deque([tree]), iter(range(1, 10**9))
    while queue:
        node = queue.popleft()
        for piece in node.pieces:
            numbers[id(piece)] = f"{layout_id}.{next(counter)}"
            queue.append(piece)

    def named(node: Node) -> Node:
        return replace(node, id=numbers[id(node)], pieces=tuple(named(piece) for piece in node.pieces))

    return named(tree)
