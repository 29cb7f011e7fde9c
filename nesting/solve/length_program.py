"""The linear program over patterns of one bar, kept ready to be solved again after some bars are fixed.

Its value rounded up is nearly always the fewest bars (Scheithauer & Terno 1995 on the modified integer round-up
property, from memory). Bounds come from whole prices (Farley 1990, "A note on bounding a class of linear programming
problems, including cutting stock problems"), so that they hold whatever the arithmetic of the program does.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from nesting.solve.compiled import Kernels
from nesting.solve.kernels_length import BEST, BOUND, DONE, POOLED, SWAPS
from nesting.solve.length_pairs import PAIRED, Pairs
from nesting.solve.stop import Stop

UNIT = 10**7
"""Prices are whole multiples of 1 / UNIT of a bar, or of a larger fraction where a bar holds very many pieces."""
POOL, POOL_CELLS = 3_000, 10**6
"""Patterns kept beside the program, fewer where a pattern may be of very many pieces."""
WORK, WORK_PLAIN, STEPS = 4 * 10**7, 4 * 10**5, (100, 50, 20, 10, 5, 2, 1)
"""Cells filled between two looks at the clock, some 20 ms, and steps. After each hundred it is asked whether more would
tell nothing."""
ALMOST = 0.01
"""The program ends where its bound is the value of its plan, less this, rounded up."""
FINE_CELLS, ROUGH_CELLS = 4 * 10**6, 5 * 10**5
"""Cells of a knapsack above which patterns first come from lengths rounded up to a coarser grid, and cells there."""
RAISED = 1e-5
"""Demands are raised by less than this, against steps that lead nowhere."""
SWAP_COST, DEARER, SWAPPED = 0.02, 10.0, 1e-4
"""What it costs to put a piece in the place of a longer one when the program would else be solved, how much more from
time to time, and how often that may be left."""
GOLDEN = 0.6180339887498949

Cuts = tuple[tuple[int, int], ...]
"""Sizes (by index) and pieces of each cut from one bar, sorted."""


def grid_of(sizes: Sequence[int], room: int) -> tuple[Any, int]:
    """Return sizes and room in multiples of the greatest length that divides all sizes.

    >>> grid_of([6, 4], 11)
    (array([3, 2]), 5)
    """
    common = int(np.gcd.reduce(np.array(sizes, dtype=np.int64)))
    return np.array(sizes, dtype=np.int64) // common, room // common


@dataclass(frozen=True, slots=True)
class Grid:
    """Sizes and a bar in units of one grid, and the table of the knapsack there."""

    sizes: Any
    room: int
    table: Any

    @classmethod
    def of(cls, sizes: Any, room: int, pieces: int, most_cells: int | None = None) -> Grid:
        """Return the grid, its units so large that the table has ``most_cells`` at most: pieces then are rounded up."""
        unit = 1 if most_cells is None else -(-(room + 1) * (pieces + 1) // most_cells)
        room //= unit
        return cls(-(-sizes // unit), room, np.zeros((pieces + 1, room + 1), dtype=np.int32))


@dataclass(slots=True)
class Program:
    """Sizes, the longest first, with the pieces still wanted of each; the basis, and its prices.

    ``bound``: bars needed at least for what is wanted now, once :meth:`generate` was called.
    """

    sizes: Any
    room: int
    wanted: Any
    kernels: Kernels
    tableau: Any = None
    basis: Any = None
    costs: Any = None
    copies: Any = None
    whole: Any = None
    fine: Any = None
    rough: Any = None
    pairs: Any = None
    rows: Any = None
    pool: Any = None
    unit: int = UNIT
    tally: Any = field(default_factory=lambda: np.array([0, 0, 0, 0, 0, 1], dtype=np.int64))

    def __post_init__(self) -> None:
        """Begin with patterns of one size each."""
        m = self.sizes.size
        self.copies = np.minimum(self.wanted, self.room // self.sizes)
        shortest = np.cumsum(np.repeat(self.sizes[::-1], self.copies[::-1]))
        most = int((shortest <= self.room).sum())  # pieces of one bar
        single = np.where(self.copies > 0, self.copies, 1)
        raised = self.wanted + RAISED * (GOLDEN * np.arange(1, m + 1) % 1)
        self.tableau = np.zeros((m + 1, m + 1))
        self.tableau[:m, :m] = np.diag(1.0 / single)
        self.tableau[:m, m] = raised / single
        self.tableau[m] = self.tableau[:m].sum(axis=0)
        self.basis, self.costs = np.diag(single), np.ones(m)
        self.unit = min(UNIT, (2**31 - 1) // (2 * most + 2))  # whole bars' worth fits 32 bits
        pieces = int(self.copies.sum())
        self.whole = np.zeros(m, dtype=np.int32)
        self.fine = self.rough = Grid.of(self.sizes, self.room, pieces)
        if self.fine.table.size > FINE_CELLS:
            self.rough = Grid.of(self.sizes, self.room, pieces, ROUGH_CELLS)
        self.pairs = Pairs.of(self.sizes, self.copies, self.room)
        self.rows = np.zeros(pieces + most + 1, dtype=np.int64)
        self.pool = np.zeros((min(POOL, POOL_CELLS // (most + 2) + 1), most + 2), dtype=np.int64)

    @property
    def bound(self) -> int:
        """Return the bars needed at least for what is wanted now."""
        return int(self.tally[BOUND])

    @property
    def solved(self) -> bool:
        """Whether no pattern improves the program, or none can raise its bound."""
        return bool(self.tally[DONE])

    @property
    def quick(self) -> bool:
        """Whether an exact knapsack takes a moment only."""
        return self.fine is self.rough or bool(self.pairs.parts.size)

    def generate(self, stop: Stop, *, fully: bool = False) -> bool:
        """Add patterns until none improves the program; whether that was reached in time.

        Unless ``fully`` it is enough that none can raise the bound.
        """
        if not self.quick:
            self._generate(self.rough, stop)
        return self._generate(self.fine, stop, fully=fully)

    def generate_roughly(self, stop: Stop) -> bool:
        """Add patterns until none of the coarser grid improves the program, which gives no bound unless they agree."""
        self._generate(self.fine if self.quick else self.rough, stop, fully=True)
        if not self.quick:
            self.tally[BOUND] = 0
        return self.solved

    def _generate(self, grid: Grid, stop: Stop, *, fully: bool = False) -> bool:
        cells = (PAIRED * self.pairs.lengths.size or grid.table.size) + self.tableau.size
        most = (WORK if self.kernels.compiled else WORK_PLAIN) // cells
        steps = next((steps for steps in STEPS if steps <= most), STEPS[-1])
        self.tally[DONE] = self.tally[BOUND] = taken = 0
        while not self.solved and not stop.reached():
            self.kernels.generate_bars(
                self.tableau, self.basis, self.costs, grid.sizes, self.wanted, self.copies, grid.room, self.unit,
                grid.table, self.rows, self.pairs.parts, self.pairs.lengths, self.pairs.ranks,
                self.whole, self.pool, self.tally, steps,
            )  # fmt: skip
            taken += steps
            if not fully and taken % STEPS[0] == 0 and self.bound >= math.ceil(self.tableau[-1, -1] - ALMOST):
                self.tally[DONE] = 1
            if self.tally[DONE] and self._without_swaps():
                self.tally[DONE] = taken = 0
        return self.solved

    def _without_swaps(self) -> bool:
        """Raise the cost of columns that put a piece in the place of a longer one; whether there are any."""
        self.tally[SWAPS] = 0
        swaps = (self.tableau[:-1, -1] > SWAPPED) & (self.basis.min(axis=1) < 0) & (self.basis.max(axis=1) > 0)
        for row in np.flatnonzero(swaps):
            more = max(self.costs[row] * (DEARER - 1.0), SWAP_COST)
            self.costs[row] += more
            self.tableau[-1] += more * self.tableau[row]
        return bool(swaps.any())

    def best(self, worths: Any, wanted: Any) -> Cuts:
        """Return the bar worth most within what is wanted, on the coarser grid; ``worths`` are of 32 bits."""
        grid, rows = self.rough, self.rows
        copies = np.minimum(wanted, self.room // self.sizes)
        tried = self.kernels.fill_table(grid.sizes, worths, copies, grid.room, grid.table, rows)
        counts: Counter[int] = Counter()
        room = grid.room
        for k in range(tried, 0, -1):
            if grid.table[k, room] != grid.table[k - 1, room]:
                counts[int(rows[k - 1])] += 1
                room -= int(grid.sizes[rows[k - 1]])
        return tuple(sorted(counts.items())) or ((int(np.flatnonzero(wanted)[0]), 1),)

    def meet(self, bars: Sequence[Cuts]) -> None:
        """Keep these bars as patterns to price before any knapsack is solved."""
        for cuts in dict.fromkeys(bars):
            pieces = [i for i, copies in cuts for _ in range(copies)]
            at = self.tally[POOLED] % self.pool.shape[0]
            self.pool[at, 0] = len(pieces)
            self.pool[at, 1 : len(pieces) + 1] = pieces
            self.tally[POOLED] += 1

    def patterns(self) -> list[tuple[float, int]]:
        """Return how often each pattern of the basis is cut, with its row, the most first."""
        level = self.tableau[:-1, -1]
        rows = [r for r in range(level.size) if level[r] > RAISED * 2 and self.costs[r] >= 1]
        return sorted(((float(level[r]), r) for r in rows), key=lambda entry: (-entry[0], entry[1]))

    def cuts(self, row: int) -> Cuts:
        """Return the pattern of a row, but what of it is wanted no more."""
        within = np.minimum(self.basis[row], self.wanted)
        return tuple((int(i), int(within[i])) for i in np.flatnonzero(within > 0))

    def fix(self, row: int, times: int) -> list[Cuts]:
        """Cut the pattern of a row so often; return the bars. Call :meth:`generate` when all is fixed."""
        made: list[Cuts] = []
        for _ in range(times):
            cuts = self.cuts(row)
            if not cuts:
                break
            made.append(cuts)
            for size, pieces in cuts:
                self.wanted[size] -= pieces
        self.tableau[row, -1] -= times
        self.tableau[-1, -1] -= times * self.costs[row]
        if self.tableau[row, -1] < 0:  # rounded up: the rest comes back as a column to be driven out
            self.tableau[-1] -= self.costs[row] * self.tableau[row]
            self.tableau[row] *= -1
            self.basis[row] *= -1
            self.costs[row] = 0.0
        self.copies = np.minimum(self.wanted, self.room // self.sizes)
        return made

    def reprice(self) -> None:
        """Drive patterns out that hold more pieces than are wanted."""
        beyond = (self.basis > self.wanted).any(axis=1) & (self.costs == 1.0)
        for row in np.flatnonzero(beyond):
            self.costs[row] = 2.0
            self.tableau[-1] += self.tableau[row]

    def listed(self, bars: int, most: int, steps: int) -> list[Cuts] | None:
        """Return every pattern that a plan of so many bars can use, ``None`` where these are more than ``most``.

        Of nested patterns only the largest; sizes without a price are left out. By reduced costs: together the bars of
        such a plan fall short of the most a bar is worth by no more than the program's value of one plan falls short
        of the other's. Call it when :meth:`generate` is done.
        """
        worth = int(self.tally[BEST])
        least = worth - (bars * worth - int((self.wanted * self.whole).sum()))
        found = self.worth_at_least(self.whole, least, most, steps)
        return None if found is None else [tuple(sorted(Counter(pieces).items())) for pieces in found]

    def worth_at_least(self, worths: Any, least: int, most: int, steps: int) -> list[list[int]] | None:
        """Return the pieces of every pattern worth so much, ``None`` where these are more than ``most``.

        Of nested patterns only the largest; sizes of no worth are left out. ``worths`` are of 32 bits.
        """
        found = np.zeros((most, self.pool.shape[1]), dtype=np.int64)
        count = self.kernels.list_bars(
            self.sizes, worths, self.copies, self.room, self.fine.table, self.rows, least, found, steps
        )
        return None if count < 0 else [found[k, 1 : found[k, 0] + 1].tolist() for k in range(count)]

    def state(self) -> tuple[Any, ...]:
        """Return what :meth:`back_to` goes back to."""
        return tuple(
            kept.copy() for kept in (self.tableau, self.basis, self.costs, self.wanted, self.whole, self.tally)
        )

    def back_to(self, state: tuple[Any, ...]) -> None:
        """Want and cut again what was at the time of that state; patterns met since are kept."""
        pooled = int(self.tally[POOLED])
        for kept, then in zip(
            (self.tableau, self.basis, self.costs, self.wanted, self.whole, self.tally), state, strict=True
        ):
            kept[:] = then
        self.tally[POOLED] = pooled
        self.copies = np.minimum(self.wanted, self.room // self.sizes)
