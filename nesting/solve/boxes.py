"""Bounding boxes of part sets: whether a set can be cut from a bin edge to edge, decided exactly.

For a set of parts the Pareto list of the boxes it can be cut from is merged from those of its two-part
divisions, side by side and one above the other (after Christofides & Hadjiconstantinou 1995 and Wang 1983,
from memory: builds made of two smaller builds; here all of them, kept as lists without dominated boxes). Lists
are remembered for each set, so a set is extended one part at a time at the price of its new subsets only. A box
longer than half the bin is taken as long as no row of parts could use the difference.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from nesting.solve.enlarge import Lying
from nesting.solve.pattern import Pattern, Put, Split
from nesting.solve.stop import Stop

Box = tuple[int, int]
MOST_PARTS = 12
"""Sets of more parts are not decided: the number of their subsets doubles with each part."""
MOST_LISTS = 400_000
"""Lists remembered in one store, about 150 bytes each."""


@dataclass(frozen=True, slots=True)
class Held:
    """A set that can be cut, with key and boxes of each of its subsets by bit mask."""

    parts: tuple[int, ...]
    keys: list[int]
    lists: list[tuple[Box, ...]]


class Full(Exception):
    """The store is full or a set has too many parts: nothing can be said."""


class OutOfTime(Exception):
    """The search was stopped: it says nothing about what it did not see."""


class Boxes:
    """Boxes of all sets of parts met so far in one bin.

    ``lies`` must hold the true sides of the items; ``demands`` the copies that a set may have.
    """

    def __init__(self, lies: Lying, demands: Sequence[int]) -> None:
        self.length, self.width = lies.length, lies.width
        self.lies = lies
        self.unit = []
        at = 0
        for demand in demands:
            self.unit.append(1 << at)
            at += min(demand, MOST_PARTS).bit_length()
        self.memo: dict[int, tuple[Box, ...]] = {}
        self.singles: list[tuple[Box, ...]] = []
        for x, y, able in zip(lies.x.tolist(), lies.y.tolist(), lies.able.tolist(), strict=True):
            self.singles.append(tuple((x[way], y[way]) for way in (0, 1) if able[way]))
        self.start = Held((), [0], [()])
        self.stop: Stop | None = None

    def key(self, parts: Sequence[int]) -> int:
        """Return the key of a set of items."""
        return sum(self.unit[part] for part in parts)

    def extend(self, held: Held, part: int) -> Held | None:
        """Add one part to a set; ``None`` if the larger set cannot be cut from the bin.

        Raises :class:`Full` where that cannot be decided, :class:`OutOfTime` once ``stop`` is reached.
        """
        unit, memo = self.unit[part], self.memo
        if memo.get(held.keys[-1] + unit) == ():
            return None
        if len(held.parts) >= MOST_PARTS or len(memo) > MOST_LISTS:
            raise Full
        keys, lists = held.keys[:], held.lists[:]
        half = len(keys)
        for mask in range(half):
            key = keys[mask] + unit
            boxes = memo.get(key)
            if boxes is None:
                if self.stop is not None and self.stop.reached():
                    raise OutOfTime
                boxes = memo[key] = self._merged(keys, lists, mask, half) if mask else self.singles[part]
            if not boxes:
                memo[held.keys[-1] + unit] = ()
                return None
            keys.append(key)
            lists.append(boxes)
        return Held((*held.parts, part), keys, lists)

    def _merged(self, keys: list[int], lists: list[tuple[Box, ...]], mask: int, half: int) -> tuple[Box, ...]:
        """Merge all divisions of ``mask`` and the new part (bit ``half``), each once."""
        length, width = self.length, self.width
        best: dict[int, int] = {}
        seen = set()
        sub = mask
        while True:
            other = keys[sub]
            if other not in seen:
                seen.add(other)
                for w1, h1 in lists[half | (mask ^ sub)]:
                    for w2, h2 in lists[sub]:
                        w = w1 + w2
                        if w <= length:
                            h = h1 if h1 > h2 else h2
                            if best.get(w, width) >= h:
                                best[w] = h
                        h = h1 + h2
                        if h <= width:
                            w = w1 if w1 > w2 else w2
                            if best.get(w, width) >= h:
                                best[w] = h
            sub = (sub - 1) & mask
            if not sub:
                break
        kept: list[Box] = []
        lowest = width + 1
        for w in sorted(best):
            if best[w] < lowest:
                lowest = best[w]
                kept.append((w, lowest))
        return tuple(kept)

    def hold(self, parts: Sequence[int]) -> Held | None:
        """Return a set held with all its subsets, ``None`` if it cannot be cut from the bin."""
        held: Held | None = self.start
        for part in parts:
            held = self.extend(held, part) if held is not None else None
        return held

    def pattern(self, parts: Sequence[int]) -> Pattern:
        """Return a pattern that cuts a set from the bin; raises ``ValueError`` if there is none."""
        held = self.hold(parts)
        if held is None:
            raise ValueError("the set cannot be cut from the bin")
        return self.build(held)

    def build(self, held: Held) -> Pattern:
        """Return a pattern that cuts a held set from the bin."""
        return self._build(held, len(held.keys) - 1, self.length, self.width)

    def _build(self, held: Held, mask: int, length: int, width: int) -> Pattern:
        if mask & (mask - 1) == 0:
            return self._put(held.parts[mask.bit_length() - 1], length, width)
        sub = (mask - 1) & mask
        while sub:
            for w1, h1 in held.lists[sub]:
                for w2, h2 in held.lists[mask ^ sub]:
                    if w1 + w2 <= length and max(h1, h2) <= width:
                        low = self._build(held, sub, w1, width)
                        return Split("crosscut", w1, low, self._build(held, mask ^ sub, length - w1, width))
                    if h1 + h2 <= width and max(w1, w2) <= length:
                        low = self._build(held, sub, length, h1)
                        return Split("rip", h1, low, self._build(held, mask ^ sub, length, width - h1))
            sub = (sub - 1) & mask
        raise AssertionError("a set that was found to fit does not")

    def _put(self, part: int, length: int, width: int) -> Pattern:
        for way in (0, 1):
            x, y = int(self.lies.x[part, way]), int(self.lies.y[part, way])
            if self.lies.able[part, way] and x <= length and y <= width:
                pattern: Pattern = Put(part, bool(way))
                if y < width:
                    pattern = Split("rip", y, pattern, None)
                return Split("crosscut", x, pattern, None) if x < length else pattern
        raise AssertionError("a part that was found to fit does not")
