"""The cheapest way to cut a handful of pieces, found by trying everything; shares no code with the solver.

Every set of pieces is tried on every stock, every guillotine cutting of the set is tried by plain recursion, and
the stocks that cover all pieces at the least cost are found by plain recursion again. Meant for at most five pieces.

All sizes are scaled to integers and *inflated by the kerf*: a piece needs its side and one kerf, a stock offers its
usable side and one kerf, so that pieces add up without further account of the blade, and a rest thinner than the
kerf is simply eaten by it.

Where stages are limited a space that is larger than what is cut from it needs trimming cuts, and these count. A
space that is ripped first may be wider than needed (the rest falls off by one more rip of the same stage), but its
length has to be right to the kerf unless a crosscut stage follows; the same with both exchanged.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import cache, wraps
from itertools import chain, product
from typing import Any, Literal

from nesting.demand import Cleat, Group, Panel, Stock
from nesting.trade.bevel import Bevel

MOST_PIECES = 6
NEVER = math.inf
Box = tuple[int, int]
Pieces = frozenset[int]
FirstCut = Literal["any", "rip", "crosscut"]


def cheapest(
    group: Group,
    kerf: Fraction,
    step: Fraction,
    angle: Fraction,
    first_cut: FirstCut = "any",
    max_stages: int | None = None,
) -> Fraction | None:
    """Return the least cost of all panels (fillers left out) and cleats of a group; None where it cannot be done.

    ``step`` is the fence step, ``angle`` the bevel in degrees. Edge trims do not count as stages, and the first cut is
    the first that is not an edge trim. Runs are spliced in every way there is. Raises :class:`ValueError` for more than
    six pieces.
    """
    if group.runs:
        costs = [cheapest(spliced, kerf, step, angle, first_cut, max_stages) for spliced, _ in every_splicing(group)]
        return min((cost for cost in costs if cost is not None), default=None)
    wanted: list[Panel | Cleat] = []
    for piece in chain(group.panels, group.cleats):
        if not (isinstance(piece, Panel) and piece.filler):
            wanted += [piece] * piece.quantity
    if len(wanted) > MOST_PIECES:
        raise ValueError(f"{len(wanted)} pieces are too many to try everything")
    benches = [
        _Bench(number, stock, tuple(wanted), kerf, step, angle, _scale(group, kerf, step))
        for number, stock in enumerate(group.stocks)
    ]

    @cache
    def cost(left: Pieces, free: tuple[int | None, ...]) -> Fraction | None:
        """Least cost of the pieces left with the stocks still free: the first of them lies on some stock."""
        if not left:
            return Fraction(0)
        costs = []
        for chosen in _subsets_with_first(left):
            for number, stock in enumerate(group.stocks):
                at_hand = free[number]
                if at_hand == 0 or not benches[number].fits(chosen, first_cut, max_stages):
                    continue
                remaining = None if at_hand is None else at_hand - 1
                rest = cost(left - chosen, (*free[:number], remaining, *free[number + 1 :]))
                if rest is not None:
                    costs.append(stock.price + rest)
        return min(costs, default=None)

    return cost(frozenset(range(len(wanted))), tuple(stock.available for stock in group.stocks))


def every_splicing(group: Group) -> Iterator[tuple[Group, tuple[int, ...]]]:
    """Yield for every choice of alternatives the group with their pieces as cleats asked for, and the choice."""
    for choice in product(*(range(len(run.alternatives)) for run in group.runs)):
        pieces = [
            Cleat(name, run.kind, run.height, length, 1, run.stocks)
            for run, chosen in zip(group.runs, choice, strict=True)
            for name, length in zip(run.piece_names, run.alternatives[chosen], strict=False)
        ]
        yield replace(group, cleats=(*group.cleats, *pieces), runs=()), choice


def _scale(group: Group, kerf: Fraction, step: Fraction) -> int:
    """Return what all sizes have to be multiplied with to be whole; bevelled blanks are multiples of the step."""
    sizes = [kerf, step]
    sizes += [size for stock in group.stocks for size in (stock.length, stock.width, stock.trim)]
    sizes += [size for panel in group.panels for size in (panel.length, panel.width)]
    sizes += [cleat.length for cleat in group.cleats]
    return math.lcm(*(Fraction(size).denominator for size in sizes))


def _subsets(pieces: Pieces) -> Iterator[Pieces]:
    """Yield all subsets but the empty one."""
    order = sorted(pieces)
    for picks in product((False, True), repeat=len(order)):
        if any(picks):
            yield frozenset(piece for piece, pick in zip(order, picks, strict=True) if pick)


def _subsets_with_first(pieces: Pieces) -> Iterator[Pieces]:
    """Yield the subsets that hold the smallest number: one of them is the block of that piece in any partition."""
    first = min(pieces)
    yield from (subset for subset in _subsets(pieces) if first in subset)


def _least(sizes: list[int], stages: int, works: Callable[[int], bool]) -> float:
    """Return the smallest size that works; with two stages or more every larger one works too, as it can be trimmed."""
    if stages >= 2:
        at = bisect_left(sizes, True, key=works)
        return sizes[at] if at < len(sizes) else NEVER
    return next((size for size in sizes if works(size)), NEVER)


def _remembered(method: Callable[..., Any]) -> Callable[..., Any]:
    """Remember a method's answers for as long as its object lives."""

    @wraps(method)
    def ask(self: _Bench, *question: Any) -> Any:
        key = (method.__name__, *question)
        if key not in self.answers:
            self.answers[key] = method(self, *question)
        return self.answers[key]

    return ask


