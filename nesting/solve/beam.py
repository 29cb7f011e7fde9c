"""Beam search: given bins filled with as many parts as one beam brings in.

Strong where a few bins are to be filled nearly whole with many parts, of which some repeat. What it makes has at most
four alternations of cuts; see :mod:`nesting.solve.kernels_beam` for the method and its source.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from nesting.solve.beam_blocks import Blocks, Piece, blocks_of
from nesting.solve.compiled import Kernels
from nesting.solve.kernels_beam import (
    BUDGET,
    MOST,
    MOST_LEVEL,
    MOST_NODE,
    MOVES,
    NEW_BIN,
    NEW_COLUMN,
    NEW_ROW,
    NODES,
    QUARTERS,
    WHOLE,
    Beam,
    first_layout,
)
from nesting.solve.knapsack import trimmed
from nesting.solve.pattern import Cut, Pattern, Plan, Put, Sheet, in_turn
from nesting.solve.problem import Problem
from nesting.solve.stop import Stop

OFFSETS, NOISES, PAIRS = (0.03, 0.1), (0.0, 0.1, 0.2), (-1.0, 0.03)
"""What is drawn for each beam: what is added to the share wasted, the noise in the worths, and the share of a pair that
may be wasted; a negative one forbids pairs."""
CHILDREN = 3
"""Children of a level remembered for each layout kept: of like ones one is kept."""
MOST_WORK = 600_000
"""Blocks times layouts of a level at most: some 50 ms between two looks at the clock."""

Stack: TypeAlias = tuple[Piece, ...]
Row: TypeAlias = list[Stack]
CUTS: tuple[Cut, Cut] = ("crosscut", "rip")


@dataclass(frozen=True, slots=True)
class Filled:
    """The bins a beam has filled, the area of the parts in them, and whether these are all parts."""

    plan: Plan
    area: int
    whole: bool


def fill(
    problem: Problem, queue: Sequence[int], width: int, waste: int, seed: int, stop: Stop, kernels: Kernels
) -> Filled | None:
    """Fill the bins of a queue in turn; return what holds most, ``None`` where nothing does or it was stopped.

    ``problem`` is one without bars and limits on stages; ``width``: layouts kept in each level; ``waste``: area that
    may be wasted in all, rests of a last bin not counted.

    >>> from nesting.solve.compiled import PLAIN
    >>> from nesting.solve.problem import Bin, Item
    >>> job = Problem((Bin(10, 5, 1),), (Item(5, 5, 3, ((True, False),)),))
    >>> found = fill(job, [0], 4, 0, 1, Stop.after(9), PLAIN)
    >>> found.area, found.whole
    (50, False)
    """
    rng = random.Random(seed)
    offset, quarters = rng.choice(OFFSETS), rng.randint(1, 4)
    blocks = blocks_of(problem, queue, seed, rng.choice(NOISES), rng.choice(PAIRS))
    most = int((blocks.spans[:, :, 1] - blocks.spans[:, :, 0]).max())
    if not most:
        return None
    beam = _beam(problem, blocks, queue, max(1, min(width, MOST_WORK // most)), offset)
    beam.tally[BUDGET], beam.tally[QUARTERS] = waste, quarters
    while beam.tally[NODES] and not beam.tally[WHOLE]:
        if stop.reached():
            return None
        kernels.grow(beam)
    if not beam.tally[MOST]:
        return None
    return Filled(_plan(beam, blocks, queue), int(beam.tally[MOST]), bool(beam.tally[WHOLE]))


def _beam(problem: Problem, blocks: Blocks, queue: Sequence[int], width: int, offset: float) -> Beam:
    """Return the state of a search with one empty layout."""
    items, parts = len(problem.items), sum(item.demand for item in problem.items)
    areas = [problem.bins[b].length * problem.bins[b].width for b in queue]
    signs = np.random.default_rng(items).integers(1, 1 << 40, items)
    table = 4 << max(1, (width - 1).bit_length())

    def ints(*shape: int) -> np.ndarray:
        return np.zeros(shape, dtype=np.int64)

    beam = Beam(
        blocks=blocks.fields,
        worth=blocks.worth,
        spans=blocks.spans,
        sides=blocks.sides,
        queue=np.array(queue, dtype=np.int64),
        opened=np.cumsum([0, *areas], dtype=np.int64),
        signs=signs.astype(np.int64),
        fronts=ints(2, width, 7),
        left=np.zeros((2, width, items), dtype=np.int16),
        lacking=ints(2, width),
        packed=ints(2, width),
        gained=np.zeros((2, width)),
        marks=ints(2, width),
        scores=np.zeros(CHILDREN * width),
        whose=ints(CHILDREN * width),
        which=ints(CHILDREN * width),
        heads=ints(table),
        nexts=ints(width),
        parents=ints(parts, width),
        moves=ints(parts, width),
        offset=np.array([offset]),
        tally=ints(9),
    )
    first_layout(beam)
    beam.left[0, 0] = [item.demand for item in problem.items]
    beam.lacking[0, 0] = parts
    return beam


def _plan(beam: Beam, blocks: Blocks, queue: Sequence[int]) -> Plan:
    """Return the plan of the layout that holds most."""
    made: list[int] = []
    node = int(beam.tally[MOST_NODE])
    for level in range(int(beam.tally[MOST_LEVEL]), -1, -1):
        made.append(int(beam.moves[level, node]))
        node = int(beam.parents[level, node])
    sheets: list[tuple[int, list[list[Row]]]] = []
    for move in reversed(made):
        stack, where = blocks.stack(move // MOVES), move % MOVES
        if where >= NEW_BIN:
            sheets.append((where - NEW_BIN, [[[stack]]]))
        elif where == NEW_COLUMN:
            sheets[-1][1].append([[stack]])
        elif where == NEW_ROW:
            sheets[-1][1][-1].append([stack])
        else:
            sheets[-1][1][-1][-1].append(stack)
    return tuple(
        Sheet(queue[at], _pattern(direction, columns, *blocks.sides[queue[at], direction].tolist()))
        for at, (direction, columns) in enumerate(sheets)
    )


def _pattern(direction: int, columns: list[list[Row]], length: int, width: int) -> Pattern:
    """Return the pattern of a sheet: columns of rows of stacks; in direction 0 columns follow one another along x."""
    along, across = CUTS[direction], CUTS[1 - direction]

    def column(rows: list[Row], wide: int) -> Pattern:
        high = [max(_height(stack) for stack in row) for row in rows]
        return in_turn(across, high, [cells(row, wide, h) for row, h in zip(rows, high, strict=True)], width)

    def cells(row: Row, wide: int, high: int) -> Pattern:
        return in_turn(along, [stack[0].along for stack in row], [pile(stack, high) for stack in row], wide)

    def pile(stack: Stack, high: int) -> Pattern:
        parts = [put(part, stack[0].along) for part in stack]
        return in_turn(across, [part.across for part in stack], parts, high)

    def put(part: Piece, wide: int) -> Pattern:
        sides = part.along, part.across, wide, part.across
        x, y, room_x, room_y = sides if direction == 0 else (sides[1], sides[0], sides[3], sides[2])
        return trimmed(Put(part.item, part.turned), x, y, room_x, room_y)

    wide = [max(sum(stack[0].along for stack in row) for row in rows) for rows in columns]
    return in_turn(along, wide, [column(rows, w) for rows, w in zip(columns, wide, strict=True)], length)


def _height(stack: Stack) -> int:
    return sum(part.across for part in stack)
