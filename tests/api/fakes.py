"""Stands in for the engine: a test says what each search tells, or lets it end at once with a small plan."""

from __future__ import annotations

import base64
import json
import time
from collections.abc import Callable
from functools import cache
from queue import SimpleQueue
from typing import Any

from api.engines import News, Run
from nesting.paper.contents import contents
from tests.paper.sample_plan import sample_plan


def done(**changes: Any) -> dict[str, Any]:
    """The last message of a search that found a plan."""
    plan = sample_plan()
    return {
        "kind": "done", "cost": plan.cost, "cost_bound": plan.cost_bound, "proven": plan.proven,
        "summary": ["Nothing cheaper can do it."], "files": dict(_papers()), **changes,
    }  # fmt: skip


@cache
def _papers() -> dict[str, str]:
    return {name: base64.b64encode(text).decode() for name, text in contents(sample_plan()).items()}


def progress(cost: float | None = 20.0, bound: float = 10.0, phase: str = "improving") -> dict[str, Any]:
    return {"kind": "progress", "elapsed": 0.5, "cost": cost, "bound": bound, "phase": phase}


class FakeEngine:
    """Notes what it is asked; ``at_once``: every search ends as it begins."""

    def __init__(self, *, at_once: bool = False) -> None:
        self.news: SimpleQueue[News | None] = SimpleQueue()
        self.at_once = at_once
        self.begun: list[Run] = []
        self.orders: list[dict[str, Any]] = []
        self.killed: list[Run] = []
        self.finished: list[Run] = []
        self.closed = False

    def begin(self, run: Run, order: str) -> None:
        self.begun.append(run)
        self.orders.append(json.loads(order))
        if self.at_once:
            self.say(run, done())

    def say(self, run: Run, message: dict[str, Any]) -> None:
        self.news.put(News(run, message))

    def finish(self, run: Run) -> None:
        if run not in self.finished:
            self.finished.append(run)

    def kill(self, run: Run) -> None:
        self.killed.append(run)

    def close(self) -> None:
        self.closed = True


def until(condition: Callable[[], Any], seconds: float = 60.0) -> Any:
    """Wait until something holds, and return it; on a busy machine it may take its time."""
    ends = time.monotonic() + seconds
    while True:
        if found := condition():
            return found
        assert time.monotonic() < ends, "waited in vain"
        time.sleep(0.01)
