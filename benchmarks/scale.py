"""Large jobs: the gap to the bound against time (plotted), memory, and the time a sheet from 1 to 50 sheets.

Run from the top of the repository: ``python -m benchmarks.scale``. Parts of 100 types from fixed seeds for 96 x 48 in
sheets, kerf 1/8, half of them grain-locked; each size in a process of its own, so that its memory is its own.
The plot goes to ``benchmarks/results/gap.svg``.
"""

from __future__ import annotations

import argparse
import json
import math
import random
import resource
import subprocess
import sys
import time
from fractions import Fraction
from pathlib import Path
from typing import Any

from benchmarks.record import append, protocol
from benchmarks.verify import verify
from nesting.demand import Group, Panel, Stock
from nesting.solve.compiled import fill_cache, load
from nesting.solve.grid import Rules, put_on_grid
from nesting.solve.problem import Bin, Problem
from nesting.solve.progress import News
from nesting.solve.search import solve
from nesting.solve.stop import Stop

RESULTS = Path(__file__).parent / "results" / "scale.jsonl"
PLOT = Path(__file__).parent / "results" / "gap.svg"
SIZES = (300, 1_000, 10_000)
TYPES = 100


def large_job(parts: int, seed: int = 1, types: int = TYPES) -> Problem:
    """Make a job of so many parts; the same seed makes the same job."""
    rng = random.Random(seed)
    stock = Stock(
        "sheet", "sheet", Fraction(96), Fraction(48), Fraction(3, 4), Fraction(0), Fraction(60), None, grain=True
    )
    counts = [parts // types] * types
    for extra in range(parts - sum(counts)):
        counts[extra] += 1
    panels = [
        Panel(
            f"part {number}",
            Fraction(rng.randint(32, 256), 8),
            Fraction(rng.randint(24, 160), 8),
            count,
            rng.choice(("length", "any")),
            filler=False,
            stocks=frozenset({0}),
        )
        for number, count in enumerate(counts)
        if count
    ]
    rules = Rules(Fraction(1, 8), Fraction(1, 32), Fraction(45))
    problem = put_on_grid(Group((stock,), tuple(panels), ()), rules).problem
    return Problem((Bin(problem.bins[0].length, problem.bins[0].width, 1),), problem.items)


def measure(parts: int, seconds: float, seed: int = 1) -> dict[str, Any]:
    """Solve one job and return sheets, bound, memory and the course of both over time."""
    problem = large_job(parts, seed)
    fill_cache()
    load()
    course: list[tuple[float, int | None, int]] = []
    begun = time.perf_counter()

    def watch(news: News) -> None:
        course.append((round(time.perf_counter() - begun, 3), news.cost, news.bound))

    found = solve(problem, Stop.after(seconds), 1, watch)
    spent = time.perf_counter() - begun
    return {
        "parts": parts,
        "seconds": seconds,
        "spent": round(spent, 2),
        "sheets": verify(problem, found.plan, found.bound.cost),
        "bound": found.bound.cost,
        "peak_mb": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024,
        "course": course,
    }


def apart(parts: int, seconds: float, seed: int = 1) -> dict[str, Any]:
    """Measure in a process of its own."""
    words = [sys.executable, "-m", "benchmarks.scale", "--one", str(parts), str(seconds), str(seed)]
    said = subprocess.run(words, capture_output=True, text=True, check=True)
    row: dict[str, Any] = json.loads(said.stdout)
    return row


def gap_at(row: dict[str, Any], at: float) -> float | None:
    """Return sheets above the final bound in percent at a time, None before the first plan."""
    costs = [cost for when, cost, _ in row["course"] if when <= at and cost is not None]
    return 100 * (costs[-1] - row["bound"]) / row["bound"] if costs else None


def plot(runs: list[dict[str, Any]]) -> str:
    """Draw the gap of each size against time."""
    from nesting.draw.curve import Series, draw_steps

    series = []
    for row in runs:
        times = sorted({when for when, cost, _ in row["course"] if cost is not None} | {row["spent"]})
        points = [(when, gap) for when in times if (gap := gap_at(row, when)) is not None]
        series.append(Series(f"{row['parts']:,} parts, {row['sheets']} sheets", tuple(points)))
    return draw_steps("Gap to the bound against time", series, (), "seconds", "sheets above the bound, percent")


def main() -> None:
    """Run all sizes, append a line for each and draw the plot."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--one", nargs=3, metavar=("PARTS", "SECONDS", "SEED"), help="one job, printed as JSON")
    options = parser.parse_args()
    if options.one:
        parts, seconds, seed = options.one
        print(json.dumps(measure(int(parts), float(seconds), int(seed))))
        return
    runs = []
    for parts in SIZES:
        row = apart(parts, 20.0)
        runs.append(row)
        gaps = {f"gap_percent_at_{at}_s": gap_at(row, at) for at in (1, 2, 5, 10, 20)}
        result = {key: value for key, value in row.items() if key != "course"} | gaps
        print(result, flush=True)
        append(RESULTS, protocol("scale", types=TYPES) | result)
    PLOT.write_text(plot(runs), encoding="utf-8")
    growth = []
    for sheets in (1, 2, 5, 10, 20, 50):
        row = apart(20 * sheets, 10.0, 2)
        first = [when for when, cost, _ in row["course"] if cost == row["sheets"]]
        growth.append({"sheets": row["sheets"], "bound": row["bound"], "seconds_to_final": first[0]})
        print(growth[-1], flush=True)
    slope = [g["seconds_to_final"] / (g["sheets"] * math.log(1 + g["sheets"])) for g in growth]
    append(RESULTS, protocol("time a sheet", types=TYPES) | {"growth": growth, "seconds_by_n_log_n": slope})


if __name__ == "__main__":
    main()