@dataclass(frozen=True, eq=False)
class _Bench:
    """One stock and the pieces wanted; says which sets of them can be cut from one piece of that stock."""

    number: int
    stock: Stock
    wanted: tuple[Panel | Cleat, ...]
    kerf: Fraction
    step: Fraction
    angle: Fraction
    scale: int
    answers: dict[Any, Any] = field(default_factory=dict)

    def _inflated(self, size: Fraction) -> int:
        scaled = (size + self.kerf) * self.scale
        assert scaled.denominator == 1
        return int(scaled)

    def _usable(self) -> Box:
        trim = self.stock.trim
        return self._inflated(self.stock.length - 2 * trim), self._inflated(self.stock.width - 2 * trim)

    @_remembered
    def fits(self, pieces: Pieces, first_cut: FirstCut, max_stages: int | None) -> bool:
        """Whether all these pieces come out of one piece of the stock."""
        length, width = self._usable()
        if any(self.number not in self.wanted[piece].stocks for piece in pieces) or min(length, width) <= 0:
            return False
        if (length, width) in self._panel(pieces):
            return True  # no cut at all
        if max_stages is not None:
            rip = self._first_rip(pieces, length, width, max_stages)
            crosscut = self._first_crosscut(pieces, length, width, max_stages)
            return (rip and first_cut != "crosscut") or (crosscut and first_cut != "rip")
        if first_cut == "any":
            return any(one <= length and other <= width for one, other in self._boxes(pieces))
        return self._first_of_any_depth(pieces, length, width, first_cut)

    # -- leaves: a panel as it may lie, a blank with its bars

    def _panel(self, pieces: Pieces) -> list[Box]:
        """Return the ways a set that is one panel may lie, none for any other set."""
        if len(pieces) != 1:
            return []
        panel = self.wanted[min(pieces)]
        if not isinstance(panel, Panel):
            return []
        along, across = self._inflated(panel.length), self._inflated(panel.width)
        ways = []
        if panel.grain != "width" or not self.stock.grain:
            ways.append((along, across))
        if panel.grain != "length" or not self.stock.grain:
            ways.append((across, along))
        return ways

    @_remembered
    def _blanks(self, pieces: Pieces) -> list[tuple[Box, bool]]:
        """Return the blanks that hold just these cleats, in one bar or two, and whether bars need no crosscut.

        Cleats of one bar have one height. Both orders of the two bars are tried: the rounding differs.
        """
        cleats = {piece: cleat for piece in pieces if isinstance(cleat := self.wanted[piece], Cleat)}
        if len(cleats) < len(pieces):
            return []
        rule = Bevel(self.stock.thickness, self.kerf, self.angle, self.step)
        found = []
        for low in _subsets(pieces):
            high = pieces - low
            heights = [{cleats[piece].height for piece in bar} for bar in (low, high)]
            if len(heights[0]) > 1 or len(heights[1]) > 1:
                continue
            blank = rule.pair(min(heights[0]), min(heights[1])) if high else rule.lone(min(heights[0]))
            bars = [sum(self._inflated(cleats[piece].length) for piece in bar) for bar in (low, high) if bar]
            no_crosscut = len(low) == 1 and len(high) <= 1 and len(set(bars)) == 1
            found.append(((max(bars), self._inflated(blank.width)), no_crosscut))
        return found

    # -- any depth: the smallest boxes that a set can be cut from

    @_remembered
    def _boxes(self, pieces: Pieces) -> list[Box]:
        boxes = self._panel(pieces) + [box for box, _ in self._blanks(pieces)]
        for some in _subsets_with_first(pieces):
            if some == pieces:
                continue
            for (x1, y1), (x2, y2) in product(self._boxes(some), self._boxes(pieces - some)):
                boxes += [(x1 + x2, max(y1, y2)), (max(x1, x2), y1 + y2)]
        smallest: list[Box] = []
        for box in sorted(set(boxes)):
            if not smallest or box[1] < smallest[-1][1]:
                smallest.append(box)
        return smallest

    def _first_of_any_depth(self, pieces: Pieces, length: int, width: int, first_cut: FirstCut) -> bool:
        """Whether a set fits where nothing but the direction of the first cut is asked for.

        The first cut parts two sets, or it takes a rest off, or it is the bevel rip of a single blank.
        """
        if first_cut == "rip" and any(x <= length and y <= width for (x, y), _ in self._blanks(pieces)):
            return True
        for x, y in self._boxes(pieces):
            if x <= length and y <= width and (y < width if first_cut == "rip" else x < length):
                return True
        for some in _subsets_with_first(pieces):
            if some == pieces:
                continue
            for (x1, y1), (x2, y2) in product(self._boxes(some), self._boxes(pieces - some)):
                x, y = (max(x1, x2), y1 + y2) if first_cut == "rip" else (x1 + x2, max(y1, y2))
                if x <= length and y <= width:
                    return True
        return False

    # -- limited stages

    def _first_rip(self, pieces: Pieces, length: int, width: int, stages: int) -> bool:
        """Whether a set fits and a rip is really made first."""
        if stages < 1:
            return False
        if self._strip(pieces, length, stages - 1) < width or self._bevelled(pieces, length, stages - 1) <= width:
            return True
        return self._parted(pieces, length, stages, "rip") <= width

    def _first_crosscut(self, pieces: Pieces, length: int, width: int, stages: int) -> bool:
        """Whether a set fits and a crosscut is really made first."""
        if stages < 1:
            return False
        return (
            self._length_piece(pieces, width, stages - 1) < length
            or self._parted(pieces, width, stages, "crosscut") <= length
        )

    def _parted(self, pieces: Pieces, side: int, stages: int, cut: Literal["rip", "crosscut"]) -> float:
        """Least size across cuts of one stage that part a set in two or more."""
        return min(
            (
                self._one(some, side, stages - 1, cut) + self._stage(pieces - some, side, stages, cut)
                for some in _subsets_with_first(pieces)
                if some != pieces
            ),
            default=NEVER,
        )

    @_remembered
    def _stage(self, pieces: Pieces, side: int, stages: int, cut: Literal["rip", "crosscut"]) -> float:
        """Least width (of a space ``side`` long, ripped first) or length (``side`` wide, crosscut first) for a set."""
        if stages < 1:
            return NEVER
        return min(self._one(pieces, side, stages - 1, cut), self._parted(pieces, side, stages, cut))

    def _one(self, pieces: Pieces, side: int, stages: int, cut: Literal["rip", "crosscut"]) -> float:
        if cut == "crosscut":
            return self._length_piece(pieces, side, stages)
        return min(self._strip(pieces, side, stages), self._bevelled(pieces, side, stages))

    @_remembered
    def _strip(self, pieces: Pieces, length: int, stages: int) -> float:
        """Least width of a strip that gives a set by this many stages, crosscuts first."""
        panels = [y for x, y in self._panel(pieces) if x == length]
        cut = _least(self._sums(pieces, 1), stages, lambda y: self._stage(pieces, y, stages, "crosscut") <= length)
        return min([*panels, cut])

    @_remembered
    def _length_piece(self, pieces: Pieces, width: int, stages: int) -> float:
        """Least length of a piece that gives a set by this many stages, rips first."""
        panels = [x for x, y in self._panel(pieces) if y == width]
        cut = _least(self._sums(pieces, 0), stages, lambda x: self._stage(pieces, x, stages, "rip") <= width)
        return min([*panels, cut])

    def _bevelled(self, pieces: Pieces, length: int, stages: int) -> float:
        """Least width of a blank for a set, its bevel rip in the stage that ripped it to width."""
        widths = [
            y
            for (x, y), no_crosscut in self._blanks(pieces)
            if (stages >= 1 and x <= length) or (no_crosscut and x == length)
        ]
        return min(widths, default=NEVER)

    @_remembered
    def _sums(self, pieces: Pieces, side: int) -> list[int]:
        """Return every size that pieces of a set can add up to along x (0) or y (1): no other is ever needed."""
        sums = set()
        for some in _subsets(pieces):
            sums |= {box[side] for box in self._panel(some)} | {box[side] for box, _ in self._blanks(some)}
        reached = {0}
        for piece in sorted(pieces):
            sizes = {box[side] for box in self._panel(frozenset({piece}))}
            reached |= {total + size for total in reached for size in sizes}
        if any(isinstance(self.wanted[piece], Cleat) for piece in pieces):
            for _ in pieces:  # blanks beside one another and beside panels
                reached |= {total + size for total in reached for size in sums}
        return sorted((sums | reached) - {0})
