"""Fewest settings for one phase: a quick order first, then rounds of lazy slots, then fewest changes of station."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise
from typing import TYPE_CHECKING

from nesting.sequence.greedy import Outlook, best_of, cost, finish
from nesting.sequence.job import Group, Op, Symbol
from nesting.sequence.precedence import edges
from nesting.sequence.shop import Done, Shop
from nesting.solve.stop import Stop

if TYPE_CHECKING:
    from nesting.sequence.lazy_slots import Answer


@dataclass(frozen=True, slots=True)
class Found:
    """An order of all operations of a phase, what it costs in settings, and the least it could cost.

    ``effort`` is what the exact search spent, see :class:`nesting.sequence.lazy_slots.Rounds`.
    """

    order: list[Done]
    cost: int
    bound: int
    effort: float = 0.0


def simple_bound(ops: Sequence[Op]) -> int:
    """Return the number of different settings that cannot be avoided, and the guide positions.

    Of each piece without slack one strip falls free; which one is open, so that none of the candidates counts.
    """
    open_ops = [op for op in ops if not op.can_fall_free]
    return len({s for op in open_ops if len(op.ways) == 1 for s in op.ways}) + sum(op.cost for op in open_ops)


def fewest(
    ops: Sequence[Op], roots: Sequence[Group], phase: int, stop: Stop, seed: int, *, shared: bool, effort: float
) -> Found:
    """Return the order with the fewest settings found until ``stop`` and for ``effort``, and a bound that holds for it.

    The quick order stands as the answer wherever the exact one does not come in time.
    """
    best = best_of(ops, roots, phase, stop, seed, shared=shared)
    least, bound, spent = cost(best, shared=shared), simple_bound(ops), 0.0
    if least > bound and not stop.reached():
        from nesting.sequence.lazy_slots import Rounds

        rounds = Rounds(ops, shared, seed, effort)
        while least > bound and rounds.effort > 0 and not stop.reached():
            answer = rounds.next(stop)
            bound = max(bound, rounds.bound)
            if answer is None:
                break
            order = _realise(answer, ops, roots, phase)
            if (value := cost(order, shared=shared)) < least:
                best, least = order, value
            if answer.exact and bound >= value:
                break
        spent = effort - rounds.effort
    calm = fewest_changes(best, ops, roots, phase)
    if cost(calm, shared=shared) <= least and changes(calm) < changes(best):
        best = calm
    return Found(best, cost(best, shared=shared), bound, spent)


def changes(order: Sequence[Done]) -> int:
    """Count how often an order moves from one station to another."""
    return sum(_station(a) != _station(b) for a, b in pairwise(order))


def _station(done: Done) -> str:
    return "breakdown saw" if done.symbol is None else done.op.ways[done.symbol].station


def _realise(answer: Answer, ops: Sequence[Op], roots: Sequence[Group], phase: int) -> list[Done]:
    """Carry out what a round found; what stands outside its order is done where its setting comes by, or at the end."""
    shop = Shop(phase, roots, answer.fallen)
    wild = {i for i, slot in answer.order if slot[1] < 0}
    shop.do_guided()
    for slot, members in groupby((pair for pair in answer.order if pair[1][1] >= 0), key=lambda pair: pair[1]):
        symbol = slot[0]
        chosen = {i for i, _ in members}
        for _ in range(len(chosen)):
            before = len(shop.order)
            shop.do_all(symbol, lambda op: op.index in chosen or op.index in wild)  # noqa: B023 - used at once
            if chosen <= shop.ended:
                break
            shop.do_guided()
            if len(shop.order) == before:
                break
    return finish(shop, Outlook.over(ops))


def fewest_changes(order: Sequence[Done], ops: Sequence[Op], roots: Sequence[Group], phase: int) -> list[Done]:
    """Reorder the runs of an order so that the work moves between stations as seldom as possible.

    For two stations, staying at one until nothing is left to do there is best for a given first station (exchange
    argument: whatever is ready stays ready); both are tried. Guided cuts wait until they are needed.
    """
    runs: list[tuple[Symbol, list[Op]]] = []
    for done in order:
        if done.symbol is not None:
            if not runs or runs[-1][0] != done.symbol:
                runs.append((done.symbol, []))
            runs[-1][1].append(done.op)
    run_of = {op.index: n for n, (_, members) in enumerate(runs) for op in members}
    fallen = frozenset(op.index for op in ops if op.can_fall_free and not any(d.op is op for d in order))
    before: dict[int, set[int]] = {n: set() for n in range(len(runs))}
    for edge in edges(ops):
        if edge.before in run_of and edge.after in run_of and (edge.fallen is None or edge.fallen in fallen):
            first, then = run_of[edge.before], run_of[edge.after]
            if first != then:
                before[then].add(first)
    best = list(order)
    for start in ("table saw", "crosscut sled"):
        again = _stay(start, runs, before, Shop(phase, roots, fallen))
        if len(again) == len(order) and changes(again) < changes(best):
            best = again
    return best


def _stay(station: str, runs: list[tuple[Symbol, list[Op]]], before: dict[int, set[int]], shop: Shop) -> list[Done]:
    where = [members[0].ways[symbol].station for symbol, members in runs]
    station_of = {symbol: station_ for (symbol, _), station_ in zip(runs, where, strict=True)}
    setting = [members[0].ways[symbol].setting for symbol, members in runs]
    done: set[int] = set()
    standing: set[Symbol] = set()
    now = station
    shop.do_guided()
    while len(done) < len(runs):
        ready = [n for n in range(len(runs)) if n not in done and before[n] <= done]
        if not ready:
            return []
        here = [n for n in ready if where[n] == now] or ready
        run = max(here, key=lambda n: (runs[n][0] in standing, setting[n], -n))
        now = where[run]
        standing = {symbol for symbol in standing if station_of[symbol] != now} | {runs[run][0]}
        symbol, members = runs[run]
        wanted = {op.index for op in members}
        while not wanted <= shop.ended:
            count = len(shop.order)
            shop.do_all(symbol, lambda op: op.index in wanted)  # noqa: B023 - used at once
            if not wanted <= shop.ended:
                shop.do_guided()
            if len(shop.order) == count:
                return []
        done.add(run)
    shop.do_guided()
    return shop.order
