"""Boxes of part sets by compiled code: the fast twin of :class:`nesting.solve.boxes.Boxes`.

The code of :mod:`nesting.solve.box_kernels` is compiled once and kept in a cache folder named after its source;
``python -m nesting.solve.box_store`` fills it. Where it is not filled, or numba is missing, :func:`load` says so and
the plain path does the work.
"""

from __future__ import annotations

import functools
import hashlib
import importlib.metadata
import importlib.util
import os
import sys
import time
import types
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from nesting.solve import box_kernels as plain
from nesting.solve.boxes import Box, Boxes, Full, Held, OutOfTime
from nesting.solve.enlarge import Lying
from nesting.solve.pattern import Pattern
from nesting.solve.stop import Stop

SETS, BOXES = 1 << 21, 1 << 22
"""Places for sets and boxes of all bins together: at most about 125 MB, taken as they are used; twice as much where two
threads share the work."""
ENOUGH = 0.3
"""Seconds after which a climb that has found something ends: better columns now than the best later."""
WORK = 100_000
"""Boxes merged and sets looked up between two looks at the clock: some 20 ms, seldom 60."""


@functools.cache
def cache_folder() -> Path | None:
    """Return the folder of the compiled code; ``None`` where numba is not installed."""
    if importlib.util.find_spec("numba") is None:
        return None
    text = "\n".join(
        (
            sys.version,
            importlib.metadata.version("numba"),
            importlib.metadata.version("numpy"),
            str(plain.__file__),
            Path(str(plain.__file__)).read_text(encoding="utf-8"),
        )
    )
    name = "boxes-" + hashlib.sha256(text.encode()).hexdigest()[:16]
    given = os.environ.get("NUMBA_CACHE_DIR")
    base = Path(given) if given else Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache")
    return base / "cleatwright" / name


def ready() -> bool:
    """Whether the compiled code is there, or needs no more than to be loaded."""
    folder = cache_folder()
    return folder is not None and (folder / "filled").is_file()


@functools.cache
def load() -> tuple[Any, Any]:
    """Return ``extend`` and ``search_sets`` compiled; takes seconds unless :func:`ready`. Raises what numba raises."""
    import numba

    config: Any = numba.config
    folder = cache_folder()
    former = config.CACHE_DIR
    config.CACHE_DIR = str(folder)
    inside: dict[str, Any] = dict(vars(plain))
    try:
        for name, value in vars(plain).items():
            if isinstance(value, types.FunctionType) and value.__module__ == plain.__name__:
                inside[name] = numba.njit(cache=True, nogil=True)(types.FunctionType(value.__code__, inside, name))
    finally:
        config.CACHE_DIR = former
    return inside["extend"], inside["search_sets"]


def fill_cache() -> None:
    """Compile for the types that are used and leave the mark that :func:`ready` looks for."""
    folder = cache_folder()
    if folder is None:
        return
    folder.mkdir(parents=True, exist_ok=True)
    sides = np.array([[3, 2], [2, 3]], dtype=np.int64)
    store = BoxStore(Lying(5, 5, sides, sides[:, ::-1].copy(), np.ones((2, 2), dtype=bool)), [2, 1], [0, 1], 1)
    store.pattern([0, 1])
    job = Job([0, 1], [2, 1], [4, 5], [[[0] * 6] * 3], [[1, 1]], 100)
    store.search(job, Stop.after(600), climb=True, most=10)
    (folder / "filled").write_text("")


@dataclass(frozen=True, slots=True)
class Job:
    """One search: items in order with copies, worths and weights, suffix knapsacks, and the least worth asked for."""

    order: list[int]
    demands: list[int]
    profits: list[int]
    tables: Any
    weights: list[list[int]]
    threshold: int


