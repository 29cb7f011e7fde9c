"""Solve generated workshop jobs and record how many are proven, how fast, and how far the rest are from their bound.

Run from the top of the repository: ``python -m benchmarks.shop_jobs --seconds 10``. The jobs are made here from
fixed seeds: one to eight sheets' worth of 5 to 40 part types, cleats in two heights, half of the parts
locked to the face grain, kerf 1/8 or 3/32 in, two or three stocks with prices.
"""

from __future__ import annotations

import argparse
import random
import sys
import time
from fractions import Fraction
from pathlib import Path
from typing import Any

from benchmarks.record import append, protocol
from nesting.demand import Cleat, Group, Panel, Stock
from nesting.solve.compiled import load
from nesting.solve.grid import Rules, put_on_grid
from nesting.solve.search import solve
from nesting.solve.stop import Stop

RESULTS = Path(__file__).parent / "results" / "shop_jobs.jsonl"
EIGHTH = Fraction(1, 8)


def shop_job(seed: int, *, one_stock: bool = False) -> tuple[Group, Rules]:
    """Make one job; the same seed makes the same job, but for the other stocks where there is but one."""
    rng = random.Random(seed)
    kerf, trim = rng.choice((Fraction(1, 8), Fraction(3, 32))), rng.choice((Fraction(0), EIGHTH))
    thickness = Fraction(23, 32)
    price = Fraction(rng.randint(5500, 9500), 100)
    sizes = [(96, 48, price), (48, 48, price * rng.randint(54, 66) / 100)]
    if rng.random() < 0.5:
        sizes.append(
            rng.choice(((60, 60, price * rng.randint(76, 86) / 100), (48, 24, price * rng.randint(28, 36) / 100)))
        )
    stocks = [
        Stock(
            f"{length}x{width}", "sheet", Fraction(length), Fraction(width), thickness, trim, round(cost, 2), None, True
        )
        for length, width, cost in sizes
    ]
    if rng.random() < 0.4:
        long, wide = rng.randint(20, 60), rng.randint(8, 30)
        stocks.append(
            Stock("rack", "offcut", Fraction(long), Fraction(wide), thickness, Fraction(0), Fraction(0), 1, True)
        )
    suits = frozenset(range(len(stocks)))
    room = rng.randint(1, 8) * 96 * 48 * rng.uniform(0.88, 0.97)
    heights = {"wall": Fraction(3), "holder": Fraction(rng.choice((2, 3, 5)), 2) + 1}
    if one_stock:
        stocks, suits = stocks[:1], frozenset((0,))
    cleats = []
    for number in range(rng.randint(2, 5)):
        kind = rng.choice(("wall", "holder"))
        length = rng.choice((Fraction(95), Fraction(80), Fraction(rng.randint(48, 376), 4)))
        quantity = rng.randint(1, 6)
        cleats.append(Cleat(f"cleat {number}", kind, heights[kind], length, quantity, suits))
        room -= float((length + kerf) * (heights[kind] - Fraction(1, 4) + kerf)) * quantity
    panels: list[Panel] = []
    types = rng.randint(5, 40)
    for number in range(types):
        if room < 60:
            break
        length, width = Fraction(rng.randint(40, 320), 8), Fraction(rng.randint(24, 160), 8)
        grain, quantity = rng.choice(("length", "any")), rng.randint(1, 6)
        area = float((length + kerf) * (width + kerf))
        quantity = min(quantity, int(room // area))
        if quantity:
            panels.append(Panel(f"part {number}", length, width, quantity, grain, filler=False, stocks=suits))
            room -= area * quantity
    return Group(tuple(stocks), tuple(panels), tuple(cleats)), Rules(kerf, Fraction(1, 32), Fraction(45))


def measure(seed: int, seconds: float, *, one_stock: bool = False) -> dict[str, Any]:
    """Solve one job and say how it went."""
    gridded = put_on_grid(*shop_job(seed, one_stock=one_stock))
    problem = gridded.problem
    begun = time.perf_counter()
    found = solve(problem, Stop.after(seconds))
    spent = time.perf_counter() - begun
    cheapest = min(stock.cost for stock in problem.bins if stock.cost)
    return {
        "job": seed,
        "pieces": sum(item.demand for item in problem.items) + sum(bar.demand for bar in problem.bars),
        "cost": float(Fraction(found.cost, gridded.money)),
        "bound": float(Fraction(min(found.bound.cost, found.cost), gridded.money)),
        "kind": found.bound.kind,
        "proven": found.proven,
        "within_one_piece": found.cost - found.bound.cost <= cheapest,
        "seconds": round(spent, 2),
        "sheets": len(found.plan or ()),
    }


def main() -> None:
    """Run the jobs asked for and append one line for each and one for all."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=10.0)
    parser.add_argument("--count", type=int, default=100)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--one-stock", action="store_true", help="the same parts from 96 x 48 in sheets alone")
    asked = parser.parse_args()
    name = "shop jobs, one stock" if asked.one_stock else "shop jobs"
    load()
    # what a process loads at first use is there before the clock runs
    measure(asked.first, 0.5, one_stock=asked.one_stock)
    rows = []
    for seed in range(asked.first, asked.first + asked.count):
        rows.append(measure(seed, asked.seconds, one_stock=asked.one_stock))
        print(" ".join(f"{key}={value}" for key, value in rows[-1].items()), flush=True)
    proven = [row for row in rows if row["proven"]]
    total = {
        "jobs": len(rows),
        "proven": len(proven),
        "proven_within_1_s": sum(row["seconds"] <= 1 for row in proven),
        "above_one_piece": sum(not row["within_one_piece"] for row in rows),
        "cost_over_bound": round(sum(row["cost"] for row in rows) / sum(row["bound"] for row in rows), 5),
    }
    print(total)
    append(RESULTS, protocol(name, seconds=asked.seconds, first=asked.first, count=asked.count) | total)


if __name__ == "__main__":
    sys.exit(main())
