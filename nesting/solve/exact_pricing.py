"""Exact pricing within demands: every set of parts worth more than a threshold that can be cut from one bin.

Depth first over sets in decreasing weight. A branch is cut off where its profit and the best that the parts
behind it could add stay below the threshold: the least over several weight systems (areas and products of dual
feasible functions, rounded down) of an exact knapsack within demands over those parts. Identical parts come in
order only. Whether a set can be cut is decided by :class:`nesting.solve.boxes.Boxes`. The knapsack relaxation
follows Baldacci & Boschetti 2007 and Belov, Kartak, Rohling & Scheithauer 2009 (from memory).
"""

from __future__ import annotations

import threading
import time
from collections.abc import Sequence
from concurrent.futures import FIRST_COMPLETED, ThreadPoolExecutor, wait
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from nesting.solve.bounds import Scaled, scaled, totals
from nesting.solve.box_kernels import APART
from nesting.solve.box_store import ENOUGH, BoxStore, Job, ready
from nesting.solve.boxes import MOST_PARTS, Boxes, Full, Held, OutOfTime
from nesting.solve.enlarge import lying
from nesting.solve.pattern import Pattern
from nesting.solve.problem import Problem
from nesting.solve.stop import Stop

Ints = NDArray[np.int64]
ROOM, ROUGH_ROOM = 4000, 500
"""Units of a bin in a weight system, and those in which systems are compared: coarse units cut off fewer branches."""
SYSTEMS, TRIED = 4, 24
"""Weight systems used in one search, and those they are chosen from by the bound they give at the root."""
FUNCTIONS = 40
MOST_FOUND = 40_000
"""Most sets listed in one search."""


@dataclass(slots=True)
class Pricer:
    """A bin with its store of boxes and its weight systems; kept from one search to the next."""

    bin: int
    boxes: Boxes
    weights: Ints
    demands: list[int]
    compatible: list[int]
    order: list[int]
    fast: BoxStore | None = None
    second: BoxStore | None = None
    nodes: int = 0

    def pattern(self, parts: Sequence[int]) -> Pattern:
        """Return a pattern that cuts a set found before from the bin; raises ``Full`` where it has too many parts."""
        self.boxes.stop = None
        return self.boxes.pattern(parts) if self.fast is None else self.fast.pattern(parts)

    def known(self, parts: Sequence[int], stop: Stop) -> Pattern:
        """Return a pattern of a set, ``None`` where it has none or too many parts to say; may raise ``OutOfTime``."""
        if len(parts) > MOST_PARTS:
            return None
        try:
            if self.fast is not None:
                return self.fast.pattern(parts, stop)
            self.boxes.stop = stop
            return self.boxes.pattern(parts)
        except (Full, ValueError):
            return None


def pricer(
    problem: Problem, bin_index: int, extra: Sequence[Sequence[float]] = (), *, compiled: bool | None = None
) -> Pricer:
    """Return the pricer of a bin; ``extra`` are further weights of the items, of which a bin holds at most 1.

    ``compiled`` asks for the compiled or the plain path; by default the compiled one where it is ready.
    """
    lies = lying(problem, bin_index)
    able = [any(row) for row in lies.able.tolist()]
    demands = [item.demand if can else 0 for item, can in zip(problem.items, able, strict=True)]
    weights = _systems(scaled(problem, bin_index, FUNCTIONS), np.array(demands, dtype=np.float64))
    weights = [*(np.array(row) for row in extra), *weights]
    units = np.array([np.floor(np.minimum(row, 1.0) * ROOM + 1e-9) for row in weights], dtype=np.int64)
    boxes = Boxes(lies, demands)
    n = len(demands)
    compatible = [0] * n
    for i in range(n):
        for j in range(i + 1):
            if demands[i] and demands[j] and _beside(boxes, i, j):
                compatible[i] |= 1 << j
                compatible[j] |= 1 << i
    area = lies.x[:, 0] * lies.y[:, 0]
    order = sorted((i for i in range(n) if demands[i]), key=lambda i: (-int(area[i]), i))
    fast = None
    if order and (ready() if compiled is None else compiled):
        fast = BoxStore(lies, demands, order, len(problem.bins))
    return Pricer(bin_index, boxes, units, demands, compatible, order, fast)


