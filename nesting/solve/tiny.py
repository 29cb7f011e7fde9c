"""Tiny jobs solved outright: every way of gathering the cleats, and for each the exact packing."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from itertools import product

from nesting.errors import CannotBeDone
from nesting.solve.bars import Composition, Content, as_items, decomposed, kind_pair, narrowest, relaxed, widths_of
from nesting.solve.bounds import quick_bound
from nesting.solve.columns import cost_of
from nesting.solve.pattern import Plan
from nesting.solve.problem import Problem
from nesting.solve.proofs import solve_exactly
from nesting.solve.reachable import limited
from nesting.solve.splices import every, pieces_wanted, resolved
from nesting.solve.stop import Stop

MOST_PIECES = 9
"""Jobs of more parts and cleats than this are not tried outright."""
MOST_CLEATS = 6
MOST_CHOICES = 60
"""Choices of splices tried outright at most."""

Cleats = tuple[int, ...]


def cheapest_tiny(problem: Problem, stop: Stop) -> Plan | None:
    """Return a cheapest plan of a tiny job, or None where it is not tiny, has none, or time is up.

    Exact: a plan returned is optimal. Limited stages are kept where there are no cleats; with cleats, whose bars
    take stages of their own, such a job is not solved here. Where runs may be spliced in several ways each is tried
    that a quick bound does not rule out, fewest pieces first; of equals the first is kept.
    """
    choices = every(problem, MOST_CHOICES)
    if choices is None:
        return None
    best: Plan | None = None
    for plain in sorted((resolved(problem, choice) for choice in choices), key=pieces_wanted):
        if best is not None and quick_bound(relaxed(plain)).cost >= cost_of(problem, best):
            continue
        try:
            plan = _outright(plain, stop)
        except CannotBeDone:  # these pieces cannot be had; others may
            continue
        if plan is None:
            return None
        if best is None or cost_of(problem, plan) < cost_of(problem, best):
            best = plan
    return best


def _outright(problem: Problem, stop: Stop) -> Plan | None:
    """Solve a job without runs; None where it is not tiny or time is up. Raises where the stock cannot hold it."""
    cleats = tuple(index for index, bar in enumerate(problem.bars) for _ in range(bar.demand))
    if len(cleats) > MOST_CLEATS or (cleats and limited(problem)):
        return None
    best: Plan | None = None
    for composition in compositions(problem, cleats):
        if stop.reached():
            return None
        try:
            plan = solve_exactly(composition.problem, stop)
        except CannotBeDone:  # these blanks do not fit the stock; others may
            continue
        if plan is None:
            return None
        if best is None or cost_of(problem, plan) < cost_of(problem, best):
            best = decomposed(problem, composition, plan)
    if best is None:
        raise CannotBeDone(["the stock there is cannot hold the pieces"])
    return best


def compositions(problem: Problem, cleats: Cleats) -> Iterator[Composition]:
    """Yield every way of gathering ``cleats`` into blanks, up to the order within bars."""
    if not cleats:
        yield Composition(replace(problem, bars=(), blanks=()), len(problem.items), ())
        return
    widths = narrowest(problem)
    kinds = [bar.kind for bar in problem.bars]

    @cache
    def ways(rest: Cleats) -> frozenset[tuple[Content, ...]]:
        if not rest:
            return frozenset({()})
        first, found = rest[0], set()
        for bar, left in _bars_with(first, rest[1:], kinds):
            alone = Content(kinds[first], None, bar, None)
            if (kinds[first], None) in widths:
                found |= {_sorted((alone, *more)) for more in ways(left)}
            for start in sorted(set(left)):
                if kind_pair(kinds[first], kinds[start]) not in widths:
                    continue
                without = _without(left, (start,))
                for other, still in _bars_with(start, without, kinds):
                    pair = Content(kinds[first], kinds[start], bar, other)
                    found |= {_sorted((pair, *more)) for more in ways(still)}
        return frozenset(found)

    for contents in sorted(ways(cleats), key=repr):
        choices = [widths_of(problem, kind_pair(content.low_kind, content.high_kind)) for content in contents]
        for chosen in product(*choices):
            wide = [replace(content, width=width) for content, width in zip(contents, chosen, strict=True)]
            yield as_items(problem, wide)


def _sorted(contents: tuple[Content, ...]) -> tuple[Content, ...]:
    return tuple(sorted(contents, key=repr))


def _without(cleats: Cleats, taken: Cleats) -> Cleats:
    left = list(cleats)
    for cleat in taken:
        left.remove(cleat)
    return tuple(left)


def _bars_with(first: int, rest: Cleats, kinds: list[int]) -> Iterator[tuple[Cleats, Cleats]]:
    """Yield every bar that holds ``first`` and others of its kind from ``rest``, with what is left."""
    same = [cleat for cleat in rest if kinds[cleat] == kinds[first]]
    seen = set()
    for mask in range(1 << len(same)):
        more = tuple(cleat for i, cleat in enumerate(same) if mask >> i & 1)
        if more not in seen:
            seen.add(more)
            yield (first, *more), _without(rest, more)
