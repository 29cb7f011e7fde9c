"""Random jobs planned, stopped anywhere, a piece spoiled or cut short, and planned anew; one JSON line a run.

python -m benchmarks.replans --cases 500 --seed 1
"""

from __future__ import annotations

import argparse
import random
import statistics
import time
import traceback
from collections import Counter
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st

from benchmarks.record import append, protocol
from tests.replan.judge import Verdict, judge
from tests.strategies import fitted_walls, projects

RESULTS = Path(__file__).parent / "results" / "replans.jsonl"
BATCH = 50
SHOWN = 5


def run(cases: int, first_seed: int, seconds: float) -> dict[str, Any]:
    """Judge jobs until ``cases`` of them could be planned; print what is faulty, return the tally."""
    outcomes: Counter[str] = Counter()
    found: list[Verdict] = []
    faulty = 0

    def one(job: Any, dice: int) -> None:
        nonlocal faulty
        if len(found) >= cases:
            return
        try:
            verdict = judge(job, random.Random(dice), seconds)
        except Exception:
            verdict = Verdict("raised", (traceback.format_exc(),))
        outcomes[verdict.outcome] += 1
        if verdict.outcome != "no plan":
            found.append(verdict)
        if verdict.faults:
            faulty += 1
            if faulty <= SHOWN:
                print(job, dice, *verdict.faults, sep="\n", flush=True)

    begun = time.perf_counter()
    batch = 0
    quiet = settings(
        max_examples=BATCH,
        deadline=None,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    while len(found) < cases:
        jobs = fitted_walls() if batch % 4 == 3 else projects()
        seed(first_seed * 1000 + batch)(quiet(given(jobs, st.integers(0, 2**31))(one)))()
        batch += 1
        print(f"{len(found)} judged, {faulty} faulty, {time.perf_counter() - begun:.0f} s", flush=True)
    took = sorted(verdict.seconds for verdict in found)
    bought = [verdict for verdict in found if verdict.outcome == "bought"]
    return {
        "cases": len(found),
        "faults": faulty,
        **dict(sorted(outcomes.items())),
        "cheaper_than_anew": sum(v.anew is not None and v.more < v.anew - 0.005 for v in found),
        "as_dear_as_anew": sum(v.anew is not None and abs(v.more - v.anew) <= 0.005 for v in bought),
        "no_open_step_changed": sum(v.changed == 0 for v in found if v.outcome in ("fits", "bought")),
        "median_seconds": round(statistics.median(took), 3),
        "p95_seconds": round(took[int(0.95 * len(took))], 3),
        "longest_seconds": round(took[-1], 3),
    }


def main() -> None:
    """Read the options, run, append the result."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--cases", type=int, default=500, help="jobs that could be planned")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--seconds", type=float, default=1.0, help="for planning anew")
    options = parser.parse_args()
    row = protocol("random jobs planned anew", seed=options.seed, seconds_a_case=options.seconds)
    row |= run(options.cases, options.seed, options.seconds)
    append(RESULTS, row)
    print(row)


if __name__ == "__main__":
    main()
