"""Jittable code: boxes of part sets and the search over sets, on flat arrays.

The same method as :mod:`nesting.solve.boxes` and :mod:`nesting.solve.exact_pricing`, which say it in plain
Python; parts are named by their rank in decreasing area. A set is stored exactly: its ranks in ascending order, ten
bits each, six in each of two words.
"""

from __future__ import annotations

from collections import namedtuple
from typing import Any

MOST_PARTS = 12
MOST_TYPES = 1022
LOW = (1 << 30) - 1
EAGER = 4
"""Sets of so few parts are fitted at once, larger ones once they are worth enough: most never are."""
APART = 2
"""Parts that sets found by a climb must differ in to be compared no more: many columns of different parts at a time."""
NOT_YET = -2
DONE, PAUSED, TOO_MANY, STORE_FULL, FOUND_FULL = range(5)
BOXES_USED, SETS_USED, THRESHOLD, NODES, DEPTH, FOUND, WORK, HELD, ASKED, STEP = range(10)
"""Places in ``Store.tally``. ``ASKED``: the threshold that a climb falls back to; ``STEP``: of how many first parts one
is taken, where searches share the work."""
FIRST, SECOND, START, COUNT = range(4)
"""Columns of ``Store.table``, whose rows are as many as a power of two."""

Store = namedtuple(
    "Store",
    "length width ws hs ways compatible table xs ys tally "
    "local_first local_second local_start local_count local_size new_w new_h parts here profit grown first second room",
)
"""A bin's store: single parts' sides, the table of sets (two key words, place and number of boxes), boxes, stack."""


def slot_of(store: Any, first: int, second: int) -> int:
    """Return where a set is in the table, or the free place where it belongs."""
    table, last = store.table, len(store.table) - 1
    mixed = ((first ^ (first >> 30)) & LOW) * 73856093 + ((second ^ (second >> 30)) & LOW) * 19349663
    at = (mixed ^ (mixed >> 21)) & last
    while table[at, FIRST] != 0 and (table[at, FIRST] != first or table[at, SECOND] != second):
        at = (at + 1) & last
    return at


def with_part(first: int, second: int, size: int, part: int) -> tuple[int, int]:
    """Return the key of a set and a further part; ``size``: of the set."""
    if size < 6:
        return first + ((part + 1) << (10 * size)), second
    return first, second + ((part + 1) << (10 * (size - 6)))


def keep(new_w: Any, new_h: Any, found: int, w: int, h: int) -> int:
    """Insert a box into the list being made, ascending in w and descending in h; return the list's length."""
    low, high = 0, found
    while low < high:
        mid = (low + high) // 2
        if new_w[mid] < w:
            low = mid + 1
        else:
            high = mid
    if low > 0 and new_h[low - 1] <= h:
        return found
    if low < found and new_w[low] == w and new_h[low] <= h:
        return found
    last = low
    while last < found and new_h[last] >= h:
        last += 1
    if last == low:
        for i in range(found, low, -1):
            new_w[i] = new_w[i - 1]
            new_h[i] = new_h[i - 1]
        found += 1
    elif last > low + 1:
        for i in range(last, found):
            new_w[i - last + low + 1] = new_w[i]
            new_h[i - last + low + 1] = new_h[i]
        found -= last - low - 1
    new_w[low] = w
    new_h[low] = h
    return found


