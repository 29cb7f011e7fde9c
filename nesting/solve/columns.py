"""Columns: patterns with what they yield, pooled so that each content of each bin is kept once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from nesting.solve.pattern import Pattern, Plan, Put, Sheet, Split, Strip, contents
from nesting.solve.problem import Problem


@dataclass(frozen=True, slots=True)
class Column:
    """A pattern of one bin and how many of each item and bar it yields."""

    bin: int
    pattern: Pattern
    items: tuple[tuple[int, int], ...]
    bars: tuple[tuple[int, int], ...]


Amounts = tuple[tuple[float, Column], ...]
"""How often each column is taken by a linear program, those not taken left out."""


def column_of(bin_index: int, pattern: Pattern) -> Column:
    """Return the column of a pattern.

    >>> column_of(0, Put(3)).items
    ((3, 1),)
    """
    items, bars = contents(pattern)
    return Column(bin_index, pattern, tuple(sorted(items.items())), tuple(sorted(bars.items())))


@dataclass(slots=True)
class Pool:
    """Columns seen so far, one for each bin and content; at most ``room`` of them, the first come kept."""

    room: int = 20_000
    columns: dict[tuple[int, tuple[tuple[int, int], ...], tuple[tuple[int, int], ...]], Column] = field(
        default_factory=dict
    )

    def add(self, bin_index: int, pattern: Pattern) -> bool:
        """Keep a pattern unless its content is known; return whether it was new."""
        column = column_of(bin_index, pattern)
        key = (bin_index, column.items, column.bars)
        if key in self.columns or len(self.columns) >= self.room or not (column.items or column.bars):
            return False
        self.columns[key] = column
        return True

    def add_plan(self, plan: Plan) -> None:
        """Keep every sheet of a plan."""
        for sheet in plan:
            self.add(sheet.bin, sheet.pattern)

    def __iter__(self) -> Iterator[Column]:
        """Iterate over the columns in the order they came."""
        return iter(self.columns.values())


def without_surplus(problem: Problem, plan: Plan) -> Plan:
    """Drop what a plan makes beyond the demands, last sheets first, and sheets that nothing is left of."""
    spare_items = Counter({i: -item.demand for i, item in enumerate(problem.items)})
    spare_bars = Counter({i: -bar.demand for i, bar in enumerate(problem.bars)})
    for sheet in plan:
        items, bars = contents(sheet.pattern)
        spare_items.update(items)
        spare_bars.update(bars)
    kept = []
    for sheet in reversed(plan):
        pattern = _thinned(sheet.pattern, spare_items, spare_bars)
        if pattern is not None:
            kept.append(Sheet(sheet.bin, pattern))
    return tuple(reversed(kept))


def _thinned(pattern: Pattern, items: Counter[int], bars: Counter[int]) -> Pattern:
    if pattern is None:
        return None
    if isinstance(pattern, Split):
        high = _thinned(pattern.high, items, bars)
        low = _thinned(pattern.low, items, bars)
        return None if low is None and high is None else Split(pattern.cut, pattern.at, low, high)
    if isinstance(pattern, Put):
        if items[pattern.item] > 0:
            items[pattern.item] -= 1
            return None
        return pattern
    low_bar = _thinned_bar(pattern.low, bars)
    high_bar = None if pattern.high is None else _thinned_bar(pattern.high, bars)
    return Strip(pattern.blank, low_bar, high_bar) if low_bar or high_bar else None


def _thinned_bar(bar: tuple[int, ...], spare: Counter[int]) -> tuple[int, ...]:
    kept = []
    for index in bar:
        if spare[index] > 0:
            spare[index] -= 1
        else:
            kept.append(index)
    return tuple(kept)


def thinned_to_demand(problem: Problem, pattern: Pattern) -> Pattern:
    """Return a pattern without what goes beyond the demands of the whole job."""
    items, bars = contents(pattern)
    spare_items = Counter({i: n - problem.items[i].demand for i, n in items.items()})
    spare_bars = Counter({i: n - problem.bars[i].demand for i, n in bars.items()})
    return _thinned(pattern, spare_items, spare_bars)


def cost_of(problem: Problem, plan: Plan) -> int:
    """Total cost of a plan's bins."""
    return sum(problem.bins[sheet.bin].cost for sheet in plan)


def keeps_limits(problem: Problem, plan: Plan) -> bool:
    """Whether a plan uses no more of any bin than there are."""
    used: Mapping[int, int] = Counter(sheet.bin for sheet in plan)
    return all(stock.limit is None or used.get(b, 0) <= stock.limit for b, stock in enumerate(problem.bins))


def remaining(problem: Problem, plan: Sequence[Sheet]) -> Problem:
    """Return what a partial plan leaves to be made, from the bins it leaves."""
    items: Counter[int] = Counter()
    bars: Counter[int] = Counter()
    for sheet in plan:
        here = contents(sheet.pattern)
        items.update(here[0])
        bars.update(here[1])
    used = Counter(sheet.bin for sheet in plan)
    return replace(
        problem,
        items=tuple(replace(item, demand=max(0, item.demand - items[i])) for i, item in enumerate(problem.items)),
        bars=tuple(replace(bar, demand=max(0, bar.demand - bars[i])) for i, bar in enumerate(problem.bars)),
        bins=tuple(
            stock if stock.limit is None else replace(stock, limit=max(0, stock.limit - used[b]))
            for b, stock in enumerate(problem.bins)
        ),
    )
