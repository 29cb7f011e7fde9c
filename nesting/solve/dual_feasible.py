"""Dual feasible functions: sizes made larger or smaller so that whatever fitted one side still fits.

A function f is dual feasible for a side C when every set of sizes that fits C side by side has values adding up
to at most f(C). For two sides the products f(x) g(y) of the parts in a bin never exceed f(C) g(D)
(Fekete & Schepers 2004, "A general framework for bounds for higher-dimensional orthogonal packing problems").
Families, as surveyed by Clautiaux, Alves & Valério de Carvalho 2010 (formulas from memory, each tested
against an exact knapsack):

* threshold: small sizes count nothing, then large ones count as the whole side (Fekete & Schepers 2004);
* steps: sizes rounded down to p + 1 equal steps (Fekete & Schepers 2001; Lueker 1983);
* halves: sizes above one half rounded up by their rest, others down (Boschetti & Mingozzi 2003, improved by
  Carlier, Clautiaux & Moukrim 2007);
* counts: how many of the parts that are there fit beside (Boschetti & Mingozzi 2003; depends on the data).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int64]
STEPS = 24
"""Step functions tried: more never raised a bound on the published 500."""


@dataclass(frozen=True, slots=True)
class Functions:
    """Values of several functions at some sizes, ``[function, size]``, and of the whole side, ``[function]``."""

    values: Ints
    capacity: Ints


def threshold(side: int, sizes: Ints, least: int) -> tuple[Ints, int]:
    """Count sizes below ``least`` (at most half the side) as 0, above ``side - least`` as the side.

    >>> threshold(10, np.array([2, 5, 8]), 3)[0].tolist()
    [0, 5, 10]
    """
    return np.where(sizes > side - least, side, np.where(sizes < least, 0, sizes)), side


def steps(side: int, sizes: Ints, count: int) -> tuple[Ints, int]:
    """Round down to steps of ``side / (count + 1)``; a size on a step keeps its share.

    >>> values, capacity = steps(12, np.array([3, 5, 7]), 2)
    >>> values.tolist(), capacity
    ([0, 12, 12], 24)
    """
    at = (count + 1) * sizes
    return np.where(at % side == 0, count * sizes, at // side * side), count * side


def halves(side: int, sizes: Ints, unit: int) -> tuple[Ints, int]:
    """Count whole units in a small size, and whole units left beside a large one (2 a unit).

    >>> values, capacity = halves(10, np.array([2, 5, 7]), 3)
    >>> values.tolist(), capacity
    ([0, 3, 4], 6)
    """
    most = side // unit
    above = 2 * (most - (side - sizes) // unit)
    return np.where(2 * sizes > side, above, np.where(2 * sizes == side, most, 2 * (sizes // unit))), 2 * most


def counts(side: int, sizes: Ints, least: int, present: Sequence[tuple[int, int]]) -> tuple[Ints, int] | None:
    """Count parts of ``least`` to half the side as 1, larger ones as the number of these they keep out.

    ``present`` lists (size, copies) of the parts that are there, each part once at its smallest size of at
    least ``least``. ``None`` where none of them is of middling size.

    >>> values, capacity = counts(10, np.array([3, 6]), 3, [(3, 5)])
    >>> values.tolist(), capacity
    ([1, 2], 3)
    """
    middling = sorted((size, copies) for size, copies in present if copies and least <= size and 2 * size <= side)
    if not middling:
        return None
    run = np.repeat(
        np.array([size for size, _ in middling]),
        np.array([min(copies, side // size) for size, copies in middling]),
    )
    heights = np.cumsum(run)

    def fit(room: Ints | int) -> Ints:
        return np.asarray(np.searchsorted(heights, room, side="right"), dtype=np.int64)

    most = int(fit(side))
    values = np.where(2 * sizes > side, most - fit(np.maximum(0, side - sizes)), np.where(sizes < least, 0, 1))
    return values, most


def functions(side: int, sizes: Sequence[int], present: Sequence[Sequence[tuple[int, int]]], most: int) -> Functions:
    """Return about ``most`` functions of a side at the given sizes (those above the side count as the side).

    ``present`` lists for each part its possible sizes on this axis with the copies there are. The identity
    comes first. Functions whose values equal another's are left out, and so are those never above another.
    """
    known = np.minimum(np.array(sizes, dtype=np.int64), side)
    distinct = sorted({size for size in sizes if 0 < size <= side})
    found: list[tuple[Ints, int]] = [(known, side)]
    small = [size for size in distinct if 2 * size <= side]
    lows = sorted({*small, *(side - size + 1 for size in distinct if size - 1 >= side - size + 1)} - {0})
    for least in _thinned([low for low in lows if 2 * low <= side], most):
        found.append(threshold(side, known, least))
    found += [steps(side, known, count) for count in range(1, STEPS + 1)]
    units = {unit for size in distinct for unit in _units(side, size)}
    if side <= 2 * most:
        units |= set(range(1, side // 2 + 1))
    for unit in _thinned(sorted(units), most):
        found.append(halves(side, known, unit))
    for least in _thinned(small, most):
        fitting = []
        for choices in present:
            own = [(size, copies) for size, copies in choices if size >= least]
            if own:
                fitting.append(min(own))
        counted = counts(side, known, least, fitting)
        if counted is not None:
            found.append(counted)
    return _undominated(found)


def _units(side: int, size: int) -> list[int]:
    rest = side - size
    near = [size // n for n in (1, 2, 3)] + [rest // n + 1 for n in (1, 2, 3)]
    return [unit for unit in near if 1 <= unit <= side // 2]


def _thinned(values: Sequence[int], most: int) -> Sequence[int]:
    """Keep ``most`` values, evenly taken."""
    if len(values) <= most:
        return values
    return [values[i * len(values) // most] for i in range(most)]


def _undominated(found: list[tuple[Ints, int]]) -> Functions:
    values = np.array([row for row, _ in found], dtype=np.int64)
    capacity = np.array([whole for _, whole in found], dtype=np.int64)
    shares = values / capacity[:, None]
    _, first = np.unique(np.round(shares, 12), axis=0, return_index=True)
    order = np.sort(first)
    shares = shares[order]
    total = shares.sum(axis=1)
    ranked = np.argsort(-total, kind="stable")
    kept: list[int] = []
    for at in ranked:
        if not kept or not np.any(np.all(shares[kept] >= shares[at] - 1e-13, axis=1)):
            kept.append(int(at))
    chosen = order[sorted(kept)]
    return Functions(values[chosen], capacity[chosen])
