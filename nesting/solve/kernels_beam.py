"""One level of a beam search over layouts of given bins: jittable code.

Bins are filled one after another, each by columns along its first side or, the other direction, along its second; a
column by rows, a row by blocks. A block is a part, a few copies of one on top of one another, or two parts of nearly
the same width. The next block goes into the row at work, begins a row on top of it, a column beside it, or a bin. A
layout begun is measured by the share wasted of the room it has used, over a power of the worth of its blocks, so that
large ones come first; the best of each level are kept, but for those that another of the same contents is nowhere
ahead of.

After Libralesso & Fontan 2021, "An anytime tree search algorithm for two-dimensional two- and three-staged guillotine
packing problems" (from memory): its branching, its guides and its dominance. Departures: blocks of two parts; a given
set of bins, whose spare room is the most that may be wasted; beams, level by level, instead of a bounded best-first
queue. The code works on arrays, compiled or not, number for number.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from nesting.solve.kernels import Floats, Ints

BIN, DIRECTION, COLUMN, COLUMN_END, ROW, ROW_END, END = range(7)
"""A front: the bin in the queue and its direction, where its column and row begin and end, and the last block's end."""
ALONG, ACROSS, FIRST, FIRST_COPIES, SECOND, SECOND_COPIES, AREA = range(7)
"""A block: its sides in the frame of its direction, one or two items with copies of each, and their area."""
NODES, NOW, LEVEL, BUDGET, QUARTERS, WHOLE, MOST, MOST_LEVEL, MOST_NODE = range(9)
"""Places in ``tally``: layouts of this level and their bank, blocks placed, the most that may be wasted, the power of
the mean worth in quarters (roots are quick), whether a layout holds all parts, the area of the parts in the one that
holds most, its level and its place there."""
MOVES = 8
IN_ROW, NEW_ROW, NEW_COLUMN, NEW_BIN = range(4)
"""Where a block goes; ``NEW_BIN`` plus the direction. A move is ``MOVES * block`` plus that."""


class Beam(NamedTuple):
    """The job and both banks of layouts; first index of the latter: the bank."""

    blocks: Ints  # [block, field]
    worth: Floats
    spans: Ints  # blocks of a kind of bin and a direction: [kind, direction, from and to]
    sides: Ints  # [kind, direction, along and across]
    queue: Ints  # kinds of the bins in turn
    opened: Ints  # area of the bins before each
    signs: Ints  # a random number for each item
    fronts: Ints
    left: Ints  # copies of each item yet to come
    lacking: Ints  # and of all
    packed: Ints  # area of the parts placed
    gained: Floats  # their worth
    marks: Ints  # equal for equal contents
    scores: Floats  # a heap of children, the worst on top
    whose: Ints
    which: Ints
    heads: Ints  # a hash table of the layouts kept
    nexts: Ints
    parents: Ints  # [level, layout]
    moves: Ints
    offset: Floats  # added to the share wasted
    tally: Ints


def sink(beam: Beam, size: int, i: int) -> None:
    """Let the child at ``i`` of the heap sink to its place."""
    scores, whose, which = beam.scores, beam.whose, beam.which
    while True:
        low = 2 * i + 1
        if low >= size:
            return
        if low + 1 < size and scores[low + 1] > scores[low]:
            low += 1
        if scores[low] <= scores[i]:
            return
        scores[i], scores[low] = scores[low], scores[i]
        whose[i], whose[low] = whose[low], whose[i]
        which[i], which[low] = which[low], which[i]
        i = low


def add_child(beam: Beam, size: int, score: float, node: int, move: int) -> int:
    """Put a child into the heap, for the worst where it is full; return the size of the heap."""
    scores, whose, which = beam.scores, beam.whose, beam.which
    if size == scores.size:
        scores[0], whose[0], which[0] = score, node, move
        sink(beam, size, 0)
        return size
    i = size
    scores[i], whose[i], which[i] = score, node, move
    while i > 0:
        up = (i - 1) // 2
        if scores[up] >= scores[i]:
            break
        scores[i], scores[up] = scores[up], scores[i]
        whose[i], whose[up] = whose[up], whose[i]
        which[i], which[up] = which[up], which[i]
        i = up
    return size + 1


def left_over(beam: Beam, node: int, block: int) -> bool:
    """Whether a layout still wants the parts of a block."""
    blocks, left = beam.blocks, beam.left[beam.tally[NOW], node]
    if left[blocks[block, FIRST]] < blocks[block, FIRST_COPIES]:
        return False
    return bool(left[blocks[block, SECOND]] >= blocks[block, SECOND_COPIES])


