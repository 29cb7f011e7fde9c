"""From exact lengths to the integer grid: one thickness group becomes a :class:`Problem`.

The grid is the coarsest on which every side, the kerf and every blank lie exactly. Where that would leave
64-bit integers behind, a coarser grid is used on which parts are rounded up and stocks down: plans stay
valid, bounds stay bounds only of the rounded problem, and :attr:`Gridded.exact` says so.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import chain
from typing import Literal

from nesting.demand import Cleat, Group, Panel, SplicedRun, Stock
from nesting.solve.problem import Bar, Bin, BlankWidth, Item, Problem, Run, Ways
from nesting.solve.reachable import reachable
from nesting.trade.bevel import Bevel, Blank

FINEST = 2**29
"""No side may have more grid units than this, so that areas and sums of them fit in 64 bits."""


@dataclass(frozen=True, slots=True)
class Rules:
    """What the saw imposes on every layout of a group."""

    kerf: Fraction
    step: Fraction
    angle: Fraction
    first_cut: Literal["rip", "crosscut", "any"] = "any"
    max_stages: int | None = None


@dataclass(frozen=True, slots=True)
class Gridded:
    """A problem on the grid with the way back: which panel, cleat and blank each index stands for.

    Behind the cleats asked for come those of ``runs``, one for each height and length, wanted by no name of their own:
    the last ``spliced`` of them.
    """

    problem: Problem
    stocks: tuple[Stock, ...]
    panels: tuple[Panel, ...]
    cleats: tuple[Cleat, ...]
    blanks: tuple[tuple[Blank, ...], ...]
    rules: Rules
    scale: Fraction
    money: int
    exact: bool
    runs: tuple[SplicedRun, ...] = ()
    spliced: int = 0


def usable(stock: Stock) -> tuple[Fraction, Fraction]:
    """Return length and width of a stock between its edge trims."""
    return stock.length - 2 * stock.trim, stock.width - 2 * stock.trim


def ways_on(panel: Panel, stock: Stock) -> Ways:
    """Say whether a panel may lie (as it is, turned) on a stock, by face grain alone.

    >>> stock = Stock("ply", "sheet", Fraction(96), Fraction(48), Fraction(3, 4), Fraction(0), Fraction(60), None, True)
    >>> ways_on(Panel("back", Fraction(24), Fraction(9), 1, "width", False, frozenset({0})), stock)
    (False, True)
    """
    if not stock.grain or panel.grain == "any":
        return True, True
    return panel.grain == "length", panel.grain == "width"


def _blank_choices(bevel: Bevel, heights: tuple[Fraction, ...]) -> list[tuple[int, int | None, Blank]]:
    """Every pair of kinds once (the order that needs the narrower blank), and each kind alone."""
    choices: list[tuple[int, int | None, Blank]] = []
    for low in range(len(heights)):
        choices.append((low, None, bevel.lone(heights[low])))
        for high in range(low, len(heights)):
            one, other = bevel.pair(heights[low], heights[high]), bevel.pair(heights[high], heights[low])
            choices.append((low, high, one) if one.width <= other.width else (high, low, other))
    return choices


def _scale_of(values: Iterable[Fraction], largest: Fraction) -> tuple[Fraction, bool]:
    scale = Fraction(math.lcm(*(value.denominator for value in values)))
    if largest * scale <= FINEST:
        shared = math.gcd(*(int(value * scale) for value in values))
        return scale / max(1, shared), True
    return Fraction(FINEST) / largest, False


def put_on_grid(group: Group, rules: Rules) -> Gridded:
    """Translate one thickness group (fillers left out) into integers, everything inflated by the kerf.

    Identical panels of different names stay different items. Items that fit a stock by size, grain and
    thickness may lie there; all others may not. Runs that may be spliced alike count as copies of one; an alternative
    with a piece that can be cut from no stock is left out where there is another.
    """
    panels = tuple(panel for panel in group.panels if not panel.filler)
    spliced = _pieces_of_runs(group.runs)
    cleats = group.cleats + spliced
    heights = tuple(sorted({cleat.height for cleat in cleats}))
    choices = [
        _blank_choices(Bevel(stock.thickness, rules.kerf, rules.angle, rules.step), heights)
        if any(index in cleat.stocks for cleat in cleats)
        else []
        for index, stock in enumerate(group.stocks)
    ]
    sides = [rules.kerf]
    for stock in group.stocks:
        sides += [side + rules.kerf for side in usable(stock)]
    for panel in group.panels:
        sides += [panel.length + rules.kerf, panel.width + rules.kerf]
    sides += [cleat.length + rules.kerf for cleat in cleats]
    sides += [blank.width + rules.kerf for row in choices for _, _, blank in row]
    scale, exact = _scale_of(sides, max(sides))
    money = math.lcm(*(stock.price.denominator for stock in group.stocks))

    def up(side: Fraction) -> int:
        return math.ceil((side + rules.kerf) * scale)

    def down(side: Fraction) -> int:
        return math.floor((side + rules.kerf) * scale)

    bins = []
    for stock in group.stocks:
        length, width = usable(stock)
        bins.append(Bin(down(length), down(width), int(stock.price * money), stock.available))
    items = []
    for panel in panels:
        ways = tuple(
            ways_on(panel, stock) if index in panel.stocks else (False, False)
            for index, stock in enumerate(group.stocks)
        )
        items.append(fitting(Item(up(panel.length), up(panel.width), panel.quantity, ways), bins))
    bars = tuple(Bar(heights.index(cleat.height), up(cleat.length), cleat.quantity) for cleat in cleats)
    problem = Problem(
        tuple(bins),
        tuple(items),
        math.ceil(rules.kerf * scale),
        bars,
        tuple(tuple(BlankWidth(low, high, up(blank.width)) for low, high, blank in row) for row in choices),
        rules.first_cut,
        rules.max_stages,
    )
    problem = replace(problem, runs=_runs_of(problem, group.runs, cleats, len(group.cleats)))
    blanks = tuple(tuple(blank for _, _, blank in row) for row in choices)
    count = len(spliced)
    return Gridded(problem, group.stocks, panels, cleats, blanks, rules, scale, money, exact, group.runs, count)


def _pieces_of_runs(runs: Sequence[SplicedRun]) -> tuple[Cleat, ...]:
    """List a cleat for each height and length that some alternative of some run takes, the longest first."""
    found: dict[tuple[Fraction, Fraction], Cleat] = {}
    for run in _unlike(runs):
        for length in chain.from_iterable(run.alternatives):
            found.setdefault(
                (-run.height, -length), Cleat(f"a piece of {run.name}", run.kind, run.height, length, 0, run.stocks)
            )
    return tuple(found[key] for key in sorted(found))


def _unlike(runs: Sequence[SplicedRun]) -> list[SplicedRun]:
    """Return the first of the runs that share one and the same object of alternatives, as equal rows do."""
    return list({(id(run.alternatives), run.height): run for run in reversed(runs)}.values())[::-1]


def _runs_of(problem: Problem, runs: Sequence[SplicedRun], cleats: Sequence[Cleat], first: int) -> tuple[Run, ...]:
    """Return the runs of a problem, those that may be spliced alike as one; cleats from ``first`` on are theirs."""
    index = {(cleat.height, cleat.length): at for at, cleat in enumerate(cleats) if at >= first}
    there = [at >= first and reachable(problem, bar) for at, bar in enumerate(problem.bars)]
    alike = Counter((id(run.alternatives), run.height) for run in runs)
    counted: Counter[tuple[tuple[tuple[int, int], ...], ...]] = Counter()
    for run in _unlike(runs):
        bills = list(
            dict.fromkeys(
                tuple(sorted(Counter(index[run.height, length] for length in lengths).items()))
                for lengths in run.alternatives
            )
        )
        able = [bill for bill in bills if all(there[bar] for bar, _ in bill)]
        counted[tuple(able or bills)] += alike[id(run.alternatives), run.height]
    return tuple(Run(alternatives, copies) for alternatives, copies in counted.items())


def fitting(item: Item, bins: Sequence[Bin]) -> Item:
    """Drop the ways in which an item is larger than the bin."""
    ways = tuple(
        (
            as_is and item.length <= stock.length and item.width <= stock.width,
            turned and item.width <= stock.length and item.length <= stock.width,
        )
        for (as_is, turned), stock in zip(item.ways, bins, strict=True)
    )
    return Item(item.length, item.width, item.demand, ways)
