"""A first hanging: holder after holder at the best place that is still free, the largest first, each far to the left.

First fit decreasing by area, as for bins (Johnson 1974), with the wishes deciding among the rows.
"""

from __future__ import annotations

import random
import time
from collections.abc import Sequence
from typing import Final

from nesting.wall.hanging_task import Choice, Kind, Spot, Task, costs

MOST_TRIES: Final = 100
WORK: Final = 2_000_000
"""Comparisons of a copy with others that hang, for all tries together: well under a second."""
NOISE: Final = 0.4
LONGEST_FIRST: Final = 10.0
"""Seconds that the very first hanging may take whatever the deadline; mostly it takes thousandths of one."""


def first_fit(task: Task, seed: int, deadline: float) -> tuple[Spot, ...]:
    """Return the best of some hangings, the first by size, the others with the sizes disturbed at random.

    Every other one lets no wish but zones decide and fills the wall from the bottom. How many are tried depends on the
    work in each and not on the clock, until ``deadline`` on the :func:`time.perf_counter` clock. Copies for which no
    room was found are left out.
    """
    chance = random.Random(seed)
    sizes = [_size(kind) for kind in task.kinds]
    last = max(deadline, time.perf_counter() + LONGEST_FIRST)
    best = _one(task, sorted(range(len(sizes)), key=lambda n: -sizes[n]), last)
    work = task.copies**2 * max((len(kind.choices) for kind in task.kinds), default=1)
    for number in range(min(MOST_TRIES, WORK // max(work, 1))):
        if time.perf_counter() > deadline or not any(costs(task, best)):
            break
        noisy = [size * chance.lognormvariate(0, NOISE) for size in sizes]
        spots = _one(task, sorted(range(len(sizes)), key=lambda n: -noisy[n]), deadline, dense=number % 2 == 0)
        if costs(task, spots) < costs(task, best):
            best = spots
    return best


def pushed_left(task: Task, spots: Sequence[Spot]) -> tuple[Spot, ...]:
    """Return the same hanging with every copy as far to the left in its place as its neighbours let it."""
    hung = sorted(spots, key=lambda spot: spot.x)
    for at, spot in enumerate(hung):
        others = hung[:at] + hung[at + 1 :]
        kind = task.kinds[spot.kind]
        x = leftmost(task, kind, kind.choices[spot.choice], others)
        if x is not None and x < spot.x:
            hung[at] = Spot(spot.kind, spot.choice, x)
    return tuple(hung)


def _one(task: Task, order: Sequence[int], deadline: float, *, dense: bool = False) -> tuple[Spot, ...]:
    hung: list[Spot] = []
    loads: dict[int, int] = {}
    for number in order:
        kind = task.kinds[number]
        for _ in range(kind.copies):
            spot = None if time.perf_counter() > deadline else _best(task, number, hung, loads, dense=dense)
            if spot is None:
                break  # no other copy of it has more room
            hung.append(spot)
            row = kind.choices[spot.choice].place.row
            loads[row] = loads.get(row, 0) + kind.load
    return tuple(hung)


def _size(kind: Kind) -> int:
    return kind.width * max(choice.above - choice.foot for choice in kind.choices)


def _best(task: Task, number: int, hung: Sequence[Spot], loads: dict[int, int], *, dense: bool) -> Spot | None:
    kind = task.kinds[number]
    best: tuple[tuple[int, ...], Spot] | None = None
    for at, choice in enumerate(kind.choices):
        if (x := leftmost(task, kind, choice, hung)) is None:
            continue
        row = loads.get(choice.place.row, 0) + kind.load
        cost: tuple[int, ...] = (choice.miss, choice.spacer, row, choice.heavy, choice.far, x)
        if dense:
            cost = (choice.miss, choice.foot, x)
        if best is None or cost < best[0]:
            best = cost, Spot(number, at, x)
    return None if best is None else best[1]


def leftmost(task: Task, kind: Kind, choice: Choice, hung: Sequence[Spot]) -> int | None:
    """Return the lowest left edge at which a copy meets none of those that hang; None where there is none."""
    taken = []
    for spot in hung:
        other = task.kinds[spot.kind]
        there = other.choices[spot.choice]
        if there.foot < choice.above and choice.foot < there.above:
            taken.append((spot.x, spot.x + other.width))
    x = choice.low
    for start, end in sorted(taken):
        if start < x + kind.width and x < end:
            x = end
    return x if x <= choice.high else None
