"""Stopping a hard job: soon, with the best plan so far, and with nothing left running."""

from __future__ import annotations

import random
import threading
import time
from pathlib import Path
from typing import Any

import pytest

from nesting.make import Progress, plan_project
from nesting.project.model import Project
from nesting.project.read import project_from_mapping

LEISURE = 4.0
"""Seconds that a busy machine may take longer, coverage on; an idle one takes 0.2 to 0.5 for order and check."""


def _hard(sheets: int = 8) -> Project:
    """Some two hundred parts of as many sizes that fill the sheets but for a hundredth: nothing is proven soon."""
    rng = random.Random(5)
    room, wanted = 0.99 * sheets * 1243 * 893, []
    while True:
        length, width = rng.randint(120, 420), rng.randint(80, 300)
        room -= (length + 3) * (width + 3)
        if room < 0:
            break
        wanted.append(
            {"name": f"part {len(wanted)}", "length": length, "width": width, "thickness": 18, "grain": "any"}
        )
    mapping: dict[str, Any] = {
        "project": {"name": "hard", "unit": "mm"},
        "saw": {"kerf": 3, "edge_trim": 5},
        "sheet": [{"name": "ply", "length": 1250, "width": 900, "thickness": 18, "price": 40}],
        "part": wanted,
    }
    return project_from_mapping(mapping)


def _children() -> set[str]:
    return set(Path(f"/proc/self/task/{threading.get_native_id()}/children").read_text().split())


def test_a_cancelled_job_ends_soon_keeps_its_best_plan_and_leaves_nothing_running() -> None:
    threads, children = set(threading.enumerate()), _children()
    cancel, costs, cancelled = threading.Event(), [], []

    def watch(news: Progress) -> None:
        if news.cost is not None:
            costs.append(news.cost)
        if news.cost is not None and not cancelled:
            threading.Timer(1.0, press).start()
            cancelled.append(0.0)

    def press() -> None:
        cancelled[0] = time.perf_counter()
        cancel.set()

    made = plan_project(_hard(), seconds=60, cancel=cancel, observer=watch)
    ended = time.perf_counter()
    assert not made.plan.proven
    assert made.plan.cost == costs[-1] == min(costs)
    assert ended - cancelled[0] < LEISURE
    assert any(warning.code == "unproven" for warning in made.plan.warnings)
    for thread in set(threading.enumerate()) - threads:
        thread.join(2)
    assert set(threading.enumerate()) <= threads
    assert _children() <= children


@pytest.mark.parametrize("seconds", [1.0, 3.0])
def test_the_time_given_is_kept(seconds: float) -> None:
    plan_project(_hard(1), seconds=0.1)  # what has to be loaded is loaded
    begun = time.perf_counter()
    made = plan_project(_hard(), seconds=seconds)
    assert time.perf_counter() - begun < seconds + LEISURE
    assert not made.plan.proven
    assert made.plan.cost_bound < made.plan.cost