def _beside(boxes: Boxes, one: int, two: int) -> bool:
    return any(
        w1 + w2 <= boxes.length or h1 + h2 <= boxes.width
        for w1, h1 in boxes.singles[one]
        for w2, h2 in boxes.singles[two]
    )


def _systems(held: Scaled, demands: NDArray[np.float64]) -> list[NDArray[np.float64]]:
    """Choose pairs of functions: areas, the heaviest pair in all, and the heaviest of each function."""
    total = totals(held, demands, np.full(demands.size, np.inf), 1.0)
    pairs = [(0, 0), divmod(int(total.argmax()), total.shape[1])]
    pairs += sorted({(f, int(total[f].argmax())) for f in range(total.shape[0])}, key=lambda p: -total[p])[:TRIED]
    pairs += sorted({(int(total[:, g].argmax()), g) for g in range(total.shape[1])}, key=lambda p: -total[p])[:TRIED]
    rows = []
    for f, g in dict.fromkeys((int(f), int(g)) for f, g in pairs):
        rows.append((held.shares_x[f] * held.shares_y[g]).min(axis=1))
    return rows


def knapsack(weights: Sequence[int], profits: Sequence[int], demands: Sequence[int], room: int) -> Ints:
    """Return the most profit of items ``i``, ``i + 1``, ... within a room, demands kept: ``[i, room]``.

    >>> knapsack([2, 3], [4, 5], [2, 1], 5).tolist()[0]
    [0, 0, 4, 5, 8, 9]
    """
    table = np.zeros((len(weights) + 1, room + 1), dtype=np.int64)
    for i in range(len(weights) - 1, -1, -1):
        row = table[i]
        row[:] = table[i + 1]
        if not weights[i]:
            row += demands[i] * profits[i]
            continue
        copies = min(demands[i], room // weights[i])
        chunk = 1
        while copies > 0:
            chunk = min(chunk, copies)
            weight, profit = chunk * weights[i], chunk * profits[i]
            row[weight:] = np.maximum(row[weight:], row[: room + 1 - weight] + profit)
            copies -= chunk
            chunk *= 2
    return table


@dataclass(slots=True)
class Search:
    """One search: sets worth at least ``threshold`` go to ``found``.

    With ``climb`` the threshold follows the best with the same first parts; else sets that a later part can join are
    left out.
    """

    pricer: Pricer
    order: list[int]
    profits: list[int]
    tables: list[list[list[int]]]
    weights: list[list[int]]
    threshold: int
    stop: Stop
    climb: bool
    most: int
    found: list[tuple[int, tuple[int, ...]]] = field(default_factory=list)
    nodes: int = 0
    asked: int = 0

    def __post_init__(self) -> None:
        """Keep the threshold asked for, to which a climb falls back."""
        self.asked = self.threshold

    def run(self, held: Held, at: int, profit: int, rooms: list[int], able: int) -> None:
        """Add every part from position ``at`` on to a set, and go on from each larger set."""
        if not self._grow(held, at, profit, rooms, able) and not self.climb and held.parts and profit >= self.threshold:
            self.found.append((profit, held.parts))
            if len(self.found) > self.most:
                raise Full

    def _grow(self, held: Held, at: int, profit: int, rooms: list[int], able: int) -> bool:
        grown = False
        tables, weights, order = self.tables, self.weights, self.order
        systems = range(len(tables))
        demands, boxes, compatible = self.pricer.demands, self.pricer.boxes, self.pricer.compatible
        last = held.parts[-1] if held.parts else -1
        for here in range(at, len(order)):
            if profit + min([tables[s][here][rooms[s]] for s in systems]) < self.threshold:
                break
            part = order[here]
            if not able >> part & 1:
                continue
            self.nodes += 1
            if self.nodes & 63 == 0 and self.stop.reached():
                raise OutOfTime
            copies = held.parts.count(part) if part == last else 0
            further = here if copies + 1 < demands[part] else here + 1
            left = [rooms[s] - weights[s][here] for s in systems]
            if min(left) < 0:
                continue
            worth = profit + self.profits[here]
            if worth + min([tables[s][further][left[s]] for s in systems]) < self.threshold:
                continue
            larger = boxes.extend(held, part)
            if larger is None:
                continue
            grown = True
            if self.climb and worth >= self.threshold:
                self.found.append((worth, larger.parts))
                self.threshold = worth + 1
            self.run(larger, further, worth, left, able & compatible[part])
            if self.climb and len(held.parts) < APART:
                self.threshold = self.asked
        return grown


def _shared(
    stores: Sequence[BoxStore], job: Job, stop: Stop, *, climb: bool, most: int
) -> list[tuple[int, tuple[int, ...]]]:
    """Search in a thread for each store of a bin, which share the first parts."""
    ended, begun = threading.Event(), time.perf_counter()
    with ThreadPoolExecutor(max_workers=len(stores)) as pool:
        halves = [
            pool.submit(store.search, job, stop.unless(ended), climb=climb, most=most, first=first, step=len(stores))
            for first, store in enumerate(stores)
        ]
        try:
            done, going = wait(halves, return_when=FIRST_COMPLETED)
            failed = any(half.exception() for half in done)
            if failed or (climb and any(half.result() for half in done)):
                wait(going, timeout=0 if failed else max(0.0, begun + ENOUGH - time.perf_counter()))
                ended.set()
            wait(going)
        finally:
            ended.set()
    errors = [error for half in halves if (error := half.exception())]
    found = [each for half in halves if not half.exception() for each in half.result()]
    if errors and not (climb and found):
        raise min(errors, key=lambda error: isinstance(error, OutOfTime))
    if not climb and len(found) > most:
        raise Full
    return found


def search(
    priced: Pricer,
    profits: Sequence[int],
    threshold: int,
    stop: Stop,
    *,
    climb: bool = True,
    worthless: bool = False,
    most: int = MOST_FOUND,
    both: bool = False,
) -> list[tuple[int, tuple[int, ...]]]:
    """Return sets within demands that can be cut from the bin and are worth at least ``threshold``, with their worth.

    With ``climb`` those that beat all before them with the same first parts, perhaps not all of them; else at least all
    of them that are part of no larger one, of parts worth something, or with ``worthless`` of any parts. ``both``:
    where compiled, two threads share the work. Raises :class:`OutOfTime`, and :class:`Full` where a set is too large
    to decide or more than ``most`` are found; an empty answer is a proof that there is none.
    """
    order = [i for i in priced.order if priced.demands[i] and (profits[i] > 0 or worthless)]
    worth = [profits[i] for i in order]
    demands = [priced.demands[i] for i in order]
    rows = [row[order] for row in priced.weights[:TRIED]]
    rough = [knapsack((row * ROUGH_ROOM // ROOM).tolist(), worth, demands, ROUGH_ROOM)[0, -1] for row in rows]
    chosen = [rows[int(at)].tolist() for at in np.argsort(rough, kind="stable")[:SYSTEMS]]
    tables = [knapsack(weights, worth, demands, ROOM) for weights in chosen]
    if not tables or min(int(table[0, -1]) for table in tables) < threshold:
        return []
    if priced.fast is not None:
        job = Job(order, demands, worth, tables, chosen, threshold)
        if both:
            priced.second = priced.second or priced.fast.another()
            return _shared((priced.fast, priced.second), job, stop, climb=climb, most=most)
        return priced.fast.search(job, stop, climb=climb, most=most)
    priced.boxes.stop = stop
    run = Search(priced, order, worth, [table.tolist() for table in tables], chosen, threshold, stop, climb, most)
    try:
        run.run(priced.boxes.start, 0, 0, [ROOM] * len(tables), -1)
    finally:
        priced.nodes += run.nodes
    return run.found
