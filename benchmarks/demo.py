"""Time the demo as its user meets it: from process start to the first whole plan and to the end, with peak memory.

Run with the environment whose ``cleatwright`` is to be measured: ``python -m benchmarks.demo --runs 5``. The first
run after an installation is measured by running this right after it, ``--runs 1``, with an empty cache folder.
"""

from __future__ import annotations

import argparse
import re
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

from benchmarks.record import append, protocol

RESULTS = Path(__file__).parent / "results" / "demo.jsonl"


def once(folder: Path) -> dict[str, Any]:
    """Plan the starter file in a new process and say when its first cost was told, and what was proven."""
    command = [sys.executable, "-m", "cli", "plan", str(folder / "demo.toml"), "--out", str(folder / "demo")]
    begun = time.perf_counter()
    process = subprocess.Popen(command, stderr=subprocess.PIPE, stdout=subprocess.DEVNULL, text=True)
    first = None
    for line in process.stderr or ():
        if first is None and re.search(r"cost \d", line):
            first = time.perf_counter() - begun
    status = process.wait()
    return {"first_plan": round(first or -1, 2), "whole": round(time.perf_counter() - begun, 2), "status": status}


def main() -> None:
    """Run and record."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=5)
    parser.add_argument("--note", default="warm")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        subprocess.run([sys.executable, "-m", "cli", "new", "--wall", str(folder / "demo.toml")], check=True)
        rows = [once(folder) for _ in range(asked.runs)]
    peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    total = {"runs": rows, "peak_mb": round(peak)}
    print(total)
    append(RESULTS, protocol("demo", note=asked.note, runs_asked=asked.runs) | total)


if __name__ == "__main__":
    main()
