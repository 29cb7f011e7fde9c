"""Bars: how cleats are gathered into bevel blanks, and what blanks are worth at least.

A blank is bevel-ripped into two bars and each bar is crosscut by itself, so its halves may hold different
lengths and heights. The packing search knows only rectangles; here cleats become blanks before it (a
composition, drawn anew as often as one likes) and strips after it. For bounds, cleats become rectangles
of a width that no blank can undercut.
"""

from __future__ import annotations

import random
from bisect import insort
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from nesting.solve.pattern import Pattern, Plan, Put, Sheet, Split, Strip
from nesting.solve.problem import Bin, BlankWidth, Item, Problem, Run


@dataclass(frozen=True, slots=True)
class Content:
    """What a blank yields: the kinds of its bars and the cleats of each, in order along x.

    Stocks of other measured thickness need other widths; ``width`` (None: the widest) says which the blank has, and
    so which stocks it suits.
    """

    low_kind: int
    high_kind: int | None
    low: tuple[int, ...]
    high: tuple[int, ...] | None
    width: int | None = None


@dataclass(frozen=True, slots=True)
class Composition:
    """A problem without bars: its last items are blanks, ``contents[i]`` is item ``first + i``."""

    problem: Problem
    first: int
    contents: tuple[Content, ...]


def narrowest(problem: Problem) -> dict[tuple[int, int | None], int]:
    """Return the least inflated blank width over the bins it fits for each pair of kinds, smaller kind first.

    >>> from nesting.solve.problem import Bin, Bar, BlankWidth
    >>> rows = ((BlankWidth(0, None, 4), BlankWidth(0, 0, 6)), (BlankWidth(0, 0, 7),))
    >>> bins = (Bin(96, 48, 1), Bin(96, 48, 1))
    >>> narrowest(Problem(bins, (), 1, (Bar(0, 20, 2),), rows))
    {(0, None): 4, (0, 0): 6}
    """
    widths: dict[tuple[int, int | None], int] = {}
    for stock, row in zip(problem.bins, problem.blanks, strict=True):
        for blank in row:
            if blank.width <= stock.width:
                key = kind_pair(blank.low, blank.high)
                widths[key] = min(blank.width, widths.get(key, blank.width))
    return widths


def widths_of(problem: Problem, key: tuple[int, int | None], length: int = 0) -> tuple[int, ...]:
    """Return the different widths of blanks of two kinds, over the bins that take one so long, narrowest first."""
    found = {
        blank.width
        for stock, row in zip(problem.bins, problem.blanks, strict=True)
        for blank in row
        if kind_pair(blank.low, blank.high) == key and blank.width <= stock.width and length <= stock.length
    }
    return tuple(sorted(found))


def kind_pair(low: int, high: int | None) -> tuple[int, int | None]:
    """Return two kinds in order, the key by which blanks of them are known."""
    return (low, None) if high is None else (min(low, high), max(low, high))


def relaxed(problem: Problem) -> Problem:
    """Return a problem of rectangles whose every bound holds for the problem with bars.

    Widths are doubled so that half a blank lies on the grid; a cleat of kind i becomes a rectangle of
    doubled width e_i with e_i + e_j <= 2 W_ij for every pair and e_i <= 2 W_i alone. Any layout of
    blanks holds these rectangles where the bars lie, so what bounds them bounds the bars. Runs stay runs, now of
    rectangles: a plan chooses one alternative for each, and holds the rectangles of what it chose.
    """
    if not problem.bars:
        return problem
    widths = narrowest(problem)
    kinds = sorted({bar.kind for bar in problem.bars})
    share: dict[int, int] = {}
    for kind in kinds:
        alone = [2 * widths[kind, None]] if (kind, None) in widths else []
        paired = [widths[kind, kind]] if (kind, kind) in widths else []
        mixed = [
            2 * widths[kind_pair(kind, other)] - share[other] for other in share if kind_pair(kind, other) in widths
        ]
        share[kind] = max(0, min(alone + paired + mixed, default=0))
    bins = tuple(replace(stock, width=2 * stock.width) for stock in problem.bins)
    can = tuple(bool(row) for row in problem.blanks)
    items = [replace(item, width=2 * item.width) for item in problem.items]
    for bar in problem.bars if problem.runs else [bar for bar in problem.bars if bar.demand]:
        ways = tuple(
            (able and bar.length <= stock.length, False) for able, stock in zip(can, problem.bins, strict=True)
        )
        items.append(Item(bar.length, share[bar.kind], bar.demand, ways))
    own = len(problem.items)
    runs = tuple(
        Run(tuple(tuple((own + bar, copies) for bar, copies in taken) for taken in run.alternatives), run.copies)
        for run in problem.runs
    )
    return _turnable(Problem(bins, tuple(items), 0, (), (), problem.first_cut, problem.max_stages, runs))


