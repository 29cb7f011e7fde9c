"""A quick good order: at each moment the setting that leaves least behind, with noisy repetitions."""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from nesting.sequence.job import Group, Op, Symbol
from nesting.sequence.shop import Done, Shop
from nesting.solve.stop import Stop

NOISE = 0.6
"""How much chance bends the choice in repetitions, in operations."""


def cost(order: Sequence[Done], *, shared: bool) -> int:
    """Count the settings of one phase's order: runs of equal settings at fence and stop, and guide positions."""
    total = 0
    fence: Symbol | None = None
    stop: Symbol | None = None
    for done in order:
        symbol = done.symbol
        if symbol is None:
            total += done.op.cost
        elif done.op.ways[symbol].station == "table saw":
            total += symbol != fence
            fence, stop = symbol, None if shared else stop
        else:
            total += symbol != stop
            stop, fence = symbol, None if shared else fence
    return total


@dataclass(frozen=True, slots=True)
class Outlook:
    """What the choice of a setting looks at: which operations need it alone, and how much work hangs on each."""

    needing: Mapping[Symbol, Sequence[int]]
    below: Mapping[int, int]

    @classmethod
    def over(cls, ops: Sequence[Op]) -> Outlook:
        """Return the outlook over the operations of a phase."""
        needing: dict[Symbol, list[int]] = {}
        below: dict[int, int] = {}
        for op in reversed(ops):
            below[op.index] = sum(1 + below.get(child.index, 0) for group in op.gives for child in group.ops)
            for symbol in op.ways:
                needing.setdefault(symbol, [])
                if len(op.ways) == 1:
                    needing[symbol].append(op.index)
        return cls(needing, below)


def finish(shop: Shop, outlook: Outlook, noise: random.Random | None = None) -> list[Done]:
    """Carry out what is left of a phase and return the whole order.

    The next setting is the one with the fewest operations that need it and are not ready yet; among equals the one
    with most work below what it gives. ``noise`` bends both for a repetition.
    """
    needing, below = outlook.needing, outlook.below
    bend = {symbol: noise.random() * NOISE if noise else 0.0 for symbol in needing}
    while True:
        shop.do_guided()
        best: tuple[float, float, int] | None = None
        for symbol, ready in shop.ready.items():
            behind = sum(i not in shop.ended and i not in ready for i in needing[symbol])
            unlocks = sum(below[i] for i in ready)
            bad = (behind + (bend[symbol] if behind else 0), (bend[symbol] - 1) * unlocks, symbol)
            if best is None or bad < best:
                best = bad
        if best is None:
            return shop.order
        shop.do_all(best[2])


def best_of(
    ops: Sequence[Op], roots: Sequence[Group], phase: int, stop: Stop, seed: int, *, shared: bool, passes: int = 12
) -> list[Done]:
    """Return the best order of one plain and several noisy passes, the same for the same seed unless time runs out."""
    outlook = Outlook.over(ops)
    best = finish(Shop(phase, roots), outlook)
    least = cost(best, shared=shared)
    floor = len({next(iter(op.ways)) for op in ops if len(op.ways) == 1 and not op.can_fall_free})
    floor += sum(op.cost for op in ops if not op.can_fall_free)
    chance = random.Random(seed)
    for _ in range(passes):
        if stop.reached() or least <= floor:
            break
        order = finish(Shop(phase, roots), outlook, chance)
        if (value := cost(order, shared=shared)) < least:
            best, least = order, value
    return best
