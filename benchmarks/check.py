"""Seconds of processor time that the checker takes: plans of 100, 1,000 and 10,000 parts, and one tree 1,000 deep.

Run from the top of the repository: ``python -m benchmarks.check``. The plans are sound: sheets ripped into 100 strips
each. Of several checks of a plan the quickest counts.
"""

from __future__ import annotations

import argparse
from pathlib import Path

from benchmarks.record import append, protocol
from tests.check.strips import seconds_of_checking, sheets_of_strips

RESULTS = Path(__file__).parent / "results" / "check.jsonl"
SHAPES = {"100 parts": (1, 100), "1,000 parts": (10, 100), "10,000 parts": (100, 100), "1,000 deep": (1, 1000)}


def main() -> None:
    """Measure, and keep one line."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--runs", type=int, default=5)
    runs = asked.parse_args().runs
    seconds = {name: round(seconds_of_checking(sheets_of_strips(*shape), runs), 4) for name, shape in SHAPES.items()}
    row = {**protocol("check", runs=runs), "cpu_seconds": seconds}
    append(RESULTS, row)
    print(row)


if __name__ == "__main__":
    main()
