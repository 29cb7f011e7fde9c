"""Choices of stock: counts of bins that cost less than the best plan and could hold all parts, each tried by itself.

Where several stocks compete on price, a search that chooses stocks as it goes seldom meets the one set of them that
just holds the job. Here a set is given: its bins cost nothing, what does not fit lies in others, and the search
lowers the area of those until there are none. It sees then how far it is from a plan, which prices alone hide.
"""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Sequence
from dataclasses import dataclass, replace

from nesting.solve.cover import Need
from nesting.solve.pattern import Plan
from nesting.solve.problem import Bin, Item, Problem, Ways

MOST = 5_000
"""Most counts looked at."""
FULL = 0.985
"""Fill above which a choice is not tried: none of the shop jobs' plans is as full."""
NEXT = 0.5
"""Chance to pass on to the next choice, from the one that would be filled least."""
WHOLE = 1000
"""What the largest bin costs where it holds what did not fit; others by their area."""
SHARES = ((1, 2), (2, 1), (2, 2), (3, 3), (4, 4), (6, 6))
"""Where there is one stock, further bins for what did not fit, as shares of its sides: so that a little less counts."""


@dataclass(frozen=True, slots=True)
class Choice:
    """Counts of bins, what they cost together, and the share of them that some need fills at least."""

    counts: tuple[int, ...]
    cost: int
    fill: float


def choices(problem: Problem, needs: Sequence[Need], below: int) -> list[Choice]:
    """List the counts of bins that cost less than ``below`` and meet all needs, the least filled first.

    Of those nearly as full the cheapest comes first. Bins that cost nothing are all taken. Nothing where there are too
    many counts.

    >>> bins = (Bin(96, 48, 60), Bin(48, 48, 35))
    >>> [choice.counts for choice in choices(Problem(bins, ()), [Need((2, 1), 3, "area")], 121)]
    [(2, 0), (1, 1), (0, 3)]
    """
    bins = problem.bins
    if any(not stock.cost and stock.limit is None for stock in bins):
        return []
    ranges = []
    for stock in bins:
        most = (below - 1) // stock.cost if stock.cost else stock.limit or 0
        most = most if stock.limit is None else min(most, stock.limit)
        ranges.append(range(most if not stock.cost else 0, most + 1))
    if math.prod(map(len, ranges)) > MOST:
        return []
    found = []
    for counts in itertools.product(*ranges):
        cost = sum(count * stock.cost for count, stock in zip(counts, bins, strict=True))
        if cost >= below:
            continue
        fill = max((_fill(need, counts) for need in needs), default=0.0)
        if fill <= 1.0:
            found.append(Choice(counts, cost, fill))
    return sorted(found, key=lambda choice: (round(choice.fill, 2), choice.cost, choice.counts))


def _fill(need: Need, counts: Sequence[int]) -> float:
    """Return what share of its offers a need asks of counts of bins; more than 1 where they are too few."""
    offered = sum(count * offer for count, offer in zip(counts, need.offers, strict=True))
    if offered < need.asked:
        return 2.0
    return need.asked / offered if offered else 0.0


def drawn(listed: Sequence[Choice], seed: int) -> Choice | None:
    """Draw a choice worth trying, sooner one that would be less full; the same seed draws the same."""
    able = [choice for choice in listed if choice.fill < FULL]
    rng, at = random.Random(seed), 0
    while at + 1 < len(able) and rng.random() < NEXT:
        at += 1
    return able[at] if able else None


@dataclass(frozen=True, slots=True)
class Narrowed:
    """A problem with the bins of one choice for nothing and others for what does not fit; where each bin comes from."""

    problem: Problem
    source: tuple[int, ...]
    own: int

    def plan(self, plan: Plan) -> Plan | None:
        """Return a plan in the bins they come from, ``None`` where something lies outside the choice."""
        if any(sheet.bin >= self.own for sheet in plan):
            return None
        return tuple(replace(sheet, bin=self.source[sheet.bin]) for sheet in plan)


def narrowed(problem: Problem, choice: Choice) -> Narrowed:
    """Return the problem of fitting everything into the bins of a choice.

    ``problem`` is one without bars.

    >>> problem = Problem((Bin(96, 48, 60), Bin(48, 48, 35)), ())
    >>> narrowed(problem, Choice((0, 3), 105, 1.0)).problem.bins[:3]
    (Bin(length=48, width=48, cost=0, limit=3), Bin(length=96, width=48, cost=1000, limit=None), \
Bin(length=48, width=48, cost=500, limit=None))
    """
    bins, own = problem.bins, [b for b, count in enumerate(choice.counts) if count]
    largest = max(range(len(bins)), key=lambda b: bins[b].length * bins[b].width)
    length, width = bins[largest].length, bins[largest].width
    outside = [(b, stock.length, stock.width) for b, stock in enumerate(bins)]
    outside += [(largest, -(-length // x), -(-width // y)) for x, y in (SHARES if len(bins) == 1 else ())]
    every = [Bin(bins[b].length, bins[b].width, 0, choice.counts[b]) for b in own]
    every += [Bin(x, y, max(1, WHOLE * x * y // (length * width))) for _, x, y in outside]
    source = (*own, *(b for b, _, _ in outside))
    items = tuple(replace(item, ways=_ways(item, every, source)) for item in problem.items)
    return Narrowed(replace(problem, bins=tuple(every), items=items), source, len(own))


def _ways(item: Item, bins: Sequence[Bin], source: Sequence[int]) -> tuple[Ways, ...]:
    """Return the ways in which an item lies in each bin: those of the stock it comes from, where it fits."""
    sides = ((item.length, item.width), (item.width, item.length))
    found = []
    for stock, b in zip(bins, source, strict=True):
        straight, turned = (
            able and x <= stock.length and y <= stock.width for able, (x, y) in zip(item.ways[b], sides, strict=True)
        )
        found.append((straight, turned))
    return tuple(found)
