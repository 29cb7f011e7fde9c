"""The knapsack of a bar of four pieces at most, in jittable code: the best pair behind each pair.

A bar is two pairs, the second of later pieces than the first (Horowitz & Sahni 1974, "Computing partitions with
applications to the knapsack problem", from memory, part the pieces in two halves and look up one in the other; here
the halves are of the pieces cut). Pairs are known by length once and for all; going back from the last piece, those of
later pieces stand in a tree of running maxima (Fenwick 1994, "A new data structure for cumulative frequency tables",
from memory). The time does not depend on the length of the bar.
"""

from __future__ import annotations

from typing import Any

import numpy as np

PLACES = 4
"""Pieces of a bar at most; as many copies of a size at most are told apart."""
NOTHING = 3
"""Pieces of no length and no worth at the end, for bars of fewer pieces."""


def insert(most: Any, owner: Any, at: int, value: int, first: int, second: int) -> None:
    """Let a pair stand in the tree from its place on."""
    while at < most.size:
        if value > most[at]:
            most[at] = value
            owner[at, 0], owner[at, 1] = first, second
        at += at & -at


def write(parts: Any, gained: Any, found: Any, least: int, bars: Any) -> None:
    """Write the bars found for first and second pieces, each once, the best first."""
    n = parts.size
    top, count = gained[0].argmax(), 0
    for role in range(2):
        for k in range(n):
            first = (top + k) % n if role == 0 else k
            same = role == 1 and (found[0, found[1, first, 0]] == found[1, first]).all()
            if gained[role, first] > least and not same and count < bars.shape[0] - 1:
                bars[count, 0] = 0
                for j in range(PLACES):
                    piece = parts[found[role, first, j]]
                    if piece >= 0:
                        bars[count, 0] += 1
                        bars[count, bars[count, 0]] = piece
                count += 1
    bars[count, 0] = 0


def best_pairs(
    sizes: Any, worths: Any, copies: Any, room: int, parts: Any, lengths: Any, ranks: Any, least: int, bars: Any
) -> int:
    """Write bars worth more than ``least`` into ``bars``, the best first; return what the best is worth.

    ``parts`` are the sizes of the pieces by index, copies of one beside each other, -1 for :data:`NOTHING`;
    ``lengths`` the pairs' lengths, sorted, ``ranks[a, b]`` the place of pair a < b among them. Besides the best bar of
    all there is one for each first and each second piece. A bar begins with the number of its pieces, 0 after the last.
    """
    n = parts.size
    length, worth = np.zeros((2, n), dtype=np.int64)
    there = np.zeros(n, dtype=np.bool_)
    copy = 0
    for k in range(n):
        i = parts[k]
        if i < 0:
            there[k] = True
            continue
        copy = copy + 1 if k > 0 and parts[k - 1] == i else 0
        length[k], worth[k] = sizes[i], worths[i]
        there[k] = worths[i] > 0 and copy < copies[i]
    most = np.full(lengths.size + 1, -1, dtype=np.int64)  # of the tree, and the pair it is
    owner = np.zeros((lengths.size + 1, 2), dtype=np.int64)
    gained = np.zeros((2, n), dtype=np.int64)
    found = np.zeros((2, n, PLACES), dtype=np.int64)
    for b in range(n - 1, -1, -1):
        if not there[b]:
            continue
        for a in range(b):
            rest = room - length[a] - length[b]
            if not there[a] or rest < 0:
                continue
            at = np.searchsorted(lengths, rest, side="right")
            best, where = np.int64(-1), 0
            while at > 0:
                if most[at] > best:
                    best, where = most[at], at
                at -= at & -at
            total = best + worth[a] + worth[b]
            if best < 0 or (total <= gained[0, a] and total <= gained[1, b]):
                continue
            for role in range(2):
                first = a if role == 0 else b
                if total > gained[role, first]:
                    gained[role, first] = total
                    found[role, first, 0], found[role, first, 1] = a, b
                    found[role, first, 2:] = owner[where]
        for c in range(b + 1, n):
            if there[c]:
                insert(most, owner, ranks[b, c] + 1, worth[b] + worth[c], b, c)
    write(parts, gained, found, least, bars)
    return int(gained[0].max())