def merge(store: Any, mask: int, half: int, equal: int) -> int:
    """Merge the boxes of all divisions of ``mask`` and the new part ``half``; return how many are kept, -1 if too many.

    The lists are staircases, so one walk along both gives every joint box that no other of the two dominates
    (Stockmeyer 1983, "Optimal orientations of cells in slicing floorplan designs", from memory).
    """
    length, width = store.length, store.width
    xs, ys, new_w, new_h = store.xs, store.ys, store.new_w, store.new_h
    start, count = store.local_start, store.local_count
    found, work = 0, 0
    sub = mask
    while sub > 0:
        if (sub & equal) & ((mask & ~sub) << 1) == 0:
            other = half | (mask ^ sub)
            one, two = start[other], start[sub]
            one_end, two_end = one + count[other], two + count[sub]
            if found + 2 * (count[other] + count[sub]) > new_w.size:
                return -1
            i, j = one, two
            while i < one_end and j < two_end and xs[i] + xs[j] <= length:  # side by side, from the narrowest
                w, h1, h2 = xs[i] + xs[j], ys[i], ys[j]
                found = keep(new_w, new_h, found, w, max(h1, h2))
                i += h1 >= h2  # only a lower box of the higher part makes both lower
                j += h2 >= h1
                work += 1
            i, j = one_end - 1, two_end - 1
            while i >= one and j >= two and ys[i] + ys[j] <= width:  # one above the other, from the lowest
                h, w1, w2 = ys[i] + ys[j], xs[i], xs[j]
                found = keep(new_w, new_h, found, max(w1, w2), h)
                i -= w1 >= w2
                j -= w2 >= w1
                work += 1
        sub = (sub - 1) & mask
        work += 1
    store.tally[WORK] += 2 * work
    return found


def extend(store: Any, depth: int, part: int, work: int) -> int:
    """Add a part to the set of ``depth`` parts on the stack; 1 if it fits, 0 if not.

    -1 if the store is full or the set has :data:`MOST_PARTS` parts, ``NOT_YET`` where more than ``work`` is done: what
    was found out is kept for the next call.
    """
    if depth >= MOST_PARTS:  # there is no room for the subsets of one more
        return -1
    table = store.table
    half = 1 << depth
    store.tally[WORK] += half
    equal = 0
    for i in range(1, depth):
        if store.parts[i] == store.parts[i - 1]:
            equal |= 1 << i
    whole = half - 1
    for step in range(half + 1):
        mask = whole if step == 0 else step - 1  # first look whether the whole set is known
        size = store.local_size[mask]
        first, second = with_part(store.local_first[mask], store.local_second[mask], size, part)
        at = slot_of(store, first, second)
        known = table[at, FIRST] != 0
        if step == 0:
            if known and table[at, COUNT] == 0:
                return 0
            continue
        if not known:
            if store.tally[WORK] > work:
                return NOT_YET
            if 2 * store.tally[SETS_USED] > len(table) or store.tally[BOXES_USED] + 4096 > store.xs.size:
                return -1
            found = 0
            if mask == 0:
                for way in range(store.ways[part]):
                    found = keep(store.new_w, store.new_h, found, store.ws[part, way], store.hs[part, way])
            else:
                found = merge(store, mask, half, equal)
                if found < 0:
                    return -1
            begin = store.tally[BOXES_USED]
            for i in range(found):
                store.xs[begin + i] = store.new_w[i]
                store.ys[begin + i] = store.new_h[i]
            store.tally[BOXES_USED] += found
            store.tally[SETS_USED] += 1
            table[at, FIRST], table[at, SECOND], table[at, START], table[at, COUNT] = first, second, begin, found
        new = half | mask
        store.local_first[new], store.local_second[new] = first, second
        store.local_size[new] = size + 1
        store.local_start[new], store.local_count[new] = table[at, START], table[at, COUNT]
        if table[at, COUNT] == 0:
            if mask != whole:
                forbid(store, whole, part)
            return 0
    return 1


def forbid(store: Any, whole: int, part: int) -> None:
    """Remember that the set on the stack and a part do not fit, found out by a smaller set."""
    table = store.table
    first, second = with_part(store.local_first[whole], store.local_second[whole], store.local_size[whole], part)
    at = slot_of(store, first, second)
    if table[at, FIRST] == 0 and 2 * store.tally[SETS_USED] <= len(table):
        table[at, FIRST], table[at, SECOND], table[at, START], table[at, COUNT] = first, second, 0, 0
        store.tally[SETS_USED] += 1