def weight(beam: Beam, node: int, block: int) -> float:
    """Return the mean worth of the blocks of a layout, one more among them, to so many quarter powers."""
    mean: float = (beam.gained[beam.tally[NOW], node] + beam.worth[block]) / (beam.tally[LEVEL] + 1)
    quarters, root = beam.tally[QUARTERS], math.sqrt(mean)
    if quarters == 1:
        return math.sqrt(root)
    if quarters == 2:
        return root
    return root * math.sqrt(root) if quarters == 3 else mean


def score_of(beam: Beam, used: int, packed: int, heavy: float) -> float:
    """Score a layout that has used so much room for so much area; negative where it wastes too much to be completed."""
    waste = used - packed
    if waste > beam.tally[BUDGET]:
        return -1.0
    score: float = (beam.offset[0] + waste / used) / heavy
    return score


def children(beam: Beam, node: int, size: int) -> int:
    """Put the children of a layout into the heap; return its size."""
    now, front = beam.tally[NOW], beam.fronts[beam.tally[NOW], node]
    place, direction, packed = front[BIN], front[DIRECTION], beam.packed[now, node]
    x0, x1, y0, y1, end = front[COLUMN], front[COLUMN_END], front[ROW], front[ROW_END], front[END]
    room = beam.scores.size
    if place >= 0:
        kind = beam.queue[place]
        length, width = beam.sides[kind, direction, 0], beam.sides[kind, direction, 1]
        before = beam.opened[place] + x0 * width
        for block in range(beam.spans[kind, direction, 0], beam.spans[kind, direction, 1]):
            w, h = beam.blocks[block, ALONG], beam.blocks[block, ACROSS]
            if (x0 + w > length or y0 + h > width) and (x1 + w > length or h > width):
                continue
            if not left_over(beam, node, block):
                continue
            area, heavy = packed + beam.blocks[block, AREA], weight(beam, node, block)
            if end + w <= length and y0 + h <= width:
                used = before + (max(x1, end + w) - x0) * y0 + (end + w - x0) * (max(y1, y0 + h) - y0)
                score = score_of(beam, used, area, heavy)
                if score >= 0 and (size < room or score < beam.scores[0]):
                    size = add_child(beam, size, score, node, MOVES * block + IN_ROW)
            if x0 + w <= length and y1 + h <= width:
                score = score_of(beam, before + (max(x1, x0 + w) - x0) * y1 + w * h, area, heavy)
                if score >= 0 and (size < room or score < beam.scores[0]):
                    size = add_child(beam, size, score, node, MOVES * block + NEW_ROW)
            if x1 + w <= length and h <= width:
                score = score_of(beam, before + (x1 - x0) * width + w * h, area, heavy)
                if score >= 0 and (size < room or score < beam.scores[0]):
                    size = add_child(beam, size, score, node, MOVES * block + NEW_COLUMN)
    place += 1
    if place == beam.queue.size:
        return size
    kind = beam.queue[place]
    for direction in range(2):
        for block in range(beam.spans[kind, direction, 0], beam.spans[kind, direction, 1]):
            if not left_over(beam, node, block):
                continue
            used = beam.opened[place] + beam.blocks[block, ALONG] * beam.blocks[block, ACROSS]
            score = score_of(beam, used, packed + beam.blocks[block, AREA], weight(beam, node, block))
            if score >= 0 and (size < room or score < beam.scores[0]):
                size = add_child(beam, size, score, node, MOVES * block + NEW_BIN + direction)
    return size


