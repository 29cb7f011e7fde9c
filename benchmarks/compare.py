"""Time twelve alternatives of the demo: four cleat heights by three kerfs, planned side by side in processes.

Run on an otherwise idle machine with the kernels compiled already: ``python -m benchmarks.compare``. ``--check`` plans
every alternative once more by itself and counts the plans that differ.
"""

from __future__ import annotations

import argparse
import os
import time
from pathlib import Path

from benchmarks.record import append, protocol
from nesting.compare.alternatives import Asked
from nesting.compare.comparison import compare
from nesting.compare.together import cores
from nesting.make import plan_project
from nesting.plan import plan_to_json
from nesting.project.read import project_from_text
from nesting.project.starter import starter_text

RESULTS = Path(__file__).parent / "results" / "compare.jsonl"
ASKED = Asked(cleat_height=("3", "3 1/2", "4", "4 1/2"), kerf=("1/8", "3/32", "1/16"))


def main() -> None:
    """Run and record."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=10.0)
    parser.add_argument("--check", action="store_true")
    parser.add_argument("--note", default="")
    asked = parser.parse_args()
    job = project_from_text(starter_text(), "toml")
    load = round(os.getloadavg()[0], 1)
    begun = time.perf_counter()
    found = compare(job, ASKED, seconds=asked.seconds)
    whole = round(time.perf_counter() - begun, 1)
    row = {
        "alternatives": len(found.rows),
        "planned": sum(line.plan is not None for line in found.rows),
        "proven": sum(line.plan is not None and line.plan.proven for line in found.rows),
        "spots_confirmed": sum(map(sum, (curve.confirmed for curve in found.curves))),
        "spots": sum(len(curve.spots) for curve in found.curves),
        "whole": whole,
        "load_before": load,
    }
    if asked.check:
        alone = [
            plan_to_json(plan_project(line.alternative.project, seconds=asked.seconds).plan)
            for line in found.rows
            if line.alternative.project is not None
        ]
        together = [plan_to_json(line.plan) for line in found.rows if line.plan is not None]
        row["differ"] = sum(one != other for one, other in zip(alone, together, strict=True))
    print(row)
    append(RESULTS, protocol("compare", seconds=asked.seconds, workers=cores(), note=asked.note) | row)


if __name__ == "__main__":
    main()
