"""The hanging of holders in whole numbers: every choice of a row with its span, its costs, and what overlaps.

x is counted in marks so fine that no width and no end of a span is rounded, where that is possible; else spans are
rounded inward and widths outward on marks of 1/32 in (0.5 mm). Heights only matter by their order, so each is its rank.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import lcm
from typing import Final

from nesting.lengths import Unit
from nesting.wall.built import Built
from nesting.wall.places import Place
from nesting.wall.wishes import off

FINEST: Final = 1 << 24
"""Marks along the wall that the search handles; beyond them lengths are rounded."""


@dataclass(frozen=True, slots=True)
class Choice:
    """One place of a kind of holder: its left edge from ``low`` to ``high`` marks, the ranks of foot and room above.

    ``miss`` is how far its zone is missed, ``spacer`` whether it needs one, ``heavy`` its load times its height,
    ``far`` how far a holder without a wish hangs from what is within reach.
    """

    place: Place
    low: int
    high: int
    foot: int
    above: int
    miss: int
    spacer: bool
    heavy: int
    far: int


@dataclass(frozen=True, slots=True)
class Kind:
    """One holder with its copies; ``width`` in marks, ``load`` in tenths, rounded up."""

    built: int
    copies: int
    width: int
    load: int
    choices: tuple[Choice, ...]


@dataclass(frozen=True, slots=True)
class Task:
    """All holders that have a place at all; ``mark`` is the length of one mark."""

    kinds: tuple[Kind, ...]
    mark: Fraction

    @property
    def copies(self) -> int:
        """Copies of all kinds together."""
        return sum(kind.copies for kind in self.kinds)


@dataclass(frozen=True, slots=True)
class Spot:
    """Where one copy hangs: kind and choice by number, left edge in marks."""

    kind: int
    choice: int
    x: int


def task(built: Sequence[Built], free: Sequence[Sequence[Place]], floor: Fraction, unit: Unit) -> Task:
    """Return the task for holders and the places each may have; ``floor`` is the floor gap."""
    ends = [end for places in free for place in places for end in (place.low, place.high)]
    widths = [holder.width for holder in built]
    parts = lcm(*(length.denominator for length in (*ends, *widths)))
    usual = Fraction(1, 32) if unit == "in" else Fraction(1, 2)
    exact = max(ends, default=Fraction(0)) * parts <= FINEST
    mark = Fraction(1, parts) if exact else usual
    levels = sorted(
        {level for holder, places in zip(built, free, strict=True) for p in places for level in _levels(p, holder)}
    )
    rank = {level: n for n, level in enumerate(levels)}
    kinds = []
    for number, (holder, places) in enumerate(zip(built, free, strict=True)):
        choices = []
        for place in places:
            low, high = -(-place.low // mark), place.high // mark
            if low <= high:
                foot, above = (rank[level] for level in _levels(place, holder))
                choices.append(Choice(place, low, high, foot, above, *_costs(holder, place, floor, unit)))
        if choices:
            width = -(-holder.width // mark)
            load = int(-(-holder.holder.load * 10 // 1))
            kinds.append(Kind(number, holder.holder.quantity, width, load, tuple(choices)))
    return Task(tuple(kinds), mark)


def _levels(place: Place, holder: Built) -> tuple[Fraction, Fraction]:
    return place.bottom, place.top + holder.lift


def _costs(holder: Built, place: Place, floor: Fraction, unit: Unit) -> tuple[int, bool, int, int]:
    middle, asked = floor + (place.bottom + place.top) / 2, holder.holder
    fine = 4 if unit == "in" else Fraction(4, 25)  # quarters of an inch tell any two rows apart
    miss = 0 if asked.zone is None else -(-off(asked.zone, middle, unit) * fine // 1)
    far = 0 if asked.zone is not None or asked.load else -(-off("reach", middle, unit) * fine // 1)
    return int(miss), place.foot == "spacer", int(asked.load * middle * fine), int(far)


def costs(task: Task, spots: Sequence[Spot]) -> tuple[int, ...]:
    """Return what a hanging costs, wish by wish: the lesser tuple is the better hanging.

    Copies left out; zones missed; spacers; the most load on any row; heavy things high; things without a wish out of
    reach; left edges.
    """
    picked = [task.kinds[spot.kind].choices[spot.choice] for spot in spots]
    rows: dict[int, int] = {}
    for spot, choice in zip(spots, picked, strict=True):
        rows[choice.place.row] = rows.get(choice.place.row, 0) + task.kinds[spot.kind].load
    return (
        task.copies - len(spots),
        sum(choice.miss for choice in picked),
        sum(choice.spacer for choice in picked),
        max(rows.values(), default=0),
        sum(choice.heavy for choice in picked),
        sum(choice.far for choice in picked),
        sum(spot.x for spot in spots),
    )
