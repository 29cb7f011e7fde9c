"""Stopping a hard job: soon, with the best plan so far, and with nothing left running."""

from __future__ import annotations

import threading
import time
from pathlib import Path

import pytest

from nesting.make import Progress, plan_project
from nesting.project.read import project_from_mapping
from tests.hard_job import hard
from tests.leisure import LEISURE


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

    made = plan_project(project_from_mapping(hard()), seconds=120, cancel=cancel, observer=watch)
    ended = time.perf_counter()
    assert not made.plan.proven
    assert made.plan.cost == costs[-1] == min(costs)
    assert ended - cancelled[0] < LEISURE
    assert any(warning.code == "unproven" for warning in made.plan.warnings)
    for thread in set(threading.enumerate()) - threads:
        thread.join(LEISURE)
    assert set(threading.enumerate()) <= threads
    assert _children() <= children


@pytest.mark.parametrize("seconds", [1.0, 3.0])
def test_the_time_given_is_kept(seconds: float) -> None:
    plan_project(project_from_mapping(hard(1)), seconds=0.1)  # what has to be loaded is loaded
    begun = time.perf_counter()
    made = plan_project(project_from_mapping(hard()), seconds=seconds)
    assert time.perf_counter() - begun < seconds + LEISURE  # 0.2 to 0.5 s for order and check where it is idle
    assert not made.plan.proven
    assert made.plan.cost_bound < made.plan.cost
