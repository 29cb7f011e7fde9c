"""Reproduce published values of the guillotine knapsack: the most a single sheet is worth.

Run from the top of the repository: ``python -m benchmarks.values``. Without limits on copies the solver's own knapsack
is exact, and its values must equal the listed ones (gcut1-13 of Beasley 1985, Herz 1972, HZ1-2), sides fixed and with
quarter turns. With limits on copies values quoted from memory are reached or refuted: the search here keeps one best
filling with its counts for each sub-rectangle, over prices disturbed again and again, so that a value reached or passed
counts, and one not reached proves nothing.
"""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path
from typing import Any

import numba
import numpy as np
from numpy.typing import NDArray

from benchmarks.record import append, protocol
from benchmarks.sets import NoData, data_folder, problem_of, read_json
from nesting.solve.compiled import fill_cache, load
from nesting.solve.knapsack import fill, pieces_of, points_of
from nesting.solve.points import bounded_points, floor_index
from nesting.solve.problem import Problem

RESULTS = Path(__file__).parent / "results" / "values.jsonl"
UNCONSTRAINED = ("gcut", "herz", "hz1", "hz2")
FROM_MEMORY = {
    "cgcut1": 244, "cgcut2": 2892, "cgcut3": 1860, "OF1": 2737, "OF2": 2690, "W": 2721, "HH": 11586, "CU1": 12330,
    "CU2": 26100, "CHL1": 8671, "CHL2": 2326, "CHL5": 390, "CHL6": 16869, "CHL7": 16881, "A1": 2020, "A2": 2505,
    "A3": 5451, "A4": 6179, "A5": 12985,
}  # fmt: skip
"""Optima of the constrained guillotine knapsack, from memory."""
CONSTRAINED = ("cgcut", "of", "wang", "hifi1997a", "hifi1997b", "fhz", "chl", "hr")
Ints = NDArray[np.int64]


def unconstrained(problem: Problem, values: list[int]) -> int:
    """Return the exact value of one sheet with copies without limit."""
    pieces = pieces_of(problem, 0)
    xs, ys = points_of(pieces, problem.bins[0].length, problem.bins[0].width)
    return fill(pieces, xs, ys, values, [], load().best_splits).best