def _turnable(problem: Problem) -> Problem:
    """Put x on the doubled grid too, so that a quarter turn keeps its meaning."""
    bins = tuple(replace(stock, length=2 * stock.length) for stock in problem.bins)
    items = tuple(replace(item, length=2 * item.length) for item in problem.items)
    return replace(problem, bins=bins, items=items)


def _fill_bars(
    pieces: list[tuple[int, int]], capacity: Sequence[int], rng: random.Random
) -> list[tuple[int, list[int]]]:
    """Fit pieces (length, index), longest first with noise, into bars; a new bar draws its capacity."""
    noise = rng.choice((0.0, 0.0, 0.1, 0.3))
    order = sorted(pieces, key=lambda piece: -piece[0] * (1 + noise * rng.random()))
    room: list[tuple[int, int]] = []  # (room left, bar), sorted
    bars: list[tuple[int, list[int]]] = []
    for length, index in order:
        at = next((at for at, (left, _) in enumerate(room) if left >= length), None)
        if at is None:
            bar, left = len(bars), max(rng.choice(capacity), length)
            bars.append((length, [index]))
        else:
            left, bar = room.pop(at)
            bars[bar] = (bars[bar][0] + length, [*bars[bar][1], index])
        insort(room, (left - length, bar))
    return bars


