"""A problem with every copy of a part by itself, as the kernels want it: flat lists or arrays."""

from __future__ import annotations

import math
from collections import defaultdict, deque
from dataclasses import dataclass, field
from random import Random
from typing import TypeVar

import numpy as np

from nesting.errors import Bug
from nesting.solve.kernels import WEIGHTS, Job, Work
from nesting.solve.kernels_ruin import CURRENT, Search
from nesting.solve.kernels_stages import ANY, CROSSCUT, EVERY, NEVER, RIP, brought_to_size
from nesting.solve.pattern import Pattern, Plan, Put, Sheet, leaves
from nesting.solve.problem import Item, Problem
from nesting.solve.reachable import limited
from nesting.solve.records import FOREIGN, pattern_of

BANKS = 4
POOL_ROOM = 128
"""Sheets the pool holds between two visits."""
SEEN_ROOM = 1 << 15
"""Size of the hash table of sheets seen; half of it may be filled, then no more sheets are pooled."""
PLENTY = 1 << 40

T = TypeVar("T", Job, Work, Search)


@dataclass(slots=True)
class Copies:
    """The state of one search. ``makeshift``: index of the bin that stands for "no bin left", or ``None``.

    Where bins are limited in number a construction can run out of them. It then opens the makeshift
    bin, dearer than any plan, so that the search sees an incomplete plan as a costly one and mends it.
    """

    job: Job
    work: Work
    search: Search
    makeshift: int | None
    foreign: list[Pattern] = field(default_factory=list)

    def sheet_at(self, index: int) -> Sheet:
        """Rebuild the sheet at ``index`` (bank * n + sheet)."""
        n = len(self.job.length)
        count = int(self.work.sheet_count[index])
        records = [int(record) for record in self.work.record[index * n : index * n + count]]
        return self.rebuild(int(self.work.sheet_bin[index]), records)

    def rebuild(self, kind: int, records: list[int]) -> Sheet:
        """Rebuild a sheet of bin ``kind`` from its decision records."""
        n = len(self.job.length)
        number = records[0] // (10 * n) - FOREIGN
        if number >= 0:
            return Sheet(kind, self.foreign[number])
        return Sheet(kind, pattern_of(self.job, kind, records))

    def plan(self, bank: int, sheets: int) -> Plan | None:
        """Rebuild the plan in ``bank``; ``None`` where it is incomplete."""
        n = len(self.job.length)
        indices = range(bank * n, bank * n + sheets)
        if any(self.work.sheet_bin[s] == self.makeshift for s in indices):
            return None
        return tuple(self.sheet_at(s) for s in indices)

    def pooled(self) -> list[Sheet]:
        """Take the sheets out of the pool."""
        n, search = len(self.job.length), self.search
        found = []
        for p in range(int(search.tally[5])):
            kind = int(search.pool_bin[p])
            if kind != self.makeshift:
                records = [int(r) for r in search.pool_record[p * n : p * n + int(search.pool_count[p])]]
                found.append(self.rebuild(kind, records))
        search.tally[5] = 0
        return found

    def use_arrays(self) -> None:
        """Turn the lists into arrays, for the compiled kernels."""
        if not isinstance(self.job.length, np.ndarray):
            self.job, self.work, self.search = arrays(self.job), arrays(self.work), arrays(self.search)

    def load(self, plan: Plan) -> None:
        """Put a plan into the current bank and make it the best; raises :class:`Bug` if it misses the demands."""
        n, job, work, search = len(self.job.length), self.job, self.work, self.search
        free: dict[int, deque[int]] = defaultdict(deque)
        for i in range(n):
            free[int(job.kind[i])].append(i)
        for b in range(len(job.bin_area)):
            search.used[b] = 0
        for t, sheet in enumerate(plan):
            s = CURRENT * n + t
            area, count = 0.0, 0
            for leaf in leaves(sheet.pattern):
                if not isinstance(leaf, Put) or not free[leaf.item]:
                    raise Bug("a plan to improve makes more than the demand, or bars")
                i = free[leaf.item].popleft()
                area += float(job.length[i]) * float(job.width[i])
                work.record[s * n + count] = i + n * 10 * (FOREIGN + len(self.foreign))
                count += 1
            self.foreign.append(sheet.pattern)
            work.sheet_bin[s], work.sheet_count[s], work.sheet_area[s] = sheet.bin, count, area
            search.used[sheet.bin] += 1
            search.chosen[t] = t
        if any(free.values()):
            raise Bug("a plan to improve makes less than the demand")
        cost = sum(int(job.bin_cost[sheet.bin]) for sheet in plan)
        search.tally[0], search.tally[1] = len(plan), cost
        search.tally[2], search.tally[3] = len(plan), cost


def arrays(room: T) -> T:
    """Return a named tuple of lists as one of arrays: int64 where all are int, float64 otherwise."""
    return type(room)(*(np.array(x, np.float64 if isinstance(x[0], float) else np.int64) for x in room))


