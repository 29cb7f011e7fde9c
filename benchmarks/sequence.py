"""Settings at the saw, measured: fewest settings, their proofs and their times on random guillotine layouts.

Usage: python -m benchmarks.sequence [--jobs 60] [--large 5] [--repeat 3] [--choice 12] [--note TEXT]
       python -m benchmarks.sequence --replay 500 --start 0

Protocol: jobs with fixed seeds from ``tests/sequence/random_layouts.py`` (8 sizes and one cleat strip, edge trim
1/4 in, bevel rips included), the saw's usual values in inches, one thread, solver loaded beforehand. Three sets:
jobs of 1 to 8 stock pieces and up to 150 parts at 1 s; the same at 0 s, for the first valid sequence; five jobs of
some 500 parts at 5 s. "Sheet by sheet" works the layouts as drawn, each to its end, depth first. Times are
seconds of the processor, the best of ``--repeat`` runs of the same job, for a machine that others use too. A fourth set
measures the choice of layout: generated workshop jobs (``benchmarks/shop_jobs.py``) cut for 2 s each, the first of the
layouts of equal cost against the one chosen. Every sequence is replayed on bare rectangles before it counts;
``--replay`` does only that, on so many random jobs from the seed ``--start``, with saws that differ. One line a run is
appended to ``benchmarks/results/sequence.jsonl``.
"""

from __future__ import annotations

import argparse
import datetime
import json
import statistics
import sys
import time
from dataclasses import replace
from pathlib import Path

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE.parent), str(HERE.parent / "tests" / "sequence")]

from random_layouts import KERF, random_job  # noqa: E402
from replay_by_hand import kept, play  # noqa: E402

import nesting.sequence.lazy_slots  # noqa: E402, F401 - loads the solver before the clock runs
from benchmarks.record import commit, machine  # noqa: E402
from benchmarks.shop_jobs import shop_job  # noqa: E402
from nesting.layout import Layout  # noqa: E402
from nesting.sequence import Work, plan_choice, plan_work  # noqa: E402
from nesting.sequence.count import station_changes  # noqa: E402
from nesting.solve.cutting import cut_group  # noqa: E402
from nesting.solve.stop import Stop  # noqa: E402
from nesting.trade.saw import Saw  # noqa: E402

SAW = Saw(KERF)


def jobs(count: int) -> list[list[Layout]]:
    """Return the first jobs of 1 to 8 stock pieces that have 5 to 150 parts."""
    found: list[list[Layout]] = []
    seed = 0
    while len(found) < count:
        layouts = random_job(seed, 1 + seed % 8, 6 + seed % 17)
        seed += 1
        if 5 <= parts(layouts) <= 150:
            found.append(layouts)
    return found


def large_jobs(count: int) -> list[list[Layout]]:
    """Return the first jobs of 30 stock pieces that have 450 to 650 parts."""
    found: list[list[Layout]] = []
    seed = 5000
    while len(found) < count:
        layouts = random_job(seed, 30, 26)
        seed += 1
        if 450 <= parts(layouts) <= 650:
            found.append(layouts)
    return found


def parts(layouts: list[Layout]) -> int:
    """Count the parts of a job."""
    return sum(node.role == "part" for layout in layouts for node in layout.tree.walk())


def timed(layouts: list[Layout], seconds: float, repeat: int) -> tuple[Work, float]:
    """Return the work planned and the least processor time of so many runs, once it has been replayed."""
    took = []
    for _ in range(repeat):
        start = time.process_time()
        work = plan_work(layouts, SAW, seconds=seconds)
        took.append(time.process_time() - start)
    replayed(layouts, work)
    return work, min(took)


def replayed(layouts: list[Layout], work: Work) -> None:
    """Play the steps on bare rectangles; end the program where a part is lost."""
    play(work.layouts, work.sequence.steps, KERF)
    if kept(work.layouts) != kept(layouts):
        raise SystemExit("a part was lost")


