"""Which way to take: the least new money, then the fewest steps that change.

First everything is kept and what is lost has to come out of rests. Where it does not, one open piece is cut otherwise,
the one with the fewest steps first; then all open pieces of one sheet; then all of them. What has to be bought in the
end is compared with what the parts lost would cost by themselves, so that it is never more than that.
"""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from typing import Final

from nesting.demand import Cleat, Panel
from nesting.layout import Node
from nesting.replan.attempt import Attempt, Shop, attempt
from nesting.solve.search import PATIENCE
from nesting.solve.stop import Stop

KEEP_SHARE: Final = 0.3
ONE_SHARE: Final = 0.45
"""Of the time left, for keeping everything, and for cutting one piece or the pieces of one sheet otherwise."""
ONE_TRY: Final = 0.25
"""Seconds at most for one of these."""
FEWEST_TRIES: Final = 4
LAST_TRY: Final = 0.4
"""Seconds, whatever the time, for buying what is lost: with less, more than its least price could be spent on it."""


def ways(shop: Shop, stop: Stop) -> Iterator[Attempt]:
    """Yield ways in the order in which they are to be taken, each tried only when it is asked for.

    Those that come to nothing are among them, with their reasons.
    """
    yield attempt(shop, (), stop.within(KEEP_SHARE * stop.left()), store=False)
    brief = stop.within(ONE_SHARE * stop.left())
    for freed in _smaller_first(shop):
        if brief.reached():
            break
        tried = attempt(shop, freed, brief.within(min(ONE_TRY, brief.left() / FEWEST_TRIES)), store=False)
        if not tried.money:
            yield tried
    everything = shop.bench.topmost()
    most = attempt(shop, everything, stop.within(0.5 * stop.left()), store=True, whole=True)
    if not most.reasons and not most.money:
        yield most
    share = max(LAST_TRY, stop.left() / 3)
    found = [
        most,
        attempt(shop, (), _granted(stop, share), store=True, patience=PATIENCE),
        attempt(shop, (), _granted(stop, share), owned=False, store=True, patience=PATIENCE),
    ]
    if all(way.reasons for way in found):
        found.append(attempt(shop, everything, stop, store=True, whole=True, patience=PATIENCE))
    best = min(found, key=lambda way: rank(shop, way))
    if not best.reasons and changed(shop, best):
        for freed in _sheets(shop):
            if stop.reached():
                break
            tried = attempt(shop, freed, stop.within(min(ONE_TRY, stop.left())), store=True)
            if not tried.reasons and tried.money <= best.money:
                found.append(tried)
                break
    if not most.reasons:  # what all pieces together need at least, every way needs
        found = [replace(way, bound=min(most.bound, way.money), why=most.why) for way in found]
    yield from sorted(found, key=lambda way: rank(shop, way))


def rank(shop: Shop, way: Attempt) -> tuple[bool, Fraction, int]:
    """Return what makes a way good: that it leads to a plan, little money, few open steps that change."""
    return bool(way.reasons), way.money, changed(shop, way)


def changed(shop: Shop, way: Attempt) -> int:
    """Count the open steps that a way leaves out: those of the pieces that it cuts otherwise."""
    freed = {node.id for piece in way.freed for node in shop.bench.nodes[piece][1].walk()}
    return sum(step.piece in freed for step in shop.bench.open_steps())


def _granted(stop: Stop, seconds: float) -> Stop:
    """Return a stop so many seconds from now, even where the time is up already; cancelling ends it as before."""
    return Stop(time.perf_counter() + seconds, stop.cancel, stop.also)


def _smaller_first(shop: Shop) -> Iterator[tuple[str, ...]]:
    """Yield pieces to cut otherwise: single ones large enough, by the steps they take, then all of one sheet."""
    bench = shop.bench
    lost = [shop.kinds[name] for name, _ in bench.lost_parts().items() if not shop.kinds[name].filler]
    sizes = [kind.piece for kind in lost]
    areas = sum((_area(node) for piece in bench.gone for node in [bench.nodes[piece][1]] if node.part), Fraction(0))
    spare = sum((room.length * room.width for room in bench.rests(frozenset())), Fraction(0))
    single: list[tuple[int, Fraction, str]] = []
    for node in bench.open_pieces():
        inside = list(node.walk())
        planned = sum((_area(one) for one in inside if one.part), Fraction(0))
        roomy = any(
            min(piece.length, _across(piece)) <= min(node.length, node.width)
            and piece.length <= max(node.length, node.width)
            for piece in sizes
        )
        if roomy and planned + areas <= _area(node) + spare:
            single.append((sum(one.role == "cut" for one in inside), -_area(node), node.id))
    for _, _, piece in sorted(single):
        yield (piece,)
    yield from _sheets(shop)


def _sheets(shop: Shop) -> Iterator[tuple[str, ...]]:
    """Yield the open pieces of one sheet together, the sheet with the fewest open steps first."""
    bench = shop.bench
    of: dict[str, list[str]] = {}
    for piece in bench.topmost():
        of.setdefault(bench.nodes[piece][0].id, []).append(piece)
    open_steps = [step.layout for step in bench.open_steps()]
    for layout in sorted(of, key=lambda one: (open_steps.count(one), one)):
        yield tuple(of[layout])


def _across(piece: Panel | Cleat) -> Fraction:
    return piece.height if isinstance(piece, Cleat) else piece.width


def _area(node: Node) -> Fraction:
    return node.length * node.width
