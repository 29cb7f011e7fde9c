"""Boxes of all multisets of a job's pieces, jittable: each set from its divisions into two, smaller sets first.

A multiset is a number: copies of each type times the type's stride. Subsets have smaller numbers, and what is left of a
set without a subset is the difference of the two. A box that wastes more than the job may waste in all is left out, and
so are divisions whose parts waste more together: the least that a set wastes is known for every set, and for all sets
that share their last digits. See :mod:`nesting.solve.multisets`.
"""

from __future__ import annotations

from typing import NamedTuple

from nesting.solve.box_kernels import keep
from nesting.solve.kernels import Ints

AT, USED, FULL, STEPS, LEAF, SAME, LEVEL, MADE, ONE, FIRST, SECOND = range(11)
"""Places in ``tally``: the next set, boxes stored, whether there is no more room, steps taken, the next leaf, whether
both parts of a division are of one kind, so that their order is no matter, and the level of the division at work; of a
box how it is made, of which subset, and the numbers of the boxes joined."""
LENGTH, WIDTH, WASTE = range(3)
"""Places in ``room``: sides of a space that holds every bin, and the most that may be wasted in all."""
A_LEAF, BESIDE, ABOVE = range(3)
"""How a box is made: of no other, of two beside one another along x, of two one above the other along y."""
NEVER = 1 << 60
"""What a set wastes that has no box."""


class Sets(NamedTuple):
    """The types, the boxes of every set so far, room for one more list, and a division at work."""

    copies: Ints
    strides: Ints
    areas: Ints
    room: Ints
    leaves: Ints  # boxes cut no further: [leaf, set and x and y], sets ascending
    boxes: Ints  # [box, x and y]
    where: Ints  # first box of each set, and how many; none where a set has no box
    least: Ints  # least waste of each set, then of those alike from the second digit on, from the third on ...
    offsets: Ints  # where each of these begins
    digits: Ints  # copies of each type in the set at work
    tried: Ints  # of each digit of the subset, the next to try
    ones: Ints  # the subset's digits from each level on, as a number, and those of the rest
    twos: Ints
    listed: Ints  # subsets, the rest of each being the other part of a division
    new_w: Ints
    new_h: Ints
    tally: Ints


def begin_divisions(sets: Sets, index: int, same: int) -> int:
    """Begin the divisions of a set; return the area of its pieces."""
    area, rest, n = 0, index, sets.copies.size
    for i in range(n - 1, -1, -1):
        sets.digits[i] = rest // sets.strides[i]
        rest -= sets.digits[i] * sets.strides[i]
        area += sets.digits[i] * sets.areas[i]
    sets.tally[LEVEL], sets.tally[SAME] = n - 1, same
    sets.tried[n - 1] = sets.ones[n] = sets.twos[n] = 0
    return area


