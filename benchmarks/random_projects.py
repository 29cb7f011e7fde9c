"""Long runs of random projects and of tiny jobs against brute force; one JSON line a run.

python -m benchmarks.random_projects --count 2000
python -m benchmarks.random_projects --count 2000 --tiny
python -m benchmarks.random_projects --count 500 --walls
"""

from __future__ import annotations

import argparse
import statistics
import time
import traceback
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, Phase, given, seed, settings

from benchmarks.record import append, protocol
from tests.main_job.judge import Verdict, judge_project, judge_tiny
from tests.strategies import fitted_walls, projects, tiny_jobs

RESULTS = Path(__file__).parent / "results" / "random_projects.jsonl"
BATCH = 100
SHOWN = 5


def run(count: int, first_seed: int, seconds: float, *, tiny: bool, walls: bool = False) -> dict[str, Any]:
    """Judge ``count`` random jobs in batches of their own seeds; print what is faulty, return the tally."""
    strategy: Any = tiny_jobs() if tiny else fitted_walls() if walls else projects()
    judge: Callable[[Any, float], Verdict] = judge_tiny if tiny else judge_project
    outcomes: Counter[str] = Counter()
    took: list[float] = []
    faulty = 0

    def one(job: Any) -> None:
        nonlocal faulty
        try:
            verdict = judge(job, seconds)
        except Exception:
            verdict = Verdict("raised", (traceback.format_exc(),), 0.0)
        outcomes[verdict.outcome] += 1
        took.append(verdict.seconds)
        if verdict.faults:
            faulty += 1
            if faulty <= SHOWN:
                print(job, *verdict.faults, sep="\n", flush=True)

    begun = time.perf_counter()
    for batch in range(-(-count // BATCH)):
        size = min(BATCH, count - batch * BATCH)
        quiet = settings(
            max_examples=size,
            deadline=None,
            database=None,
            phases=[Phase.generate],
            suppress_health_check=list(HealthCheck),
        )
        seed(first_seed + batch)(quiet(given(strategy)(one)))()
        print(f"{len(took)} judged, {faulty} faulty, {time.perf_counter() - begun:.0f} s", flush=True)
    took.sort()
    return {
        "count": len(took),
        "faults": faulty,
        **dict(sorted(outcomes.items())),
        "median_seconds": round(statistics.median(took), 3),
        "p95_seconds": round(took[int(0.95 * len(took))], 3),
        "longest_seconds": round(took[-1], 3),
    }


def main() -> None:
    """Read the options, run, append the result."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--count", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--seconds", type=float, help="a job; default 0.5, tiny jobs 20")
    parser.add_argument("--tiny", action="store_true", help="tiny jobs against brute force")
    parser.add_argument("--walls", action="store_true", help="walls with holders")
    options = parser.parse_args()
    seconds = options.seconds or (20.0 if options.tiny else 0.5)
    name = "tiny jobs against brute force" if options.tiny else "random walls" if options.walls else "random projects"
    row = protocol(name, seed=options.seed, seconds_a_job=seconds)
    row |= run(options.count, options.seed, seconds, tiny=options.tiny, walls=options.walls)
    append(RESULTS, row)
    print(row)


if __name__ == "__main__":
    main()