def record(store: Any, depth: int, found_parts: Any, found_worth: Any) -> None:
    """Add the set on the stack to those found."""
    number = store.tally[FOUND]
    found_worth[number] = store.profit[depth]
    for i in range(MOST_PARTS):
        found_parts[number, i] = store.parts[i] if i < depth else -1
    store.tally[FOUND] = number + 1


def search_sets(  # noqa: PLR0915 - one loop, compiled as a whole
    store: Any,
    order: Any,
    demands: Any,
    profits: Any,
    tables: Any,
    weights: Any,
    found_parts: Any,
    found_worth: Any,
    climb: int,
    work: int,
) -> int:
    """Go on with a search until it ends or has done ``work``; returns why. Start with ``DEPTH`` 0 and ``here[0]`` 0.

    With ``climb`` every set is recorded that beats all before it with the same first :data:`APART` parts, else those
    that no later part can join. Boxes are at hand of the first ``HELD`` parts on the stack and their subsets; of a set
    met before it is looked up whether it fits, of another worked out where that matters.
    """
    tally, parts, here = store.tally, store.parts, store.here
    profit, room, grown, table = store.profit, store.room, store.grown, store.table
    keys_1, keys_2 = store.first, store.second
    systems, count = weights.shape
    depth = tally[DEPTH]
    tally[WORK] = 0
    while True:
        if tally[WORK] > work:
            tally[DEPTH] = depth
            return PAUSED
        at = here[depth]
        tally[WORK] += 2
        open_still = at < count
        if open_still:
            for s in range(systems):
                if profit[depth] + tables[s, at, room[depth, s]] < tally[THRESHOLD]:
                    open_still = False
                    break
        if not open_still:
            if climb == 0 and depth > 0 and grown[depth] == 0 and profit[depth] >= tally[THRESHOLD]:
                if tally[FOUND] == found_worth.size:
                    return FOUND_FULL
                record(store, depth, found_parts, found_worth)
            if depth == 0:
                return DONE
            depth -= 1
            tally[HELD] = min(tally[HELD], depth)
            if climb and depth < APART:
                tally[THRESHOLD] = tally[ASKED]
            continue
        here[depth] = at + (1 if depth else tally[STEP])
        part = order[at]
        fits = True
        copies = 0
        for i in range(depth):
            if parts[i] == part:
                copies += 1
            if store.compatible[parts[i], part] == 0:
                fits = False
                break
        if not fits:
            continue
        tally[NODES] += 1
        further = at if copies + 1 < demands[at] else at + 1
        worth = profit[depth] + profits[at]
        for s in range(systems):
            left = room[depth, s] - weights[s, at]
            if left < 0 or worth + tables[s, further, left] < tally[THRESHOLD]:
                fits = False
                break
            room[depth + 1, s] = left
        if not fits:
            continue
        parts[depth] = part
        known = False
        if depth < MOST_PARTS:
            keys_1[depth + 1], keys_2[depth + 1] = with_part(keys_1[depth], keys_2[depth], depth, part)
            row = slot_of(store, keys_1[depth + 1], keys_2[depth + 1])
            known = table[row, FIRST] != 0
            if known and table[row, COUNT] == 0:
                continue
        if not known and (depth < EAGER or depth >= MOST_PARTS or worth >= tally[THRESHOLD]):
            state = 1
            while state == 1 and tally[HELD] <= depth:
                if tally[HELD] >= MOST_PARTS:
                    return TOO_MANY
                state = extend(store, tally[HELD], parts[tally[HELD]], work)
                tally[HELD] += state == 1
            if state < 0:
                here[depth] = at
                tally[DEPTH] = depth
                return PAUSED if state == NOT_YET else STORE_FULL
            if state == 0:
                depth = tally[HELD]
                continue
        grown[depth] = 1
        depth += 1
        here[depth], profit[depth], grown[depth] = further, worth, 0
        if climb and worth >= tally[THRESHOLD]:
            if tally[FOUND] == found_worth.size:
                tally[FOUND] = 0  # only the last ones matter to a climb
            record(store, depth, found_parts, found_worth)
            tally[THRESHOLD] = worth + 1
