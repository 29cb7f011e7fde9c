"""The rules of who may import whom, and that nothing heavy loads before it is needed."""

import importlib.util
import json
import os
import resource
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
HEAVY = (
    "alembic",
    "fastapi",
    "sqlalchemy",
    "uvicorn",
    "numba",
    "numpy",
    "ortools",
    "pandas",
    "shapely",
    "svgwrite",
    "typst",
    "ezdxf",
    "pydantic",
    "rich.progress",
)
LONGEST_HELP = 0.3  # seconds


def _python(*arguments: str, **variables: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, *arguments],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT), **variables},
        capture_output=True,
        text=True,
        timeout=100,
        check=True,
    )


def test_import_contracts_hold():
    from importlinter.cli import lint_imports

    before = list(sys.path)
    try:
        assert lint_imports(config_filename=str(ROOT / "pyproject.toml"), no_cache=True) == 0
    finally:
        sys.path[:] = before


@pytest.mark.parametrize("module", ["cli.__main__", "cli.main", "nesting", "nesting.lengths", "nesting.errors"])
def test_importing_loads_nothing_heavy(module):
    program = f"import sys, json, {module}; print(json.dumps(sorted(sys.modules)))"
    loaded = json.loads(_python("-c", program).stdout)
    assert module in loaded
    assert [name for name in HEAVY if name in loaded] == []


def test_make_loads_no_solver_before_it_plans():
    program = "import sys, json, nesting.make; print(json.dumps(sorted(sys.modules)))"
    loaded = json.loads(_python("-c", program).stdout)
    assert [name for name in ("numba", "ortools", "shapely", "svgwrite") if name in loaded] == []


def test_help_loads_nothing_heavy_and_is_quick():
    trace = _python("-X", "importtime", "-m", "cli", "--help")
    assert "plan" in trace.stdout
    loaded = {line.rpartition("|")[2].strip() for line in trace.stderr.splitlines()}
    assert "typer" in loaded
    assert [name for name in HEAVY if name in loaded] == []
    assert _quickest(5, "-m", "cli", "--help") < LONGEST_HELP


def _quickest(times: int, *arguments: str) -> float:
    """Return the least processor time of several runs: what else the machine does hardly counts, and never helps."""
    best = float("inf")
    for _ in range(times):
        begun = resource.getrusage(resource.RUSAGE_CHILDREN)
        _python(*arguments)
        ended = resource.getrusage(resource.RUSAGE_CHILDREN)
        best = min(best, ended.ru_utime + ended.ru_stime - begun.ru_utime - begun.ru_stime)
    return best


def test_typed_marker_ships():
    found = importlib.util.find_spec("nesting")
    assert found is not None
    assert found.origin is not None
    assert (Path(found.origin).parent / "py.typed").exists()
