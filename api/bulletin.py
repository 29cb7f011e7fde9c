"""From the thread that learns what happened to the streams that wait for it, inside one server."""

from __future__ import annotations

import asyncio
import contextlib
import threading
from collections.abc import Iterable, Iterator

from api.store.events import EventRow

Queue = asyncio.Queue[EventRow | None]


class Bulletin:
    """Hands every event to the streams of its plan; None is the sign that the server ends."""

    def __init__(self) -> None:
        self._lock = threading.RLock()  # a signal may come while it is held
        self._loop: asyncio.AbstractEventLoop | None = None
        self._queues: dict[str, set[Queue]] = {}
        self._closed = False

    def open(self, loop: asyncio.AbstractEventLoop) -> None:
        """Begin: the streams live in this loop."""
        with self._lock:
            self._loop, self._closed = loop, False

    @property
    def streams(self) -> int:
        """How many streams are open."""
        with self._lock:
            return sum(map(len, self._queues.values()))

    @contextlib.contextmanager
    def listening(self, plan_id: str) -> Iterator[Queue]:
        """Give a stream its queue; to be used in the loop."""
        queue: Queue = asyncio.Queue()
        with self._lock:
            self._queues.setdefault(plan_id, set()).add(queue)
            if self._closed:
                queue.put_nowait(None)
        try:
            yield queue
        finally:
            with self._lock:
                self._queues[plan_id].discard(queue)
                if not self._queues[plan_id]:
                    del self._queues[plan_id]

    def post(self, events: Iterable[EventRow | None]) -> None:
        """Hand events over, from any thread; a None among them (nothing came of it) is passed over."""
        real = [event for event in events if event is not None]
        if real:
            self._in_loop(lambda: self._deliver(real))

    def close(self) -> None:
        """Let every stream end, from any thread."""
        with self._lock:
            self._closed = True
        self._in_loop(self._end_all)

    def _in_loop(self, act: object) -> None:
        with self._lock:
            loop = self._loop
        if loop is not None:
            with contextlib.suppress(RuntimeError):  # the loop has ended, and its streams with it
                loop.call_soon_threadsafe(act)  # type: ignore[arg-type]

    def _deliver(self, events: list[EventRow]) -> None:
        for event in events:
            with self._lock:
                queues = list(self._queues.get(event.plan, ()))
            for queue in queues:
                queue.put_nowait(event)

    def _end_all(self) -> None:
        with self._lock:
            queues = [queue for some in self._queues.values() for queue in some]
        for queue in queues:
            queue.put_nowait(None)
