"""Same input and seed, same plan, whenever the search ends before the limit; whatever the hash seed."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from nesting.make import plan_project
from nesting.project.read import project_from_mapping

ROOT = Path(__file__).parents[2]
BAY: dict[str, Any] = {
    "project": {"name": "bay"},
    "saw": {"kerf": "1/8", "edge_trim": "1/8"},
    "sheet": [
        {"name": "birch", "length": 96, "width": 48, "thickness": "23/32", "price": 86.5},
        {"name": "half", "length": 48, "width": 48, "thickness": "23/32", "price": 49},
    ],
    "offcut": [{"name": "rest", "length": 31, "width": 17, "thickness": "23/32"}],
    "cleats": {"wall_height": 3, "holder_height": 4},
    "cleat": [
        {"name": "row", "length": 40, "quantity": 4},
        {"name": "back", "kind": "holder", "length": 14, "quantity": 3},
    ],
    "part": [
        {"name": "shelf", "length": 23, "width": 11, "thickness": "23/32", "quantity": 3},
        {"name": "side", "length": 15, "width": "9 1/4", "thickness": "23/32", "quantity": 2, "grain": "any"},
        {"name": "box", "length": 7, "width": 5, "thickness": "23/32", "quantity": 3, "grain": "any", "filler": True},
    ],
}
STAGED = {**BAY, "saw": {**BAY["saw"], "max_stages": 3}}
ELSEWHERE = """
import json, sys
from tests.main_job.test_repeatable import text
print(text(json.loads(sys.argv[1]), int(sys.argv[2])))
"""


def text(mapping: dict[str, Any], seed: int) -> str:
    """Plan a project and return the plan as JSON."""
    plan = plan_project(project_from_mapping(mapping), seconds=60, seed=seed).plan
    assert plan.proven, "this job has to end before the limit"
    return plan.model_dump_json(by_alias=True)


@pytest.mark.parametrize("mapping", [BAY, STAGED], ids=["free", "three stages"])
def test_a_plan_is_the_same_each_time_and_in_another_process(mapping: dict[str, Any]) -> None:
    here = text(mapping, 3)
    assert text(mapping, 3) == here
    for hashing in ("12345",):
        ran = subprocess.run(
            [sys.executable, "-c", ELSEWHERE, json.dumps(mapping), "3"],
            cwd=ROOT,
            env={**os.environ, "PYTHONHASHSEED": hashing, "PYTHONPATH": str(ROOT)},
            capture_output=True,
            text=True,
            check=True,
        )
        assert ran.stdout.strip() == here
