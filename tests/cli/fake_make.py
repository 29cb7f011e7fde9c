"""Stands in for the whole way from a project to a plan, so that the command line is tested by itself.

As a program (``python fake_make.py BEHAVIOUR plan …``) it is the command line with that stand-in.
"""

from __future__ import annotations

import sys
import threading
import time
import types
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from nesting.errors import Bug, CannotBeDone
from tests.paper.sample_plan import sample_plan


@dataclass(frozen=True)
class Progress:
    elapsed: float
    cost: Fraction | None
    bound: Fraction
    phase: str


@dataclass(frozen=True)
class Made:
    plan: Any
    summary: tuple[str, ...]


def _proven(_project, **_options):
    return Made(sample_plan(), ("Easier cutting would cost no more.",))


def _open(_project, *, observer, **_options):
    observer(Progress(0.1, None, Fraction(5), "bounds"))
    time.sleep(0.15)
    observer(Progress(0.3, Fraction(20), Fraction(10), "improving"))
    time.sleep(0.15)
    return Made(sample_plan(cost=20.0, cost_bound=10.0, proven=False), ())


def _until_stopped(_project, *, observer, cancel, **_options):
    observer(Progress(0.1, Fraction(20), Fraction(10), "improving"))
    cancel.wait(60)
    return Made(sample_plan(cost=20.0, cost_bound=10.0, proven=False), ())


def _deaf(_project, *, observer, **_options):
    observer(Progress(0.1, Fraction(20), Fraction(10), "improving"))
    threading.Event().wait(60)


def _nothing_found(_project, *, observer, cancel, **_options):
    observer(Progress(0.1, None, Fraction(10), "bounds"))
    cancel.wait(60)
    raise CannotBeDone(["no plan was found in the time given"])


def raising(error: BaseException) -> Callable[..., Any]:
    def raise_it(_project, **_options):
        raise error

    return raise_it


BEHAVIOURS: dict[str, Callable[..., Any]] = {
    "proven": _proven,
    "open": _open,
    "until stopped": _until_stopped,
    "deaf": _deaf,
    "nothing found": _nothing_found,
    "impossible": raising(CannotBeDone(["part 'a' fits no stock", "part 'b' fits no stock"])),
    "bug": raising(Bug("the plan fails its own check:\n[red]A1[/red]: a fault\x1b[31m")),
    "surprise": raising(RuntimeError("first line\nsecond line")),
    "memory": raising(MemoryError()),
}


def fake_make(behaviour: Callable[..., Any]) -> types.ModuleType:
    module = types.ModuleType("nesting.make")
    module.plan_project = behaviour  # type: ignore[attr-defined]
    return module


if __name__ == "__main__":
    from cli.__main__ import run

    sys.modules["nesting.make"] = fake_make(BEHAVIOURS[sys.argv.pop(1)])
    run()