@numba.njit(cache=True)
def _best_counts(
    sides: Ints, values: Ints, true: Ints, demands: Ints, xs: Ints, ys: Ints, low_x: Ints, low_y: Ints
) -> int:
    """Fill every sub-rectangle with one best choice within the demands; return the true value of the whole.

    ``low_x[i, k]`` is the index of the point at or below xs[i] - xs[k]. ``values`` steer, ``true`` counts.
    """
    nx, ny, n = len(xs), len(ys), len(demands)
    worth = np.zeros((nx, ny), dtype=np.int64)
    counts = np.zeros((nx, ny, n), dtype=np.int16)
    best_true = 0
    for i in range(nx):
        for j in range(ny):
            best, one, two = 0, -1, -1
            if i > 0 and worth[i - 1, j] > best:
                best, one, two = worth[i - 1, j], (i - 1) * ny + j, -1
            if j > 0 and worth[i, j - 1] > best:
                best, one, two = worth[i, j - 1], i * ny + j - 1, -1
            item = -1
            for k in range(n):
                if sides[k, 0] <= xs[i] and sides[k, 1] <= ys[j] and values[k] > best and demands[k] > 0:
                    best, item = values[k], k
            for way in range(2):
                last = i if way == 0 else j
                for k in range(1, last + 1):
                    if way == 0:
                        if 2 * xs[k] > xs[i]:
                            break
                        a, b = k * ny + j, low_x[i, k] * ny + j
                    else:
                        if 2 * ys[k] > ys[j]:
                            break
                        a, b = i * ny + k, i * ny + low_y[j, k]
                    total = worth[a // ny, a % ny] + worth[b // ny, b % ny]
                    if total <= best:
                        continue
                    for m in range(n):
                        over = counts[a // ny, a % ny, m] + counts[b // ny, b % ny, m] - demands[m]
                        if over > 0:
                            total -= over * values[m]
                    if total > best:
                        best, one, two, item = total, a, b, -1
            worth[i, j] = best
            if item >= 0:
                counts[i, j, item] = 1
            elif one >= 0:
                for m in range(n):
                    c = counts[one // ny, one % ny, m]
                    if two >= 0:
                        c += counts[two // ny, two % ny, m]
                    counts[i, j, m] = min(c, demands[m])
    for m in range(n):
        best_true += counts[nx - 1, ny - 1, m] * true[m]
    return best_true


def constrained(problem: Problem, values: list[int], seconds: float, aim: int) -> int:
    """Return the best value found with copies limited to the demands, until ``aim`` is passed or time is up."""
    stock = problem.bins[0]
    along: dict[int, int] = {}
    across: dict[int, int] = {}
    for item in problem.items:
        along[item.length] = along.get(item.length, 0) + item.demand
        across[item.width] = across.get(item.width, 0) + item.demand
    xs, ys = bounded_points(along, stock.length)[0], bounded_points(across, stock.width)[0]
    low_x, low_y = (np.array([floor_index(p, np.maximum(0, v - p)) for v in p], dtype=np.int64) for p in (xs, ys))
    sides = np.array([[item.length, item.width] for item in problem.items], dtype=np.int64)
    demands = np.array([item.demand for item in problem.items], dtype=np.int64)
    true = np.array(values, dtype=np.int64)
    rng, until = np.random.default_rng(1), time.perf_counter() + seconds
    best, strength = 0, 0.0
    while time.perf_counter() < until and best <= aim:
        steer = np.maximum(1, np.round(1000 * true * np.exp(strength * rng.standard_normal(true.size)))).astype(
            np.int64
        )
        best = max(best, int(_best_counts(sides, steer, true, demands, xs, ys, low_x, low_y)))
        strength = float(rng.choice([0.01, 0.03, 0.06, 0.12]))
    return best


def rows(folder: Path, seconds: float) -> list[dict[str, Any]]:
    """Return one row a value: what is listed and what comes out."""
    found: list[dict[str, Any]] = []
    listed = read_json(folder, "best_known/gcut_unconstrained_guillotine_values_computed.json")
    for name in UNCONSTRAINED:
        for entry in read_json(folder, f"guillotine_classic/{name}.json"):
            if entry["name"] not in listed:
                continue
            values = entry.get("values") or [w * h for w, h, *_ in entry["items"]]
            for turns, value in zip((False, True), listed[entry["name"]], strict=True):
                ours = unconstrained(problem_of(entry, turns), [int(v) for v in values])
                found.append({"name": entry["name"], "turns": turns, "listed": int(value), "ours": ours})
    seen: set[str] = set()
    for name in CONSTRAINED:
        for entry in read_json(folder, f"guillotine_classic/{name}.json"):
            known = FROM_MEMORY.get(entry["name"])
            if known is None or entry["name"] in seen:
                continue
            seen.add(entry["name"])
            values = entry.get("values") or [w * h for w, h, *_ in entry["items"]]
            ours = constrained(problem_of(entry, False), [int(v) for v in values], seconds, known)
            found.append({"name": entry["name"], "turns": False, "from_memory": known, "ours": ours})
    return found


def main() -> int:
    """Print the table and append one line."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=10.0, help="for each constrained value")
    parser.add_argument("--data")
    options = parser.parse_args()
    fill_cache()
    try:
        found = rows(data_folder(options.data), options.seconds)
    except NoData as absent:
        print(absent, file=sys.stderr)
        return 2
    for row in found:
        aim = row.get("listed", row.get("from_memory"))
        said = (
            "equal"
            if row["ours"] == aim
            else "refuted"
            if row["ours"] > aim and "from_memory" in row
            else "NOT REACHED"
        )
        print(f"{row['name']:8} {'turns' if row['turns'] else 'fixed':6} {aim:9} {row['ours']:9} {said}")
    exact = [row for row in found if "listed" in row]
    memory = [row for row in found if "from_memory" in row]
    total = {
        "unconstrained": len(exact),
        "unconstrained_equal": sum(row["ours"] == row["listed"] for row in exact),
        "constrained": len(memory),
        "constrained_reached": sum(row["ours"] == row["from_memory"] for row in memory),
        "refuted": {row["name"]: row["ours"] for row in memory if row["ours"] > row["from_memory"]},
        "not_reached": {row["name"]: row["ours"] for row in memory if row["ours"] < row["from_memory"]},
    }
    print(total)
    append(RESULTS, protocol("guillotine knapsack values", seconds=options.seconds) | total)
    return 0


if __name__ == "__main__":
    sys.exit(main())