def choice_of_layout(count: int) -> dict[str, object]:
    """Return what the choice among layouts of equal cost saves on workshop jobs."""
    totals = {"first": 0, "chosen": 0}
    among = []
    for seed in range(count):
        group, rules = shop_job(seed)
        names = {stock.name: letter for stock, letter in zip(group.stocks, "ABCD", strict=False)}
        cutting = cut_group(group, rules, "in", names, Stop.after(2.0), 0)
        if not cutting.candidates:
            continue
        saw = Saw(rules.kerf)
        stocks = {stock.name: stock for stock in group.stocks}
        first = plan_work(cutting.candidates[0], saw, stocks=stocks)
        chosen = plan_choice([cutting.candidates], saw, stocks=stocks)
        play(chosen.layouts, chosen.sequence.steps, rules.kerf)
        totals["first"] += first.sequence.setups.total
        totals["chosen"] += chosen.sequence.setups.total
        among.append(len(cutting.candidates))
    saved = round(1 - totals["chosen"] / totals["first"], 4)
    return {"jobs": len(among), "sets_of_equal_cost": sum(among), **totals, "saved": saved}


def replay(start: int, count: int) -> dict[str, object]:
    """Plan and replay random jobs with saws that differ; return how many, and how many were proven."""
    proven = steps = 0
    for seed in range(start, start + count):
        layouts = random_job(seed, 1 + seed % 3, 4 + seed % 13)
        saw = replace(SAW, sled_shares_table=seed % 2 == 0, fence_side="left" if seed % 5 == 0 else "right")
        work = plan_work(layouts, saw, seconds=0.2, group=2 if seed % 7 == 0 else None)
        replayed(layouts, work)
        proven += work.sequence.setups.proven
        steps += len(work.sequence.steps)
    return {"from_seed": start, "jobs": count, "steps": steps, "proven": proven, "faults": 0}


def figures(found: list[tuple[Work, float]]) -> dict[str, object]:
    """Return the sums and the times of a set."""
    setups = [work.sequence.setups for work, _ in found]
    settings, bound = sum(s.total for s in setups), sum(s.bound for s in setups)
    drawn = sum(work.sheet_by_sheet or 0 for work, _ in found)
    times = sorted(took for _, took in found)
    return {
        "jobs": len(found),
        "settings": settings,
        "bound": bound,
        "above_bound": round(settings / bound - 1, 4),
        "sheet_by_sheet": drawn,
        "saved": round(1 - settings / drawn, 4),
        "proven": sum(s.proven for s in setups),
        "station_changes": sum(station_changes(work.sequence.steps) for work, _ in found),
        "median_s": round(statistics.median(times), 4),
        "p95_s": round(times[int(0.95 * (len(times) - 1))], 4),
        "worst_s": round(times[-1], 4),
    }


def main() -> None:
    """Run the sets, print their figures, append them to the results."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--jobs", type=int, default=60)
    options.add_argument("--large", type=int, default=5)
    options.add_argument("--repeat", type=int, default=3)
    options.add_argument("--choice", type=int, default=12)
    options.add_argument("--replay", type=int, default=0)
    options.add_argument("--start", type=int, default=0)
    options.add_argument("--note", default="")
    chosen = options.parse_args()
    record: dict[str, object] = {
        "date": datetime.datetime.now(datetime.UTC).date().isoformat(),
        "commit": commit(),
        "machine": machine(),
        "protocol": "random guillotine layouts, fixed seeds, one thread, see benchmarks/sequence.py",
        "note": chosen.note,
    }
    if chosen.replay:
        record["replay"] = replay(chosen.start, chosen.replay)
    else:
        small, repeat = jobs(chosen.jobs), chosen.repeat
        record |= {
            "repeat": repeat,
            "to 150 parts, 1 s": figures([timed(layouts, 1.0, repeat) for layouts in small]),
            "first sequence, 0 s": figures([timed(layouts, 0.0, repeat) for layouts in small]),
            "500 parts, 5 s": figures([timed(layouts, 5.0, repeat) for layouts in large_jobs(chosen.large)]),
        }
        if chosen.choice:
            record["choice of layout"] = choice_of_layout(chosen.choice)
    for name, value in record.items():
        print(f"{name}: {value}")
    results = HERE / "results" / "sequence.jsonl"
    results.parent.mkdir(exist_ok=True)
    with results.open("a", encoding="utf-8") as file:
        file.write(json.dumps(record) + "\n")


if __name__ == "__main__":
    main()
