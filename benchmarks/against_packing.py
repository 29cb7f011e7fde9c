"""Compare sheets used with a general-purpose rectangle packing library (rectpack, from the Python package index).

Run from the top of the repository: ``python -m benchmarks.against_packing`` (``--jobs 20 --every 5 --seconds 5``).
Equal rules for both sides: one sheet size without limit, kerf by inflation, parts as they lie (no turns). The shop
jobs are those of ``benchmarks.shop_jobs`` on their first sheet alone, every part locked, their cleats gathered into
the same blanks for both; beside them each Nth of the 500 published instances. The library tries each of its guillotine
rules with each of its orders and each way to choose a bin, and its best counts; ours gets so many seconds.
"""

from __future__ import annotations

import argparse
import itertools
import sys
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import rectpack

from benchmarks.record import append, protocol
from benchmarks.sets import NoData, bin_packing, data_folder
from benchmarks.shop_jobs import shop_job
from benchmarks.verify import verify
from nesting.solve.bars import compose
from nesting.solve.compiled import fill_cache
from nesting.solve.grid import put_on_grid
from nesting.solve.problem import Bin, Item, Problem
from nesting.solve.search import solve
from nesting.solve.stop import Stop

RESULTS = Path(__file__).parent / "results" / "against_packing.jsonl"
RULES = [getattr(rectpack, name) for name in dir(rectpack) if name.startswith("Guillotine")]
ORDERS = [getattr(rectpack, name) for name in dir(rectpack) if name.startswith("SORT_")]
CHOICES = [getattr(rectpack.PackingBin, name) for name in ("BNF", "BFF", "BBF")]


def locked(problem: Problem) -> Problem:
    """Return the job on its first bin alone, nothing turned, parts that do not fit left out, cleats in blanks."""
    whole = compose(problem, 0).problem
    stock = whole.bins[0]
    items = tuple(
        Item(item.length, item.width, item.demand, ((True, False),))
        for item in whole.items
        if item.length <= stock.length and item.width <= stock.width
    )
    return Problem((Bin(stock.length, stock.width, 1),), items)


def theirs(problem: Problem) -> int:
    """Return the fewest bins the library needs over all its guillotine settings."""
    stock = problem.bins[0]
    rectangles = [(item.length, item.width) for item in problem.items for _ in range(item.demand)]
    best = len(rectangles)
    for rule, order, choice in itertools.product(RULES, ORDERS, CHOICES):
        packer = rectpack.newPacker(
            mode=rectpack.PackingMode.Offline, bin_algo=choice, pack_algo=rule, sort_algo=order, rotation=False
        )
        for length, width in rectangles:
            packer.add_rect(length, width)
        packer.add_bin(stock.length, stock.width, count=best)
        packer.pack()
        if len(packer.rect_list()) == len(rectangles):
            best = min(best, len(packer))
    return best


def jobs(options: argparse.Namespace) -> Iterator[tuple[str, str, Problem]]:
    """Yield set, name and problem of everything that is compared."""
    for seed in range(options.jobs):
        yield "shop jobs", str(seed), locked(put_on_grid(*shop_job(seed)).problem)
    try:
        found = bin_packing(data_folder(options.data), turns=False)[:: options.every]
    except NoData as absent:
        print(absent, file=sys.stderr)
        return
    for instance in found:
        yield "the 500", instance.name, replace(instance.problem)


def main() -> None:
    """Compare and append one line a set."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--jobs", type=int, default=20)
    parser.add_argument("--every", type=int, default=5, metavar="N", help="each Nth of the 500 published instances")
    parser.add_argument("--seconds", type=float, default=5.0)
    parser.add_argument("--data")
    options = parser.parse_args()
    fill_cache()
    sums: dict[str, dict[str, Any]] = {}
    for group, name, problem in jobs(options):
        begun = time.perf_counter()
        found = solve(problem, Stop.after(options.seconds), 1)
        middle = time.perf_counter()
        ours, other = verify(problem, found.plan, found.bound.cost), theirs(problem)
        row = sums.setdefault(group, {"count": 0, "ours": 0, "theirs": 0, "bound": 0, "worse": []})
        row["count"] += 1
        row["ours"] += ours
        row["theirs"] += other
        row["bound"] += found.bound.cost
        if ours > other:
            row["worse"].append(name)
        spent = f"{middle - begun:.1f} s against {time.perf_counter() - middle:.1f} s"
        print(f"{group} {name}: {ours} against {other}, {spent}", flush=True)
    for group, row in sums.items():
        result = row | {"ratio": round(row["ours"] / row["theirs"], 4)}
        settings = len(RULES) * len(ORDERS) * len(CHOICES)
        print(group, result)
        append(RESULTS, protocol(group, seconds=options.seconds, settings=settings, every=options.every) | result)


if __name__ == "__main__":
    main()
