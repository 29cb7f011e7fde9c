"""When to stop: a time limit and a cancel token in one object that every loop asks."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace

WATCHED_SECONDS = 0.05
"""Between two looks whether a solver at work is to be interrupted."""
HELD_SECONDS = 0.005
"""Between two looks whether an answer is still to be kept back."""


@dataclass(frozen=True, slots=True)
class Stop:
    """Says whether to go on; made once for a job and handed down.

    ``deadline`` is on the :func:`time.perf_counter` clock. Setting ``cancel`` from any thread stops
    the job at its next question; so does any of ``also``, which end only a part of it. While ``hold`` is set the answer
    is kept back, so that who asks waits.
    """

    deadline: float
    cancel: threading.Event = field(default_factory=threading.Event)
    also: tuple[threading.Event, ...] = ()
    hold: threading.Event | None = None

    @classmethod
    def after(cls, seconds: float, cancel: threading.Event | None = None) -> Stop:
        """Return a stop ``seconds`` from now.

        >>> Stop.after(0).reached()
        True
        """
        return cls(time.perf_counter() + seconds, cancel or threading.Event())

    def left(self) -> float:
        """Seconds left, never negative; 0 once cancelled."""
        while self.hold is not None and self.hold.is_set() and self._seconds():
            time.sleep(HELD_SECONDS)
        return self._seconds()

    def _seconds(self) -> float:
        if self.cancel.is_set() or any(event.is_set() for event in self.also):
            return 0.0
        return max(0.0, self.deadline - time.perf_counter())

    def reached(self) -> bool:
        """Whether time is up or the job was cancelled."""
        return self.left() <= 0.0

    def within(self, seconds: float) -> Stop:
        """Return a stop that comes ``seconds`` from now at the latest, with the same cancel token."""
        return replace(self, deadline=min(self.deadline, time.perf_counter() + seconds))

    def unless(self, event: threading.Event) -> Stop:
        """Return a stop that also comes once an event is set.

        >>> over = threading.Event()
        >>> over.set()
        >>> Stop.after(1).unless(over).reached()
        True
        """
        return replace(self, also=(*self.also, event))

    def held(self, event: threading.Event) -> Stop:
        """Return a stop that keeps its answers back while an event is set.

        >>> Stop.after(0).held(threading.Event()).reached()
        True
        """
        return replace(self, hold=event)

    @contextmanager
    def watched(self, interrupt: Callable[[], object]) -> Iterator[None]:
        """Call ``interrupt`` from another thread, again and again, once time is up or the job is cancelled.

        For a solver at work in the block, which is not asked before it ends.

        >>> over = threading.Event()
        >>> with Stop.after(0).watched(over.set):
        ...     over.wait(5)
        True
        """
        finished = threading.Event()

        def watch() -> None:
            while not finished.wait(WATCHED_SECONDS):
                if self.reached():
                    interrupt()

        watcher = threading.Thread(target=watch, daemon=True)
        watcher.start()
        try:
            yield
        finally:
            finished.set()
            watcher.join()
