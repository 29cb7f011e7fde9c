"""One way to make up for what is lost: which pieces are cut anew, whether anything may be bought, what comes of it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from nesting.demand import Cleat, Group, Panel, Stock, parted, stock_of
from nesting.layout import Layout, Node
from nesting.lengths import show_length
from nesting.make import letters
from nesting.project.model import AnyStock, Project
from nesting.refusals import refusals
from nesting.replan.bars import from_bars
from nesting.replan.bench import Bench, Room
from nesting.replan.graft import planted
from nesting.replan.remains import stock_called
from nesting.replan.wanted import Kind
from nesting.solve.cutting import cut_group
from nesting.solve.grid import Rules
from nesting.solve.problem import Bound
from nesting.solve.stop import Stop

SHARE = 64
"""Grades by which a larger rest is the worse choice."""
DEAR = 1000
"""A unit of money weighs as much as so many rests cut anew."""


@dataclass(frozen=True, slots=True)
class Attempt:
    """What one way comes to; ``reasons`` tells why it cannot be done at all.

    ``choices`` holds for each thickness the candidates, each a set of layouts: one for each piece cut anew, under its
    id, and one for each new stock piece.
    """

    freed: frozenset[str]
    money: Fraction
    bound: Fraction
    why: Bound
    choices: tuple[tuple[tuple[Layout, ...], ...], ...] = ()
    reasons: tuple[str, ...] = ()
    store: bool = False


@dataclass(frozen=True, slots=True)
class Shop:
    """What every attempt starts from: the bench, the job with what is left of lost pieces, and what each part is."""

    bench: Bench
    project: Project
    kinds: Mapping[str, Kind]
    rules: Rules
    seed: int


@dataclass(frozen=True, slots=True)
class _Offer:
    """A stock as the solver sees it, the stock of the job behind it, and the pieces it stands for."""

    stock: Stock
    of: AnyStock
    rooms: tuple[Room, ...]


def attempt(
    shop: Shop,
    freed: Iterable[str],
    stop: Stop,
    *,
    owned: bool = True,
    store: bool,
    whole: bool = False,
    patience: float = 0.0,
) -> Attempt:
    """Try to make what is lost, and what was to come from the ``freed`` pieces.

    ``owned`` offers rests and whatever is there already, ``store`` what has a price. With ``whole`` money alone counts,
    so that the bound is one for money; without it few and small rests are cut. ``patience``: seconds beyond ``stop``
    that a first plan may take, so that there is one.
    """
    bench, freed = shop.bench, frozenset(freed)
    wanted, fillers = _demand(shop, freed)
    bars, given = from_bars(bench.project, list(bench.bars(freed)) if owned else [], wanted, shop.kinds)
    wanted -= given
    offers = list(_offers(shop, freed, wanted, owned=owned, store=store, whole=whole))
    groups, reasons = _groups(shop, offers, wanted, fillers)
    reasons += refusals(shop.project, groups, shop.rules) if not reasons else []
    nothing = Bound(0, "nothing")
    if reasons:
        return Attempt(freed, Fraction(0), Fraction(0), nothing, reasons=tuple(reasons), store=store)
    named = {offer.stock.name: offer for offer in offers}
    free = _Letters(shop)
    choices: list[tuple[tuple[Layout, ...], ...]] = [(tuple(map(numbered_layout, bars)),)] if bars else []
    money = bound = Fraction(0)
    why = nothing
    for at, group in enumerate(groups):
        share = stop.within(stop.left() / (len(groups) - at))
        ids = {name: name for name in named}
        cutting = cut_group(group, shop.rules, shop.project.unit, ids, share, shop.seed, patience=patience)
        if cutting.missing or not cutting.candidates:
            head = shop.project.project
            thick = show_length(group.stocks[0].thickness, head.unit, head.fence_step)
            late = (f"no way to cut the {thick} thick pieces was found in the time given",)
            return Attempt(freed, Fraction(0), Fraction(0), nothing, reasons=cutting.missing or late, store=store)
        best = _bought(cutting.candidates[0], named)
        money += best
        bound += min(cutting.bound, best) if whole else Fraction(0)
        why = cutting.why if best else why
        alike = [layouts for layouts in cutting.candidates if _bought(layouts, named) == best]
        choices.append(tuple(_turned_into_pieces(layouts, named, free.fresh(), bench) for layouts in alike))
        free.used(choices[-1])
    return Attempt(freed, money, bound, why, tuple(choices), store=store)


def _bought(layouts: Sequence[Layout], named: Mapping[str, _Offer]) -> Fraction:
    return sum(
        (Fraction(named[layout.stock].of.price) for layout in layouts if not named[layout.stock].rooms), Fraction(0)
    )


def _demand(shop: Shop, freed: frozenset[str]) -> tuple[Counter[str], Counter[str]]:
    """Return what has to be made, and how many of each filler may be."""
    bench = shop.bench
    out = set(bench.gone)
    for piece in freed:
        out |= {node.id for node in bench.nodes[piece][1].walk()}
    kept: Counter[str] = Counter()
    wanted: Counter[str] = Counter()
    for piece, (_, node) in bench.nodes.items():
        if node.part is not None:
            (wanted if piece in out else kept)[node.part] += 1
    asked = {part.name: part.quantity for part in bench.project.part if part.filler}
    fillers = Counter({name: count - kept[name] for name, count in asked.items() if count > kept[name]})
    return Counter({name: n for name, n in wanted.items() if name not in asked}), fillers


def _offers(
    shop: Shop, freed: frozenset[str], wanted: Counter[str], *, owned: bool, store: bool, whole: bool
) -> Iterator[_Offer]:
    """Yield all that may be cut: rests and freed pieces, alike ones together, then the stock of the job."""
    bench, project = shop.bench, shop.project
    pieces = [shop.kinds[name].piece for name in wanted]
    rooms = [*bench.rests(freed), *(room for one in sorted(freed) if (room := bench.room(one)) is not None)]
    alike: dict[tuple[object, ...], list[Room]] = {}
    for room in rooms if owned else ():
        if room.id in freed or any(_holds(room, piece) for piece in pieces):
            key = (room.layout.stock, room.length, room.width, room.whole)
            alike.setdefault(key, []).append(room)
    largest = max((room.length * room.width for room in rooms), default=Fraction(1))

    def price(money: Fraction, area: Fraction) -> Fraction:
        return money if whole else DEAR * money + 1 + Fraction(int(SHARE * area / largest), SHARE)

    names = {stock.name for stock in project.stocks}
    for same in alike.values():
        room = same[0]
        name = f"piece {room.id}"
        while name in names:
            name += "'"
        names.add(name)
        of = stock_called(project, room.layout.stock)
        stock = replace(
            stock_of(project, of),
            name=name,
            length=room.length,
            width=room.width,
            price=price(Fraction(0), room.length * room.width),
            available=len(same),
        )
        yield _Offer(stock if room.whole else replace(stock, kind="offcut", trim=Fraction(0)), of, tuple(same))
    used = Counter(layout.stock for layout in bench.layouts.values())
    for of in project.stocks:
        left = None if of.limit is None else max(0, of.limit - used[of.name])
        if left == 0 or not (store if of.price else owned):
            continue
        plain = stock_of(project, of)
        dear = price(Fraction(of.price), plain.length * plain.width)
        yield _Offer(replace(plain, price=dear, available=left), of, ())


def _holds(room: Room, piece: Panel | Cleat) -> bool:
    """Whether a room is large enough for a piece, one way or the other."""
    if isinstance(piece, Cleat):
        return piece.length <= room.length and piece.height <= room.width
    lying = piece.length <= room.length and piece.width <= room.width
    return lying or (piece.width <= room.length and piece.length <= room.width)


def _groups(
    shop: Shop, offers: Sequence[_Offer], wanted: Counter[str], fillers: Counter[str]
) -> tuple[tuple[Group, ...], list[str]]:
    """Return the pieces wanted with the stocks that suit them, by thickness; or why some have none."""
    pieces: list[tuple[frozenset[int], Panel | Cleat]] = []
    reasons: list[str] = []
    for name, count in (*wanted.items(), *fillers.items()):
        kind = shop.kinds[name]
        suiting = frozenset(n for n, offer in enumerate(offers) if shop.project.suits(kind.thickness, offer.of))
        if suiting:
            pieces.append((suiting, replace(kind.piece, quantity=count, stocks=suiting)))
        elif name in wanted:
            reasons.append(f"{count} of {name!r} cannot be cut: no stock of its thickness is left")
    groups = parted([offer.stock for offer in offers], pieces)
    return tuple(group for group in groups if any(isinstance(p, Cleat) or not p.filler for p in _all(group))), reasons


def _all(group: Group) -> tuple[Panel | Cleat, ...]:
    return (*group.panels, *group.cleats)


class _Letters:
    """Ids for new layouts: a stock keeps its letter, a new one gets the next that is free."""

    def __init__(self, shop: Shop) -> None:
        self.letters: dict[str, str] = {}
        self.next: Counter[str] = Counter()
        for layout in shop.bench.layouts.values():
            letter = layout.id.rstrip("0123456789")
            self.letters.setdefault(layout.stock, letter)
            number = layout.id[len(letter) :]
            self.next[letter] = max(self.next[letter], int(number or 0))
        taken = {letter.upper() for letter in self.next}
        free = (letter for letter in letters() if letter not in taken)
        for stock in shop.project.stocks:
            if stock.name not in self.letters:
                self.letters[stock.name] = next(free)

    def fresh(self) -> _Ids:
        """Return what counts on from here for one set of layouts."""
        return _Ids(self.letters, Counter(self.next))

    def used(self, choices: Iterable[Iterable[Layout]]) -> None:
        """Count past every id that some set of layouts bears: those of other thicknesses come after it."""
        for layouts in choices:
            for layout in layouts:
                letter = layout.id.rstrip("0123456789")
                if "." not in layout.id and letter in self.letters.values():
                    self.next[letter] = max(self.next[letter], int(layout.id[len(letter) :]))


@dataclass(slots=True)
class _Ids:
    letters: Mapping[str, str]
    counts: Counter[str]

    def of(self, stock: str) -> str:
        letter = self.letters[stock]
        self.counts[letter] += 1
        return f"{letter}{self.counts[letter]}"


def _turned_into_pieces(
    layouts: Sequence[Layout], named: Mapping[str, _Offer], ids: _Ids, bench: Bench
) -> tuple[Layout, ...]:
    """Return what the solver cut as layouts of the pieces themselves, where they lie in their sheets."""
    used: Counter[str] = Counter()
    found = []
    for layout in layouts:
        offer = named[layout.stock]
        if offer.rooms:
            room = offer.rooms[used[layout.stock]]
            used[layout.stock] += 1
            found.append(planted(layout.tree, room, bench.project.saw.kerf))
        else:
            name = ids.of(offer.of.name)
            tree = numbered(layout.tree, name)
            found.append(Layout(name, offer.of.name, layout.length, layout.width, layout.thickness, tree))
    return tuple(numbered_layout(layout) for layout in found)


def numbered_layout(layout: Layout) -> Layout:
    """Return a layout whose pieces bear its id and a number each, parents first."""
    return replace(layout, tree=numbered(layout.tree, layout.id))


def numbered(tree: Node, name: str) -> Node:
    """Return a tree whose root bears ``name`` and whose pieces bear it with a dot and a number."""
    order = [tree]
    for node in order:
        order.extend(node.pieces)
    made: dict[int, Node] = {}
    for n, node in reversed(list(enumerate(order))):
        pieces = tuple(made[id(piece)] for piece in node.pieces)
        made[id(node)] = replace(node, id=f"{name}.{n}" if n else name, pieces=pieces)
    return made[id(tree)]
