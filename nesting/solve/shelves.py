"""Shelves: a first plan at once where stages are limited, for jobs of any number of pieces.

Strips across a bin, each as high as the first piece in it, filled in order of decreasing height, first fit (Coffman,
Garey, Johnson & Tarjan 1980, "Performance bounds for level-oriented two-dimensional packing algorithms", from memory).
A strip is cut off, then its pieces, then what they lack of its height: three stages; two where all in it are as high.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, field

from nesting.solve.columns import cost_of
from nesting.solve.enlarge import fitted
from nesting.solve.knapsack import trimmed
from nesting.solve.pattern import OTHER, Cut, Pattern, Plan, Put, Sheet, Split, in_turn
from nesting.solve.problem import Problem

NOISES, FLIPS, TIGHT = (0.0, 0.02, 0.05, 0.1), (0.0, 0.0, 0.1, 0.3), 0.5
SPACIOUS = (1.2, 1.05, 1.5, 3.0)
"""What is drawn for each plan: the deviation of heights in the order, the share of pieces that lie as high as they can,
the chance to fill shelves best instead of first, and how much of a bin's room counts when the next is chosen by its
price: so many times the area that the pieces still waiting have."""


@dataclass(slots=True)
class _Shelf:
    """A strip: its height, the room left along it, and its pieces with their sides along and across."""

    high: int
    room: int
    alone: bool
    pieces: list[tuple[int, int, Put]] = field(default_factory=list)


@dataclass(slots=True)
class _Open:
    """A bin in use: its kind, the height left, and its shelves."""

    kind: int
    room: int
    shelves: list[_Shelf] = field(default_factory=list)


def shelved(problem: Problem, seed: int = 0) -> Plan | None:
    """Return a plan of shelves within the limits on stages and on the first cut; ``None`` where there is none.

    ``problem`` is one without bars; blanks among its items have a strip to themselves, cut off by a rip, so that the
    bevel rip and the crosscuts of the bars are still in the first two stages. Seed 0 lays pieces as low as they can lie
    and takes the first shelf with room; others draw how some lie, disturb the order and may take the shelf that is
    filled best.

    >>> from nesting.solve.problem import Bin, Item
    >>> items = (Item(5, 4, 3, ((True, False),)), Item(4, 2, 1, ((True, False),)))
    >>> job = Problem((Bin(10, 10, 1),), items, max_stages=2)
    >>> [len(shelved(job)), shelved(job)[0].pattern.at]
    [1, 4]
    """
    if problem.max_stages is not None and problem.max_stages < 2:
        return None
    problem = fitted(problem)
    cuts: list[Cut] = ["rip", "crosscut"]
    blanks = any(item.demand and item.blank for item in problem.items)
    able = [cut for cut in cuts if problem.first_cut in ("any", cut) and (cut == "rip" or not blanks)]
    plans = [plan for cut in able if (plan := _filled(problem, cut, random.Random(seed), drawn=bool(seed)))]
    return min(plans, key=lambda plan: cost_of(problem, plan), default=None)


def _filled(problem: Problem, cut: Cut, rng: random.Random, *, drawn: bool) -> Plan | None:
    """Fill shelves cut off in one direction."""
    along, across = (0, 1) if cut == "rip" else (1, 0)
    sides = [(stock.length, stock.width) for stock in problem.bins]
    room = [length * width for length, width in sides]
    equal = problem.max_stages == 2  # no stage is left to bring a piece to its height
    opened: list[_Open] = []
    noise, flips, tight = (rng.choice(NOISES), rng.choice(FLIPS), rng.random() < TIGHT) if drawn else (0.0, 0.0, False)
    upright = [rng.random() < flips for _ in problem.items]

    def lies(index: int, kind: int) -> list[tuple[int, int, Put]]:
        """Return how an item may lie in a bin, the lowest first."""
        item, found = problem.items[index], []
        for turned, able in enumerate(item.ways[kind]):
            own = (item.width, item.length) if turned else (item.length, item.width)
            if able:
                found.append((own[along], own[across], Put(index, bool(turned))))
        return sorted(found, key=lambda way: way[1], reverse=upright[index])

    def height(index: int) -> tuple[float, int]:
        ways = [way for kind in range(len(sides)) for way in lies(index, kind)[:1]]
        high, long = max(((high, long) for long, high, _ in ways), default=(0, 0))
        return -high * rng.lognormvariate(0.0, noise), -long

    def put(index: int, copies: int) -> int:
        """Put copies on shelves and open new ones; return how many found no place."""
        blank = problem.items[index].blank
        for place in opened:
            for long, high, leaf in lies(index, place.kind):
                shelves = sorted(place.shelves, key=lambda shelf: shelf.room % long) if tight else place.shelves
                for shelf in shelves:
                    fits = high == shelf.high if equal else high <= shelf.high
                    if blank or shelf.alone or not fits:
                        continue
                    some = min(copies, shelf.room // long)
                    shelf.pieces += [(long, high, leaf)] * some
                    shelf.room -= some * long
                    copies -= some
                while copies and high <= place.room:
                    some = 1 if blank else min(copies, sides[place.kind][along] // long)
                    behind = sides[place.kind][along] - some * long
                    place.shelves.append(_Shelf(high, behind, blank, [(long, high, leaf)] * some))
                    place.room -= high
                    copies -= some
        return copies

    areas = [item.length * item.width for item in problem.items]
    waiting = sum(area * item.demand for area, item in zip(areas, problem.items, strict=True))
    spacious = rng.choice(SPACIOUS) if drawn else SPACIOUS[0]
    for index in sorted(range(len(problem.items)), key=height):
        copies = problem.items[index].demand
        while copies:
            left = put(index, copies)
            if left == copies:
                used = [sum(place.kind == kind for place in opened) for kind in range(len(sides))]
                free = [
                    kind
                    for kind, stock in enumerate(problem.bins)
                    if lies(index, kind) and (stock.limit is None or used[kind] < stock.limit)
                ]
                if not free:
                    return None
                best = min(free, key=lambda kind: problem.bins[kind].cost / min(room[kind], spacious * waiting))
                opened.append(_Open(best, sides[best][across]))
            waiting -= areas[index] * (copies - left)
            copies = left
    plan = tuple(Sheet(place.kind, _pattern(place, cut, sides[place.kind])) for place in opened)
    if problem.first_cut == "any" or all(isinstance(s.pattern, Split) and s.pattern.cut == cut for s in plan):
        return plan
    return None


def _pattern(place: _Open, cut: Cut, sides: tuple[int, int]) -> Pattern:
    """Return how a bin is cut into its shelves."""
    long, wide = sides if cut == "rip" else (sides[1], sides[0])

    def piece(x: int, y: int, leaf: Put, high: int) -> Pattern:
        return trimmed(leaf, x, y, x, high) if cut == "rip" else trimmed(leaf, y, x, high, x)

    def strip(shelf: _Shelf) -> Pattern:
        if shelf.alone:
            return shelf.pieces[0][2]  # a blank's strip goes to the end of the sheet, whatever its bars leave of it
        cells = [piece(x, y, leaf, shelf.high) for x, y, leaf in shelf.pieces]
        return in_turn(OTHER[cut], [x for x, _, _ in shelf.pieces], cells, long)

    return in_turn(cut, [shelf.high for shelf in place.shelves], [strip(shelf) for shelf in place.shelves], wide)