class BoxStore:
    """Boxes of all sets met so far in one bin, by compiled code; ``ranked`` are the items that lie there, in order."""

    def __init__(self, lies: Lying, demands: Sequence[int], ranked: Sequence[int], share: int) -> None:
        if len(ranked) > plain.MOST_TYPES:
            raise Full
        self.lies, self.demands, self.ranked, self.share = lies, demands, list(ranked), share
        self.rank = {item: rank for rank, item in enumerate(ranked)}
        self.extend, self.search_sets = load()
        n = max(1, len(ranked))
        able, xs, ys = lies.able[self.ranked], lies.x[self.ranked], lies.y[self.ranked]
        ways = able.sum(axis=1)
        first = np.where(able[:, :1], 0, 1)
        ws = np.concatenate([np.take_along_axis(xs, first, 1), xs[:, 1:]], axis=1)
        hs = np.concatenate([np.take_along_axis(ys, first, 1), ys[:, 1:]], axis=1)
        compatible = np.zeros((n, n), dtype=np.uint8)
        for a in range(2):
            for b in range(2):
                beside = (ws[:, None, a] + ws[None, :, b] <= lies.length) | (
                    hs[:, None, a] + hs[None, :, b] <= lies.width
                )
                compatible |= (beside & (ways[:, None] > a) & (ways[None, :] > b)).astype(np.uint8)
        subsets, depths = 1 << plain.MOST_PARTS, plain.MOST_PARTS + 2
        parts: list[Any] = [lies.length, lies.width, np.ascontiguousarray(ws), np.ascontiguousarray(hs)]
        parts += [ways.astype(np.int64), compatible]
        parts.append(np.zeros((1 << (SETS // share).bit_length() - 1, 4), dtype=np.int64))
        parts += [np.zeros(BOXES // share, dtype=np.int64) for _ in range(2)]
        parts.append(np.zeros(plain.STEP + 1, dtype=np.int64))
        parts += [np.zeros(subsets, dtype=np.int64) for _ in range(7)]
        parts += [np.zeros(depths, dtype=np.int64) for _ in range(6)]
        parts.append(np.zeros((depths, 8), dtype=np.int64))
        self.store = plain.Store(*parts)

    def another(self) -> BoxStore:
        """Return a store of the same bin that knows nothing yet."""
        return BoxStore(self.lies, self.demands, self.ranked, self.share)

    def clear(self) -> None:
        """Forget all boxes; a search under way goes on from where it is and works out again what it needs."""
        tally = self.store.tally
        self.store.table[:, plain.FIRST] = 0
        tally[plain.SETS_USED], tally[plain.BOXES_USED], tally[plain.HELD] = 0, 0, 0

    def search(
        self, job: Job, stop: Stop, *, climb: bool, most: int, first: int = 0, step: int = 1
    ) -> list[tuple[int, tuple[int, ...]]]:
        """Return sets worth at least the threshold with their worth; see :func:`nesting.solve.exact_pricing.search`.

        Of the sets' first parts only each ``step``-th from ``first`` on.
        """
        tally, store = self.store.tally, self.store
        tally[plain.THRESHOLD], tally[plain.DEPTH], tally[plain.FOUND] = job.threshold, 0, 0
        tally[plain.HELD], store.here[0], store.profit[0] = 0, first, 0
        tally[plain.ASKED], tally[plain.STEP] = job.threshold, step
        store.room[0, :] = len(job.tables[0][0]) - 1
        room = 4096 if climb else most
        begun = time.perf_counter()
        parts, worth = np.zeros((room, plain.MOST_PARTS), dtype=np.int16), np.zeros(room, dtype=np.int64)
        order = np.array([self.rank[item] for item in job.order], dtype=np.int64)
        arrays = [np.array(values, dtype=np.int64) for values in (job.demands, job.profits, job.tables, job.weights)]
        cleared: list[int] = []
        while True:
            state = self.search_sets(store, order, *arrays, parts, worth, int(climb), WORK)
            if state == plain.DONE:
                break
            place = store.here[: tally[plain.DEPTH] + 1].tolist()
            if state == plain.STORE_FULL and place != cleared:  # else one set by itself is too much
                self.clear()
                cleared = place
            elif state != plain.PAUSED:
                raise Full
            if climb and tally[plain.FOUND] and time.perf_counter() - begun > ENOUGH:
                break
            if stop.reached():
                if climb and tally[plain.FOUND]:
                    break
                raise OutOfTime
        found = int(tally[plain.FOUND])
        return [
            (int(worth[i]), tuple(self.ranked[rank] for rank in parts[i].tolist() if rank >= 0)) for i in range(found)
        ]

    def pattern(self, parts: Sequence[int], stop: Stop | None = None) -> Pattern:
        """Return a pattern that cuts a set from the bin.

        Raises ``ValueError`` if there is none, :class:`Full` where that is not decided, :class:`OutOfTime`.
        """
        if len(parts) > plain.MOST_PARTS:
            raise Full
        ranks = sorted(self.rank[part] for part in parts)
        store = self.store
        for depth, rank in enumerate(ranks):
            state = plain.NOT_YET
            while state == plain.NOT_YET:
                store.tally[plain.WORK] = 0
                state = self.extend(store, depth, rank, WORK)
                if state == plain.NOT_YET and stop is not None and stop.reached():
                    raise OutOfTime
            if state < 0:
                raise Full
            if not state:
                raise ValueError("the set cannot be cut from the bin")
            store.parts[depth] = rank
        lists: list[tuple[Box, ...]] = [()]
        for mask in range(1, 1 << len(ranks)):
            begin = int(store.local_start[mask])
            rows = slice(begin, begin + int(store.local_count[mask]))
            lists.append(tuple(zip(store.xs[rows].tolist(), store.ys[rows].tolist(), strict=True)))
        held = Held(tuple(self.ranked[rank] for rank in ranks), [0] * len(lists), lists)
        return Boxes(self.lies, [0] * len(self.lies.x)).build(held)


if __name__ == "__main__":
    fill_cache()