def next_divisions(sets: Sets, one_least: Ints, two_least: Ints, limit: int) -> int:
    """List the next subsets that with the rest of the set waste little enough; return how many, at most the limit."""
    found, listed = 0, sets.listed
    tally, digits, tried, ones, twos = sets.tally, sets.digits, sets.tried, sets.ones, sets.twos
    n, k, most, same, steps = sets.copies.size, tally[LEVEL], sets.room[WASTE], tally[SAME], 0
    while k < n:
        one = ones[k + 1] * (sets.copies[k] + 1)
        two = twos[k + 1] * (sets.copies[k] + 1) + digits[k]
        last = min(digits[k], (two - one) // 2) if same else digits[k]
        one, two, c = one + sets.offsets[k], two + sets.offsets[k], tried[k]
        begun = c
        while c <= last and one_least[one + c] + two_least[two - c] > most:
            c += 1
        steps += c - begun + 1
        tried[k] = c + 1
        if c > last:
            k += 1
            continue
        if k == 0:
            listed[found] = one + c
            found += 1
            if found < limit:
                continue
            tally[LEVEL] = 0
            tally[STEPS] += steps
            return found
        ones[k], twos[k] = one + c - sets.offsets[k], two - c - sets.offsets[k]
        k -= 1
        tried[k] = 0
    tally[LEVEL] = n
    tally[STEPS] += steps
    return found


def merge_sets(sets: Sets, steps: int) -> None:
    """Go on with the boxes of sets, for about so many steps."""
    tally, room, leaves, least, n = sets.tally, sets.room, sets.leaves, sets.least, sets.copies.size
    end = tally[STEPS] + steps
    while tally[AT] < len(sets.where) and tally[STEPS] < end and not tally[FULL]:
        index, found = tally[AT], 0
        tally[AT] += 1
        area = begin_divisions(sets, index, 1)
        tally[STEPS] += n
        sets.where[index, 0] = tally[USED]
        while tally[LEAF] < len(leaves) and leaves[tally[LEAF], 0] == index:
            w, h = leaves[tally[LEAF], 1], leaves[tally[LEAF], 2]
            tally[LEAF] += 1
            if w <= room[LENGTH] and h <= room[WIDTH] and w * h - area <= room[WASTE]:
                found = keep(sets.new_w, sets.new_h, found, w, h)
        more = next_divisions(sets, least, least, sets.listed.size) if area <= room[LENGTH] * room[WIDTH] else 0
        while more:
            found = join(sets, index, more, area, found)
            if found < 0:
                tally[FULL] = 1
                return
            more = next_divisions(sets, least, least, sets.listed.size)
        if tally[USED] + found > len(sets.boxes):
            tally[FULL] = 1
            return
        waste = NEVER
        for k in range(found):
            sets.boxes[tally[USED], 0], sets.boxes[tally[USED], 1] = sets.new_w[k], sets.new_h[k]
            tally[USED] += 1
            waste = min(waste, sets.new_w[k] * sets.new_h[k] - area)
        sets.where[index, 1] = found
        if found:
            for k in range(n):
                at = sets.offsets[k] + index // sets.strides[k]
                least[at] = min(least[at], waste)


def join(sets: Sets, index: int, divisions: int, area: int, found: int) -> int:
    """Add the joint boxes of the divisions listed to the list being made; return its length, -1 where it is too long.

    See ``box_kernels.merge``.
    """
    boxes, where, new_w, new_h, steps = sets.boxes, sets.where, sets.new_w, sets.new_h, 0
    length, width, most = sets.room[LENGTH], sets.room[WIDTH], area + sets.room[WASTE]
    for k in range(divisions):
        one = sets.listed[k]
        two = index - one
        first, second = int(where[one, 0]), int(where[two, 0])
        first_end, second_end = first + int(where[one, 1]), second + int(where[two, 1])
        steps += 4 * (first_end - first + second_end - second)
        if found + 2 * (first_end - first + second_end - second) > new_w.size:
            return -1
        i, j = first, second
        while i < first_end and j < second_end:
            w, high, other = int(boxes[i, 0]) + int(boxes[j, 0]), int(boxes[i, 1]), int(boxes[j, 1])
            if w > length:
                break
            h = max(high, other)
            if w * h <= most and h <= width:
                found = keep(new_w, new_h, found, w, h)
            i += 1 if high >= other else 0
            j += 1 if other >= high else 0
        i, j = first_end - 1, second_end - 1
        while i >= first and j >= second:
            h, wide, other = int(boxes[i, 1]) + int(boxes[j, 1]), int(boxes[i, 0]), int(boxes[j, 0])
            if h > width:
                break
            w = max(wide, other)
            if w * h <= most and w <= length:
                found = keep(new_w, new_h, found, w, h)
            i -= 1 if wide >= other else 0
            j -= 1 if other >= wide else 0
    sets.tally[STEPS] += steps
    return found


def join_sets(sets: Sets, one_least: Ints, two_least: Ints, joined: Ints, space: int, at: int, steps: int) -> int:
    """Say for sets from ``at`` on what they waste of the space of both, where they divide among both; return the next.

    For no set in ``joined`` yet.
    """
    end = sets.tally[STEPS] + steps
    while at < joined.size and sets.tally[STEPS] < end:
        waste = space - begin_divisions(sets, at, 0)
        sets.tally[STEPS] += sets.copies.size
        if 0 <= waste <= sets.room[WASTE] and next_divisions(sets, one_least, two_least, 1):
            joined[at] = waste
        at += 1
    return at


def share(sets: Sets, one_least: Ints, two_least: Ints, index: int) -> int:
    """Return the subset of a set that the first of two spaces takes, -1 where they cannot take all."""
    begin_divisions(sets, index, 0)
    return int(sets.listed[0]) if next_divisions(sets, one_least, two_least, 1) else -1


def unmake(sets: Sets, index: int, w: int, h: int) -> None:
    """Find how a box of a set is made, and write it to ``tally``; ``A_LEAF`` where it is made of no other."""
    boxes, where, tally = sets.boxes, sets.where, sets.tally
    begin_divisions(sets, index, 1)
    tally[MADE] = A_LEAF
    while next_divisions(sets, sets.least, sets.least, 1):
        one = sets.listed[0]
        two = index - one
        for i in range(where[one, 0], where[one, 0] + where[one, 1]):
            for j in range(where[two, 0], where[two, 0] + where[two, 1]):
                beside = boxes[i, 0] + boxes[j, 0] == w and max(boxes[i, 1], boxes[j, 1]) == h
                if beside or (boxes[i, 1] + boxes[j, 1] == h and max(boxes[i, 0], boxes[j, 0]) == w):
                    tally[MADE], tally[ONE] = BESIDE if beside else ABOVE, one
                    tally[FIRST], tally[SECOND] = i, j
                    return
