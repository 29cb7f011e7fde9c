"""Cancel searches at random moments and measure how long each takes to return, and what it leaves behind.

Run from the top of the repository: ``python -m benchmarks.cancel``. Jobs: workshop jobs, large jobs, cuts to length,
and, where the data folder is there, published instances; compiled kernels loaded. Each is cancelled once, at a moment
drawn evenly from the first two seconds (a job that ends before counts as nothing). After each no thread and no child
process may be left; the plan must pass the checker where the job has no cleats.
"""

from __future__ import annotations

import argparse
import multiprocessing
import random
import statistics
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path

from benchmarks.record import append, protocol
from benchmarks.scale import large_job
from benchmarks.sets import NoData, bin_packing, data_folder
from benchmarks.shop_jobs import shop_job
from benchmarks.verify import verify
from nesting.solve.compiled import fill_cache, load
from nesting.solve.grid import put_on_grid
from nesting.solve.problem import Bin, Item, Problem
from nesting.solve.search import solve
from nesting.solve.stop import Stop

RESULTS = Path(__file__).parent / "results" / "cancel.jsonl"


def jobs(count: int, data: str | None) -> Iterator[tuple[str, Problem]]:
    """Yield names and problems of each kind in turn."""
    rng = random.Random(7)
    try:
        published = bin_packing(data_folder(data), turns=False, groups=(4, 5, 6, 10))
    except NoData as absent:
        print(absent, file=sys.stderr)
        published = []
    for number in range(count):
        yield f"shop {number}", put_on_grid(*shop_job(number)).problem
        if number % 4 == 0:
            yield f"large {number}", large_job(rng.choice((800, 2_000, 5_000)), number)
        pieces = tuple(Item(rng.randint(200, 700), 1, rng.randint(1, 9), ((True, False),)) for _ in range(60))
        yield f"bars {number}", Problem((Bin(1000, 1, 1),), pieces)
        if published:
            instance = rng.choice(published)
            yield instance.name, instance.problem


def main() -> None:
    """Cancel all, print the slowest, append one line."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=30)
    parser.add_argument("--data")
    options = parser.parse_args()
    fill_cache()
    load()
    rng = random.Random(1)
    late: list[tuple[float, str, float]] = []
    for name, problem in jobs(options.count, options.data):
        cancel, at = threading.Event(), rng.uniform(0.0, 2.0)
        timer = threading.Timer(at, cancel.set)
        begun = time.perf_counter()
        timer.start()
        found = solve(problem, Stop.after(60, cancel), 1)
        spent = time.perf_counter() - begun
        timer.cancel()
        timer.join()
        if cancel.is_set():
            late.append((spent - at, name, at))
        if not problem.bars and found.plan is not None:
            verify(problem, found.plan, found.bound.cost)
        left = [thread.name for thread in threading.enumerate() if thread is not threading.main_thread()]
        if left or multiprocessing.active_children():
            raise SystemExit(f"{name}: left behind {left}")
    late.sort(reverse=True)
    for delay, name, at in late[:5]:
        print(f"{delay:.3f} s after a cancel at {at:.2f} s: {name}")
    delays = [delay for delay, _, _ in late]
    result = {
        "cancelled": len(late),
        "median_seconds": round(statistics.median(delays), 4),
        "longest_seconds": round(delays[0], 3),
        "above_0.2_s": sum(delay > 0.2 for delay in delays),
    }
    print(result)
    append(RESULTS, protocol("cancel", count=options.count) | result)


if __name__ == "__main__":
    main()
