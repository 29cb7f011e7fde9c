"""The inner loops of the guillotine knapsack, jittable; :mod:`nesting.solve.knapsack` holds their plain twins."""

from __future__ import annotations

from typing import Any

import numpy as np

CROSSCUT, RIP = 3, 4
"""Choices are ``8 * index + kind``; these two kinds are cuts at a point of that index."""


def best_splits(xs: Any, ys: Any, value: Any, choice: Any) -> None:
    """Raise ``value[i, j]`` to the best sum of two rectangles that a cut of xs[i] × ys[j] makes."""
    nx, ny = xs.size, ys.size
    rest_y = np.zeros((ny, ny), dtype=np.int64)
    for j in range(ny):
        for j1 in range(1, j + 1):
            rest_y[j, j1] = np.searchsorted(ys, ys[j] - ys[j1], side="right") - 1
    for i in range(nx):
        if i:
            for j in range(ny):
                if value[i - 1, j] > value[i, j]:
                    value[i, j] = value[i - 1, j]
                    choice[i, j] = choice[i - 1, j]
        for i1 in range(1, i):
            if 2 * xs[i1] > xs[i]:
                break
            rest = np.searchsorted(xs, xs[i] - xs[i1], side="right") - 1
            for j in range(1, ny):
                total = value[i1, j] + value[rest, j]
                if total > value[i, j]:
                    value[i, j] = total
                    choice[i, j] = i1 * 8 + CROSSCUT
        for j in range(1, ny):
            best, best_choice = value[i, j], choice[i, j]
            if value[i, j - 1] > best:
                best, best_choice = value[i, j - 1], choice[i, j - 1]
            for j1 in range(1, j):
                if 2 * ys[j1] > ys[j]:
                    break
                total = value[i, j1] + value[i, rest_y[j, j1]]
                if total > best:
                    best, best_choice = total, j1 * 8 + RIP
            value[i, j] = best
            choice[i, j] = best_choice


def best_stage(points: Any, base: Any, value: Any, choice: Any) -> None:
    """Fill the one-dimensional knapsacks of one stage: ``value[i, j]`` from pieces ``base[i, j1]`` along points.

    ``choice`` is an index, or -1 where the last of the side is waste, or -2 for one piece. Only pieces worth
    more than every narrower one are tried.
    """
    rows, n = base.shape
    rest = np.zeros((n, n), dtype=np.int64)
    for j in range(n):
        for j1 in range(1, j):
            rest[j, j1] = np.searchsorted(points, points[j] - points[j1], side="right") - 1
    steps = np.zeros(n, dtype=np.int64)
    for i in range(rows):
        count, most = 0, 0
        for j in range(n):
            best, chosen = base[i, j], -2
            if j and value[i, j - 1] > best:
                best, chosen = value[i, j - 1], -1
            for s in range(count):
                total = base[i, steps[s]] + value[i, rest[j, steps[s]]]
                if total > best:
                    best, chosen = total, steps[s]
            value[i, j] = best
            choice[i, j] = chosen
            if base[i, j] > most:
                most = base[i, j]
                if j:
                    steps[count] = j
                    count += 1
