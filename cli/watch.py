"""A long piece of work beside its watcher: the work in a thread, signals and progress in the main one.

The first Ctrl-C (or a request to end) asks the work to finish with what it has; the second gives it up.
"""

from __future__ import annotations

import signal
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from types import FrameType, TracebackType
from typing import Any, Generic, Protocol, TypeVar

import typer

from cli.exits import GIVEN_UP

T = TypeVar("T")
P = TypeVar("P")
P_contra = TypeVar("P_contra", contravariant=True)
Work = Callable[[threading.Event, Callable[[P], None]], T]
_SECONDS_BETWEEN_LOOKS = 0.05
_SIGNALS = (signal.SIGINT, signal.SIGTERM)
_Handler = Any  # what signal.signal() returns: a function, a number, or nothing


class Shows(Protocol[P_contra]):
    """Shows how a piece of work goes, while it is entered."""

    def __enter__(self) -> object: ...

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None: ...

    def show(self, progress: P_contra, elapsed: float) -> None:
        """Show the latest state; ``elapsed`` seconds have gone by now."""

    def note(self, line: str) -> None:
        """Say something beside the progress."""


@dataclass(slots=True)
class Outcome(Generic[T]):
    """What the work came to; ``error`` where it failed. ``stopped``: somebody asked it to finish early."""

    value: T | None = None
    error: BaseException | None = None
    stopped: bool = False


def watched(
    work: Work[P, T],
    view: Shows[P],
    stopping: str = "Stopping: the best plan so far is being finished. Ctrl-C again gives it up.",
) -> Outcome[T]:
    """Carry out ``work`` and show its progress; raises :class:`typer.Exit` where it is given up."""
    outcome: Outcome[T] = Outcome()
    cancel = threading.Event()
    latest: list[P] = []

    def carry_out() -> None:
        try:
            outcome.value = work(cancel, lambda progress: latest.__setitem__(slice(None), [progress]))
        except BaseException as error:
            outcome.error = error

    thread = threading.Thread(target=carry_out, name="plan", daemon=True)
    with view, _Requests() as requests:
        begun, told = time.monotonic(), False
        thread.start()
        while thread.is_alive():
            requests.wait(_SECONDS_BETWEEN_LOOKS, thread)
            for progress in latest[:]:
                view.show(progress, time.monotonic() - begun)
            if requests.count and not told:
                told = True
                cancel.set()
                view.note(stopping)
            if requests.count > 1 and thread.is_alive():
                raise typer.Exit(GIVEN_UP)
    outcome.stopped = cancel.is_set()
    return outcome


class _Requests:
    """Counts the signals that ask to stop, while it is entered.

    Native solvers install handlers of their own, which would take Ctrl-C from us or end the process. So the
    signals are held back from every thread and fetched one by one, where the system can do that; elsewhere a
    handler counts them.
    """

    def __init__(self) -> None:
        self.count = 0
        self._here = threading.current_thread() is threading.main_thread()
        self._fetched = self._here and hasattr(signal, "sigtimedwait")
        self._before: dict[signal.Signals, _Handler] = {}

    def __enter__(self) -> _Requests:
        if self._here:
            self._before = {number: signal.signal(number, self._count) for number in _SIGNALS}
        if self._fetched:
            signal.pthread_sigmask(signal.SIG_BLOCK, _SIGNALS)
        return self

    def __exit__(self, *_error: object) -> None:
        for number, handler in self._before.items():  # anew, whatever native code has put in their place
            signal.signal(number, handler)
        if self._fetched:
            signal.pthread_sigmask(signal.SIG_UNBLOCK, _SIGNALS)

    def wait(self, seconds: float, thread: threading.Thread) -> None:
        """Let some time pass, less where a signal or the end of the thread comes before."""
        if not self._fetched:
            thread.join(seconds)
        elif signal.sigtimedwait(_SIGNALS, seconds) is not None:
            self.count += 1

    def _count(self, _number: int, _frame: FrameType | None) -> None:
        self.count += 1
