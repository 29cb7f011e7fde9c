"""A quick good order: at each moment the setting that leaves least behind, with noisy repetitions."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Sequence

from nesting.sequence.job import Group, Op, Symbol
from nesting.sequence.shop import Done, Shop
from nesting.solve.stop import Stop

NOISE = 0.6
"""How much chance bends the choice in repetitions, in operations."""


def cost(order: Sequence[Done], *, shared: bool) -> int:
    """Count the settings of one phase's order: runs of equal settings at fence and stop, and guide positions."""
    runs = 0
    now: dict[str, Symbol | None] = {"table saw": None, "crosscut sled": None}
    for done in order:
        if done.symbol is None:
            runs += done.op.cost
            continue
        station = done.symbol[0]
        if now[station] != done.symbol:
            runs += 1
            now[station] = done.symbol
        if shared:
            now["crosscut sled" if station == "table saw" else "table saw"] = None
    return runs


def one_pass(ops: Sequence[Op], roots: Sequence[Group], phase: int, noise: random.Random | None = None) -> list[Done]:
    """Return an order of all operations of a phase.

    The next setting is the one with the fewest operations that need it and are not ready yet; among equals the one
    with most work below what it gives. ``noise`` bends both for a repetition.
    """
    shop = Shop(phase, roots)
    below = _work_below(ops)
    waiting = Counter(symbol for op in ops if len(op.ways) == 1 for symbol in op.ways)
    bend = {s: noise.random() * NOISE if noise else 0.0 for op in ops for s in op.ways}
    seen = 0
    while True:
        shop.do_guided()
        while seen < len(shop.order):
            seen += 1
        candidates: dict[Symbol, list[Op]] = {}
        for op in shop.ready.values():
            for symbol in op.ways:
                candidates.setdefault(symbol, []).append(op)
        if not candidates:
            return shop.order
        left = Counter(waiting)
        for op in ops:
            if op.index in shop.ended and len(op.ways) == 1:
                left[next(iter(op.ways))] -= 1

        def badness(symbol: Symbol) -> tuple[float, float, int]:
            ready = candidates[symbol]  # noqa: B023 - used within this turn only
            behind = left[symbol] - sum(len(op.ways) == 1 for op in ready)  # noqa: B023
            unlocks = sum(below[op.index] for op in ready)
            return (
                behind + (bend[symbol] if behind else 0),
                bend[symbol] * unlocks - unlocks,
                min(o.index for o in ready),
            )

        shop.do_all(min(candidates, key=badness))


def best_of(
    ops: Sequence[Op], roots: Sequence[Group], phase: int, stop: Stop, seed: int, *, shared: bool, passes: int = 60
) -> list[Done]:
    """Return the best order of one plain and several noisy passes, the same for the same seed unless time runs out."""
    best = one_pass(ops, roots, phase)
    least = cost(best, shared=shared)
    floor = len({next(iter(op.ways)) for op in ops if len(op.ways) == 1 and not op.can_fall_free})
    chance = random.Random(seed)
    for _ in range(passes):
        if stop.reached() or least <= floor:
            break
        order = one_pass(ops, roots, phase, chance)
        if (value := cost(order, shared=shared)) < least:
            best, least = order, value
    return best


def _work_below(ops: Sequence[Op]) -> dict[int, int]:
    below: dict[int, int] = {}
    for op in reversed(ops):
        below[op.index] = sum(1 + below.get(child.index, 0) for group in op.gives for child in group.ops)
    return below
