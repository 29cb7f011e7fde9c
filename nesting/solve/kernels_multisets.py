"""Boxes of all multisets of a job's parts, jittable: each set from its divisions into two, smaller sets first.

A multiset is a number: copies of each type times the type's stride. Subsets have smaller numbers, and what is left of a
set without a subset is the difference of the two. See :mod:`nesting.solve.multisets`.
"""

from __future__ import annotations

from typing import NamedTuple

from nesting.solve.box_kernels import keep
from nesting.solve.kernels import Ints

AT, USED, FULL, WORK = range(4)
"""Places in ``tally``: the next set, boxes stored, whether there is no more room, and steps taken."""


class Sets(NamedTuple):
    """The types, the boxes of every set so far, and room for one more list."""

    sides: Ints  # [type, way, x and y]
    ways: Ints  # of each type
    copies: Ints
    strides: Ints
    areas: Ints
    room: Ints  # length and width of a space that holds every bin
    xs: Ints
    ys: Ints
    start: Ints
    count: Ints  # 0 where a set fits no bin
    digits: Ints  # copies of each type in the set at work, and in the subset
    part: Ints
    new_w: Ints
    new_h: Ints
    tally: Ints


def merge_sets(sets: Sets, steps: int) -> None:
    """Go on with the boxes of sets, for about so many steps."""
    tally, digits, part, n = sets.tally, sets.digits, sets.part, sets.copies.size
    length, width = sets.room[0], sets.room[1]
    done = 0
    while tally[AT] < sets.start.size and done < steps and not tally[FULL]:
        index = tally[AT]
        tally[AT] += 1
        area, rest, pieces, fits = 0, index, 0, True
        for i in range(n - 1, -1, -1):
            digits[i] = rest // sets.strides[i]
            rest -= digits[i] * sets.strides[i]
            area += digits[i] * sets.areas[i]
            pieces += digits[i]
            part[i] = 0
            if digits[i] and index != sets.strides[i] and not sets.count[index - sets.strides[i]]:
                fits = False
        done += n
        if not pieces or area > length * width or not fits:
            continue
        found = 0
        if pieces == 1:
            for i in range(n):
                if digits[i]:
                    for way in range(sets.ways[i]):
                        found = keep(sets.new_w, sets.new_h, found, sets.sides[i, way, 0], sets.sides[i, way, 1])
        else:
            one = 0
            while True:
                i = 0
                while i < n and part[i] == digits[i]:
                    one -= part[i] * sets.strides[i]
                    part[i] = 0
                    i += 1
                if i == n:
                    break
                part[i] += 1
                one += sets.strides[i]
                done += 1
                two = index - one
                if one > two or one == 0:
                    continue
                found = divide(sets, one, two, found)
                done += sets.count[one] + sets.count[two]
        if tally[USED] + found > sets.xs.size or found + n > sets.new_w.size:
            tally[FULL] = 1
            return
        sets.start[index], sets.count[index] = tally[USED], found
        for k in range(found):
            sets.xs[tally[USED]], sets.ys[tally[USED]] = sets.new_w[k], sets.new_h[k]
            tally[USED] += 1
    tally[WORK] += done


def divide(sets: Sets, one: int, two: int, found: int) -> int:
    """Add the joint boxes of two sets to the list being made; return its length. See ``box_kernels.merge``."""
    xs, ys, new_w, new_h = sets.xs, sets.ys, sets.new_w, sets.new_h
    length, width = sets.room[0], sets.room[1]
    first, first_end = sets.start[one], sets.start[one] + sets.count[one]
    second, second_end = sets.start[two], sets.start[two] + sets.count[two]
    i, j = first, second
    while i < first_end and j < second_end and xs[i] + xs[j] <= length:
        high, other = ys[i], ys[j]
        if max(high, other) <= width:
            found = keep(new_w, new_h, found, xs[i] + xs[j], max(high, other))
        i += 1 if high >= other else 0
        j += 1 if other >= high else 0
    i, j = first_end - 1, second_end - 1
    while i >= first and j >= second and ys[i] + ys[j] <= width:
        wide, other = xs[i], xs[j]
        if max(wide, other) <= length:
            found = keep(new_w, new_h, found, max(wide, other), ys[i] + ys[j])
        i -= 1 if wide >= other else 0
        j -= 1 if other >= wide else 0
    return found


def join_sets(sets: Sets, one: Ints, two: Ints, joined: Ints, at: int, steps: int) -> int:
    """Mark the sets from ``at`` on that divide into one of ``one`` and one of ``two``; return the next set.

    The empty set is in both.
    """
    digits, part, n = sets.digits, sets.part, sets.copies.size
    done = 0
    while at < joined.size and done < steps:
        rest = at
        for i in range(n - 1, -1, -1):
            digits[i] = rest // sets.strides[i]
            rest -= digits[i] * sets.strides[i]
            part[i] = 0
        sub = 0
        while not (one[sub] and two[at - sub]):
            done += 1
            i = 0
            while i < n and part[i] == digits[i]:
                sub -= part[i] * sets.strides[i]
                part[i] = 0
                i += 1
            if i == n:
                break
            part[i] += 1
            sub += sets.strides[i]
        joined[at] = one[sub] and two[at - sub]
        done += n
        at += 1
    return at
