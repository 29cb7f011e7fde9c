"""Boxes of part sets under a limit on stages or on the direction of the first cut.

For each set, each number of stages left and each direction of the next cut there is a list of boxes. A stage is a
set of parallel cuts, and every cut counts, trimming included (the exact case of Gilmore & Gomory 1965). So with
one stage left the parts of a strip all have the strip's own breadth; with more, what is too broad is trimmed in the
next stage.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from nesting.solve.boxes import Box, Boxes, Held
from nesting.solve.enlarge import Lying
from nesting.solve.pattern import OTHER, Cut, Pattern, Put, Split

CUTS: tuple[Cut, Cut] = ("rip", "crosscut")
Level = dict[Cut, tuple[Box, ...]]


class StagedBoxes(Boxes):
    """Like :class:`Boxes`, for at most ``stages`` stages (``None``: any number) after a first cut ``first``."""

    def __init__(
        self,
        lies: Lying,
        demands: Sequence[int],
        first: Literal["rip", "crosscut", "any"],
        stages: int | None,
    ) -> None:
        super().__init__(lies, demands)
        self.firsts: tuple[Cut, ...] = CUTS if first == "any" else (first,)
        self.stages = stages
        self.levels: dict[int, list[Level]] = {}
        self.able: dict[int, bool] = {}

    def extend(self, held: Held, part: int) -> Held | None:
        """Add one part to a set; ``None`` if the larger set cannot be cut from the bin under the limits."""
        larger = super().extend(held, part)
        if larger is None:
            return None
        for mask in range(len(held.keys), len(larger.keys)):
            key = larger.keys[mask]
            if key not in self.able:
                self.able[key] = self._root(larger, mask) is not None
            if not self.able[key]:
                return None
        return larger

    def build(self, held: Held) -> Pattern:
        """Return a pattern within the limits that cuts a set from the bin."""
        root = self._root(held, len(held.keys) - 1)
        if root is None:
            raise ValueError("the set cannot be cut from the bin within the limits")
        return root[0]

    def _root(self, held: Held, mask: int) -> tuple[Pattern] | None:
        if mask & (mask - 1) == 0:
            part = held.parts[mask.bit_length() - 1]
            if (self.length, self.width) in self.singles[part]:
                return (self._exact(part, self.length, self.width),)
        for cut in self.firsts:
            if self.stages is None:
                found = self._first(held, mask, cut)
                if found is not None:
                    return found
            elif self.stages > 0:
                found = self._first_stage(held, mask, cut, self.stages)
                if found is not None:
                    return found
        return None

    def _first(self, held: Held, mask: int, cut: Cut) -> tuple[Pattern] | None:
        """Find a pattern of any depth whose first cut has the direction asked for."""
        length, width = self.length, self.width
        for w, h in held.lists[mask]:
            if cut == "rip" and h < width:
                return (Split(cut, h, self._build(held, mask, length, h), None),)
            if cut == "crosscut" and w < length:
                return (Split(cut, w, self._build(held, mask, w, width), None),)
        sub = (mask - 1) & mask
        while sub:
            for w1, h1 in held.lists[sub]:
                for w2, h2 in held.lists[mask ^ sub]:
                    if cut == "rip" and h1 + h2 <= width:
                        low = self._build(held, sub, length, h1)
                        return (Split(cut, h1, low, self._build(held, mask ^ sub, length, width - h1)),)
                    if cut == "crosscut" and w1 + w2 <= length:
                        low = self._build(held, sub, w1, width)
                        return (Split(cut, w1, low, self._build(held, mask ^ sub, length - w1, width)),)
            sub = (sub - 1) & mask
        return None

    def _first_stage(self, held: Held, mask: int, cut: Cut, stages: int) -> tuple[Pattern] | None:
        """Find a pattern of so many stages that has at least one cut in its first."""
        space = (self.length, self.width)
        along, across = (1, 0) if cut == "rip" else (0, 1)
        for w1, h1, w2, h2, sub in self._pairs(held, mask, cut, stages):
            box = (max(w1, w2), h1 + h2) if cut == "rip" else (w1 + w2, max(h1, h2))
            if box[along] > space[along] or box[across] > space[across]:
                continue
            if stages > 1 or box[across] == space[across]:
                return (self._halved(held, mask, cut, stages, ((w1, h1), (w2, h2), sub), space),)
        for box in self._level(held, mask, stages)[cut]:
            if box[along] < space[along] and (stages > 1 or box[across] == space[across]):
                return (self._cut(held, mask, cut, stages, box, space),)
        return None

    # -- levels: lists of boxes by stages left and direction

    def _level(self, held: Held, mask: int, stages: int) -> Level:
        known = self.levels.setdefault(held.keys[mask], [])
        while len(known) < stages:
            level = len(known) + 1
            known.append({cut: self._boxes(held, mask, cut, level) for cut in CUTS})
        return known[stages - 1]

    def _strips(self, held: Held, mask: int, cut: Cut, stages: int) -> tuple[Box, ...]:
        """List boxes of a set as one strip of a stage in direction ``cut``: what the later stages can make."""
        if stages > 1:
            return self._level(held, mask, stages - 1)[OTHER[cut]]
        return self.singles[held.parts[mask.bit_length() - 1]] if mask & (mask - 1) == 0 else ()

    def _boxes(self, held: Held, mask: int, cut: Cut, stages: int) -> tuple[Box, ...]:
        found = set(self._strips(held, mask, cut, stages))
        for w1, h1, w2, h2, _ in self._pairs(held, mask, cut, stages):
            box = (max(w1, w2), h1 + h2) if cut == "rip" else (w1 + w2, max(h1, h2))
            if box[0] <= self.length and box[1] <= self.width:
                found.add(box)
        return tuple(
            box for box in sorted(found) if not any(other != box and _beats(other, box, cut, stages) for other in found)
        )

    def _pairs(self, held: Held, mask: int, cut: Cut, stages: int) -> list[tuple[int, int, int, int, int]]:
        """List a strip's box, the box of what lies beside it in the same stage, and the strip's mask."""
        pairs = []
        sub = (mask - 1) & mask
        while sub:
            for w1, h1 in self._strips(held, sub, cut, stages):
                for w2, h2 in self._level(held, mask ^ sub, stages)[cut]:
                    same = w1 == w2 if cut == "rip" else h1 == h2
                    if stages > 1 or same:
                        pairs.append((w1, h1, w2, h2, sub))
            sub = (sub - 1) & mask
        return pairs

    def _cut(self, held: Held, mask: int, cut: Cut, stages: int, box: Box, space: Box) -> Pattern:
        """Cut a set out of a space by stages, the first in direction ``cut``; ``box`` is in the list and fits."""
        if not stages:
            return self._exact(held.parts[mask.bit_length() - 1], *space)
        along = 1 if cut == "rip" else 0
        if box in self._strips(held, mask, cut, stages):
            if space[along] == box[along]:
                return self._cut(held, mask, OTHER[cut], stages - 1, box, space)
            near = (space[0], box[1]) if along else (box[0], space[1])
            return Split(cut, box[along], self._cut(held, mask, OTHER[cut], stages - 1, box, near), None)
        for w1, h1, w2, h2, sub in self._pairs(held, mask, cut, stages):
            if box != ((max(w1, w2), h1 + h2) if along else (w1 + w2, max(h1, h2))):
                continue
            return self._halved(held, mask, cut, stages, ((w1, h1), (w2, h2), sub), space)
        raise AssertionError("a set that was found to fit does not")

    def _halved(self, held: Held, mask: int, cut: Cut, stages: int, pair: tuple[Box, Box, int], space: Box) -> Pattern:
        """Cut a strip, the low side, from what lies beside it in the same stage."""
        strip, rest, sub = pair
        along = 1 if cut == "rip" else 0
        at = strip[along]
        near = (space[0], at) if along else (at, space[1])
        far = (space[0], space[1] - at) if along else (space[0] - at, space[1])
        low = self._cut(held, sub, OTHER[cut], stages - 1, strip, near)
        return Split(cut, at, low, self._cut(held, mask ^ sub, cut, stages, rest, far))

    def _exact(self, part: int, length: int, width: int) -> Pattern:
        way = next(
            way
            for way in (0, 1)
            if self.lies.able[part, way]
            and (int(self.lies.x[part, way]), int(self.lies.y[part, way])) == (length, width)
        )
        return Put(part, bool(way))


def _beats(one: Box, other: Box, cut: Cut, stages: int) -> bool:
    """Whether a box makes another superfluous: never larger, and with one stage left just as broad."""
    if one[0] > other[0] or one[1] > other[1]:
        return False
    return stages > 1 or (one[0] == other[0] if cut == "rip" else one[1] == other[1])