def _limits(problem: Problem) -> list[int]:
    """Return the most stages and the direction of the first cut as the kernels want them."""
    if not limited(problem):
        return [0, ANY]
    return [problem.max_stages or NEVER - 1, {"any": ANY, "rip": RIP, "crosscut": CROSSCUT}[problem.first_cut]]


def _ways(problem: Problem, kind: int, item: Item, limits: list[int]) -> int:
    """Return the ways an item may lie in a bin, bit 0 as it is, bit 1 turned, if it can be cut out under the limits."""
    stock, able = problem.bins[kind], 0
    for turned, (length, width) in enumerate(((item.length, item.width), (item.width, item.length))):
        if item.ways[kind][turned]:
            spare_x, spare_y = stock.length - length, stock.width - width
            stages = brought_to_size(0, ANY, spare_x, spare_y, int(item.blank), limits[1])
            able |= (not limits[0] or stages <= limits[0]) << turned
    return able


def expand(problem: Problem, seed: int, knobs: list[float]) -> Copies:
    """Return the state of a search for ``problem``, as lists, with no plan in it.

    Memory grows with the square of the number of parts: 12 MB at 600.
    """
    random = Random(seed)
    makeshift = None
    bins = [(b.length, b.width, b.cost, PLENTY if b.limit is None else b.limit) for b in problem.bins]
    limits = _limits(problem)
    ways = [[_ways(problem, b, item, limits) for item in problem.items] for b in range(len(bins))]
    kinds = [k for k, item in enumerate(problem.items) for _ in range(item.demand)]
    n = len(kinds)
    if any(b.limit is not None for b in problem.bins):
        makeshift = len(bins)
        dear = 1000 * (1 + n * max(b.cost for b in problem.bins))
        bins.append((max(b[0] for b in bins), max(b[1] for b in bins), dear, PLENTY))
        ways.append([max(way[k] | other[k] for way in ways for other in ways) for k in range(len(problem.items))])
    lengths, widths = [item.length for item in problem.items], [item.width for item in problem.items]
    lying = [{way[k] for way in ways} for k in range(len(problem.items))]
    turnable = [bool(some & {2, 3}) for some in lying]
    upright = [bool(some & {1, 3}) for some in lying]
    reach_l = [min([lengths[k]] * upright[k] + [widths[k]] * turnable[k], default=0) for k in range(len(lengths))]
    reach_w = [min([widths[k]] * upright[k] + [lengths[k]] * turnable[k], default=0) for k in range(len(lengths))]
    marks = [random.randrange(1, 1 << 44) for _ in problem.items]
    areas = [float(length * width) for length, width, _, _ in bins]
    job = Job(
        length=[lengths[k] for k in kinds],
        width=[widths[k] for k in kinds],
        kind=kinds,
        log_length=[math.log(lengths[k]) for k in kinds],
        log_width=[math.log(widths[k]) for k in kinds],
        reach_length=[reach_l[k] for k in kinds],
        reach_width=[reach_w[k] for k in kinds],
        ways=[way[k] for way in ways for k in kinds],
        bin_length=[b[0] for b in bins],
        bin_width=[b[1] for b in bins],
        bin_cost=[b[2] for b in bins],
        bin_limit=[b[3] for b in bins],
        bin_area=areas,
        bin_share=[area / max(areas) for area in areas],
        blank=[int(problem.items[k].blank) for k in kinds],
        limits=limits,
    )
    cells, sheets = 4 * n + 8, BANKS * n
    work = Work(
        cell_sheet=[0] * cells,
        cell_number=[0] * cells,
        cell_length=[0] * cells,
        cell_width=[0] * cells,
        cell_p=[0] * cells,
        cell_q=[0] * cells,
        cell_blank=[0] * cells,
        cell_depth=[0] * cells,
        cell_last=[0] * cells,
        cell_able=[EVERY] * (2 * cells),
        stages=[0] * 3,
        lasts=[0] * 3,
        sheet_bin=[0] * sheets,
        sheet_count=[0] * sheets,
        sheet_next=[0] * sheets,
        sheet_area=[0.0] * sheets,
        sheet_scale=[0.0] * (2 * sheets),
        record=[0] * (sheets * n),
        least_length=[0] * n,
        least_width=[0] * n,
        parts=[0] * n,
        order=[0] * n,
        kept_order=[0] * n,
        keys=[0.0] * n,
        weights=[0.0] * WEIGHTS,
        kept_weights=[0.0] * WEIGHTS,
        prefer=[1.0] * len(bins),
        kept_prefer=[1.0] * len(bins),
        stock=[0] * len(bins),
        rng=[random.randrange(1, 2147483562), random.randrange(1, 2147483398)],
    )
    search = Search(
        tally=[0, 0, 0, 0, -1, 0, 0],
        knobs=list(knobs),
        chosen=list(range(n)),
        used=[0] * len(bins),
        mark=[marks[k] for k in kinds],
        seen=[0] * SEEN_ROOM,
        pool_bin=[0] * POOL_ROOM,
        pool_count=[0] * POOL_ROOM,
        pool_record=[0] * (POOL_ROOM * n),
    )
    return Copies(job, work, search, makeshift)
