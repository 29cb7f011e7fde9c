"""A long piece of work beside its watcher: the work in a thread, signals and progress in the main one.

The first Ctrl-C (or a request to end) asks the work to finish with what it has; the second gives it up.
"""

from __future__ import annotations

import signal
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from types import FrameType
from typing import Generic, TypeVar

import typer

from cli.exits import GIVEN_UP
from cli.progress import Progress, View

T = TypeVar("T")
Work = Callable[[threading.Event, Callable[[Progress], None]], T]
_SECONDS_BETWEEN_LOOKS = 0.1
_SIGNALS = tuple(getattr(signal, word) for word in ("SIGINT", "SIGTERM") if hasattr(signal, word))


@dataclass(slots=True)
class Outcome(Generic[T]):
    """What the work came to; ``error`` where it failed. ``stopped``: somebody asked it to finish early."""

    value: T | None = None
    error: BaseException | None = None
    stopped: bool = False


def watched(work: Work[T], view: View) -> Outcome[T]:
    """Carry out ``work`` and show its progress; raises :class:`typer.Exit` where it is given up."""
    outcome: Outcome[T] = Outcome()
    cancel = threading.Event()
    latest: list[Progress] = []

    def carry_out() -> None:
        try:
            outcome.value = work(cancel, lambda progress: latest.__setitem__(slice(None), [progress]))
        except BaseException as error:
            outcome.error = error

    thread = threading.Thread(target=carry_out, name="plan", daemon=True)
    with view, _asked_to_stop(cancel, thread):
        begun, told = time.monotonic(), False
        thread.start()
        while thread.is_alive():
            thread.join(_SECONDS_BETWEEN_LOOKS)
            for progress in latest[:]:
                view.show(progress, time.monotonic() - begun)
            if cancel.is_set() and not told:
                told = True
                view.note("Stopping: the best plan so far is being finished. Ctrl-C again gives it up.")
    outcome.stopped = cancel.is_set()
    return outcome


@contextmanager
def _asked_to_stop(cancel: threading.Event, thread: threading.Thread) -> Iterator[None]:
    """Turn the first signal into a request and the second into an end, where signals come to this thread."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return

    def ask(_number: int, _frame: FrameType | None) -> None:
        if cancel.is_set() and thread.is_alive():
            raise typer.Exit(GIVEN_UP)
        cancel.set()

    before = {number: signal.signal(number, ask) for number in _SIGNALS}
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