def advance(beam: Beam, node: int, move: int, to: int) -> None:
    """Write the front of a layout after a move to place ``to`` of the other bank, and what it holds then."""
    now = beam.tally[NOW]
    block, where = move // MOVES, move % MOVES
    w, h = beam.blocks[block, ALONG], beam.blocks[block, ACROSS]
    old, new = beam.fronts[now, node], beam.fronts[1 - now, to]
    new[:] = old
    if where == IN_ROW:
        new[END] = old[END] + w
        new[COLUMN_END], new[ROW_END] = max(old[COLUMN_END], new[END]), max(old[ROW_END], old[ROW] + h)
    elif where == NEW_ROW:
        new[ROW], new[ROW_END], new[END] = old[ROW_END], old[ROW_END] + h, old[COLUMN] + w
        new[COLUMN_END] = max(old[COLUMN_END], new[END])
    else:
        new[COLUMN] = old[COLUMN_END]
        if where >= NEW_BIN:
            new[BIN], new[DIRECTION], new[COLUMN] = old[BIN] + 1, where - NEW_BIN, 0
        new[COLUMN_END] = new[END] = new[COLUMN] + w
        new[ROW], new[ROW_END] = 0, h
    first, second = beam.blocks[block, FIRST], beam.blocks[block, SECOND]
    few, more = beam.blocks[block, FIRST_COPIES], beam.blocks[block, SECOND_COPIES]
    beam.marks[1 - now, to] = beam.marks[now, node] + beam.signs[first] * few + beam.signs[second] * more
    beam.lacking[1 - now, to] = beam.lacking[now, node] - few - more
    beam.packed[1 - now, to] = beam.packed[now, node] + beam.blocks[block, AREA]
    beam.gained[1 - now, to] = beam.gained[now, node] + beam.worth[block]


def behind(one: Ints, other: Ints) -> bool:
    """Whether in the same bin the second front is nowhere before the first."""
    if one[COLUMN_END] <= other[COLUMN]:
        return True
    if one[COLUMN] > other[COLUMN] or one[COLUMN_END] > other[COLUMN_END]:
        return False
    if one[ROW_END] <= other[ROW]:
        return True
    return bool(one[ROW] <= other[ROW] and one[ROW_END] <= other[ROW_END] and one[END] <= other[END])


def kept(beam: Beam, to: int) -> bool:
    """Whether no layout kept makes that at place ``to`` of the other bank needless; it is kept then."""
    bank = 1 - beam.tally[NOW]
    front, mark = beam.fronts[bank, to], beam.marks[bank, to]
    slot = (mark + 7919 * front[BIN] + 104729 * front[DIRECTION]) % beam.heads.size
    at = beam.heads[slot]
    while at >= 0:
        other = beam.fronts[bank, at]
        alike = beam.marks[bank, at] == mark and other[BIN] == front[BIN] and other[DIRECTION] == front[DIRECTION]
        if alike and behind(other, front):
            return False
        at = beam.nexts[at]
    beam.nexts[to] = beam.heads[slot]
    beam.heads[slot] = to
    return True


def grow(beam: Beam) -> None:
    """Make the next level of a beam search; ``tally`` tells how many layouts it has and whether one is complete."""
    tally, now, size = beam.tally, beam.tally[NOW], 0
    for node in range(tally[NODES]):
        size = children(beam, node, size)
    scores, whose, which = beam.scores, beam.whose, beam.which
    for end in range(size - 1, 0, -1):  # the heap becomes a list, the best first
        scores[0], scores[end] = scores[end], scores[0]
        whose[0], whose[end] = whose[end], whose[0]
        which[0], which[end] = which[end], which[0]
        sink(beam, end, 0)
    beam.heads[:] = -1
    made = 0
    for k in range(size):
        node, move = whose[k], which[k]
        advance(beam, node, move, made)
        if not kept(beam, made):
            continue
        block = move // MOVES
        beam.left[1 - now, made] = beam.left[now, node]
        beam.left[1 - now, made, beam.blocks[block, FIRST]] -= beam.blocks[block, FIRST_COPIES]
        beam.left[1 - now, made, beam.blocks[block, SECOND]] -= beam.blocks[block, SECOND_COPIES]
        beam.parents[tally[LEVEL], made], beam.moves[tally[LEVEL], made] = node, move
        if beam.packed[1 - now, made] > tally[MOST]:
            tally[MOST], tally[MOST_LEVEL], tally[MOST_NODE] = beam.packed[1 - now, made], tally[LEVEL], made
        made += 1
        if beam.lacking[1 - now, made - 1] == 0:
            tally[WHOLE] = 1
            break
        if made == beam.fronts.shape[1]:
            break
    tally[NODES], tally[NOW] = made, 1 - now
    tally[LEVEL] += 1


def first_layout(beam: Beam) -> None:
    """Begin a search: one layout with nothing in it."""
    beam.tally[:] = 0
    beam.tally[NODES] = 1
    beam.fronts[0, 0] = np.zeros(7, dtype=np.int64)
    beam.fronts[0, 0, BIN] = -1
    beam.packed[0, 0] = beam.marks[0, 0] = 0
    beam.gained[0, 0] = 0.0
