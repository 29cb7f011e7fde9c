"""Results files: one JSON line a run, with date, commit, machine and protocol."""

from __future__ import annotations

import json
import os
import platform
import subprocess
from datetime import UTC, datetime
from pathlib import Path
from typing import Any


def commit() -> str:
    """Name the commit of the code that runs, with a plus where it was changed since (results do not count)."""
    told = subprocess.run(["git", "rev-parse", "--short", "HEAD"], capture_output=True, text=True, check=False)
    paths = [":/", ":!/benchmarks/results"]
    changed = subprocess.run(["git", "diff", "--quiet", "HEAD", "--", *paths], capture_output=True, check=False)
    return told.stdout.strip() + ("+" if changed.returncode else "")


def machine() -> str:
    """Name the kind of machine."""
    return f"{platform.machine()}, {os.cpu_count()} cores, Python {platform.python_version()}"


def protocol(name: str, **settings: Any) -> dict[str, Any]:
    """Return what identifies a run: when, which commit, on what machine, under which settings."""
    return {
        "set": name,
        "date": datetime.now(UTC).strftime("%Y-%m-%d %H:%M"),
        "commit": commit(),
        "machine": machine(),
        **settings,
    }


def append(file: Path, row: dict[str, Any]) -> None:
    """Append one line to a results file."""
    file.parent.mkdir(parents=True, exist_ok=True)
    with file.open("a", encoding="utf-8") as out:
        out.write(json.dumps(row) + "\n")