@lru_cache(maxsize=256)
def _usual_capacities(problem: Problem) -> tuple[int, ...]:
    """Lengths between which blanks are likely: the bins', their halves and thirds, and the bars' own multiples."""
    lengths = {stock.length for stock, row in zip(problem.bins, problem.blanks, strict=True) if row}
    longest = max(lengths)
    parts = {length // n for length in lengths for n in (2, 3)}
    multiples = {n * bar.length for bar in problem.bars for n in range(1, 5) if n * bar.length <= longest}
    return tuple(sorted(lengths | parts | multiples))


def compose(problem: Problem, seed: int) -> Composition:
    """Draw one way of gathering all cleats into blanks; the same seed gives the same one.

    Seed 0 fills the longest bars first-fit decreasing and pairs them by length; other seeds vary
    capacities, orders, which kinds share a blank, and when two bars of unlike length stay alone.
    """
    if not problem.bars:
        return Composition(problem, len(problem.items), ())
    rng = random.Random(seed)
    lengths = [stock.length for stock, row in zip(problem.bins, problem.blanks, strict=True) if row]
    capacities: Sequence[int] = (max(lengths),)
    if seed:
        capacities = rng.choice((capacities, tuple(set(lengths)), _usual_capacities(problem)))
        if rng.random() < 0.4:
            capacities = (rng.choice(capacities),)
    mixed = bool(seed) and rng.random() < 0.5
    unlike = 0.0 if not seed else rng.choice((0.0, 0.5, 0.8))
    by_kind: dict[int, list[tuple[int, int]]] = {}
    for index, bar in enumerate(problem.bars):
        by_kind.setdefault(bar.kind, []).extend([(bar.length, index)] * bar.demand)
    queues: list[list[tuple[int, int, tuple[int, ...]]]] = []
    for kind in sorted(by_kind):
        longest = max(
            (
                stock.length
                for stock, row in zip(problem.bins, problem.blanks, strict=True)
                if _lies_alone(kind, stock, row)
            ),
            default=max(lengths),
        )
        filled = _fill_bars(by_kind[kind], [min(capacity, longest) for capacity in capacities], rng)
        bars = [(used, kind, tuple(cleats)) for used, cleats in filled]
        queues.append(sorted(bars, key=lambda bar: (-bar[0], bar[2])))
    if mixed:
        queues = [sorted((bar for queue in queues for bar in queue), key=lambda bar: (-bar[0], bar[1:]))]
    else:  # what is left over from each kind pairs with the next kind's
        odd = [queue.pop() for queue in queues if len(queue) % 2]
        queues.append(sorted(odd, key=lambda bar: -bar[0]))
    blanks: list[Content] = []
    for queue in queues:
        while queue:
            used, kind, cleats = queue.pop(0)
            partner = None
            if queue and queue[0][0] >= unlike * used and widths_of(problem, kind_pair(kind, queue[0][1]), used):
                partner = queue.pop(0)
            if partner is None:
                blanks.append(Content(kind, None, cleats, None))
            else:
                blanks.append(Content(kind, partner[1], cleats, partner[2]))
    if seed:
        blanks = [replace(blank, width=rng.choice(_widths(problem, blank))) for blank in blanks]
    return as_items(problem, blanks)


def _lies_alone(kind: int, stock: Bin, row: Sequence[BlankWidth]) -> bool:
    return any(blank.high is None and blank.low == kind and blank.width <= stock.width for blank in row)


def _length(problem: Problem, content: Content) -> int:
    return max(sum(problem.bars[cleat].length for cleat in bar) for bar in (content.low, content.high or ()))


def _widths(problem: Problem, content: Content) -> tuple[int, ...]:
    """Return the widths a content's blank may have where it fits, else the least there is."""
    key = kind_pair(content.low_kind, content.high_kind)
    every = [blank.width for row in problem.blanks for blank in row if kind_pair(blank.low, blank.high) == key]
    return widths_of(problem, key, _length(problem, content)) or (min(every),)


def as_items(problem: Problem, blanks: Sequence[Content]) -> Composition:
    """Return the problem with these blanks as rectangles; a blank is as wide as its content says."""
    items, contents = list(problem.items), []
    counted = Counter(blanks)
    for content in sorted(counted, key=lambda content: (-_length(problem, content), repr(content))):
        used, count = _length(problem, content), counted[content]
        key = kind_pair(content.low_kind, content.high_kind)
        own = [next((b.width for b in row if kind_pair(b.low, b.high) == key), None) for row in problem.blanks]
        width = content.width or _widths(problem, content)[-1]
        ways = tuple(
            (needed is not None and needed <= width <= stock.width and used <= stock.length, False)
            for needed, stock in zip(own, problem.bins, strict=True)
        )
        items.append(Item(used, width, count, ways, blank=True))
        contents.append(content)
    bare = replace(problem, items=tuple(items), bars=(), blanks=())
    return Composition(bare, len(problem.items), tuple(contents))


def decomposed(problem: Problem, composition: Composition, plan: Plan) -> Plan:
    """Turn the blanks of a packed composition back into strips of bars.

    Raises ``StopIteration`` never: every blank item lies only where its strip exists.
    """
    if not composition.contents:
        return plan
    return tuple(Sheet(sheet.bin, _with_strips(problem, composition, sheet.bin, sheet.pattern)) for sheet in plan)


def _with_strips(problem: Problem, composition: Composition, bin_index: int, pattern: Pattern) -> Pattern:
    if isinstance(pattern, Split):
        return Split(
            pattern.cut,
            pattern.at,
            _with_strips(problem, composition, bin_index, pattern.low),
            _with_strips(problem, composition, bin_index, pattern.high),
        )
    if isinstance(pattern, Put) and pattern.item >= composition.first:
        content = composition.contents[pattern.item - composition.first]
        key = kind_pair(content.low_kind, content.high_kind)
        row = problem.blanks[bin_index]
        index = next(i for i, blank in enumerate(row) if kind_pair(blank.low, blank.high) == key)
        low, high = content.low, content.high
        if high is not None and row[index].low != content.low_kind:
            low, high = high, low
        return Strip(index, low, high)
    return pattern
