"""The search for one plan, in a process of its own: JSON in, JSON out, nothing else.

An order is ``{"document": project as JSON text, "seconds": n, "seed": n}``. What comes back is a row of messages:
``{"kind": "progress", …}`` any number of times, then one ``done`` (with every paper, in base 64) or ``failed``.
"""

from __future__ import annotations

import base64
import contextlib
import json
import os
import signal
import threading
import time
import traceback
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from api.problems import document, impossible
from nesting.errors import NOT_ENOUGH_MEMORY, CannotBeDone, bug_in_words

if TYPE_CHECKING:
    from multiprocessing.connection import Connection

    from nesting.make import Made, Progress

FINISH: Final = b"finish"
"""Said to a runner: end the search with the best plan there is."""
_BETWEEN_NEWS: Final = 0.25
_POLITENESS: Final = 10

Message = dict[str, Any]
Tell = Callable[[Message], None]


def carry_out(order: str, cancel: threading.Event, tell: Tell) -> Message:
    """Carry out an order and return its last message; progress is told on the way."""
    from nesting.make import plan_project
    from nesting.paper.contents import contents
    from nesting.project.read import project_from_text

    try:
        asked = json.loads(order)
        project = project_from_text(asked["document"], "json")
        news = _News(tell)
        made = plan_project(project, seconds=asked["seconds"], seed=asked["seed"], cancel=cancel, observer=news.watch)
        news.flush()
        return _done(made, contents(made.plan))
    except CannotBeDone as error:
        return {"kind": "failed", "problem": impossible(error)}
    except MemoryError:
        return {"kind": "failed", "problem": document("failed", NOT_ENOUGH_MEMORY)}
    except Exception as error:  # whatever it is, it ends this plan alone; the server's log gets the traceback
        problem = document("failed", bug_in_words(error))
        return {"kind": "failed", "problem": problem, "traceback": traceback.format_exc()}


def _done(made: Made, papers: Any) -> Message:
    plan = made.plan
    return {
        "kind": "done",
        "cost": plan.cost,
        "cost_bound": plan.cost_bound,
        "proven": plan.proven,
        "summary": list(made.summary),
        "files": {name: base64.b64encode(content).decode() for name, content in papers.items()},
    }


class _News:
    """Passes progress on where cost, bound or phase changed, four times a second at most."""

    def __init__(self, tell: Tell) -> None:
        self._tell = tell
        self._said: tuple[object, ...] | None = None
        self._pending: Progress | None = None
        self._last = float("-inf")

    def watch(self, progress: Progress) -> None:
        if (progress.cost, progress.bound, progress.phase) == self._said:
            self._pending = None
            return
        self._pending = progress
        if time.monotonic() - self._last >= _BETWEEN_NEWS:
            self.flush()

    def flush(self) -> None:
        if self._pending is None:
            return
        progress, self._pending = self._pending, None
        self._said = (progress.cost, progress.bound, progress.phase)
        self._last = time.monotonic()
        self._tell(
            {
                "kind": "progress",
                "elapsed": progress.elapsed,
                "cost": None if progress.cost is None else float(progress.cost),
                "bound": float(progress.bound),
                "phase": progress.phase,
            }
        )


def work(connection: Connection, order: str) -> None:
    """Be a runner: carry out one order, and end at once where the server is gone."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C at the terminal is for the server to answer
    _step_back()
    cancel = threading.Event()
    threading.Thread(target=_listen, args=(connection, cancel), daemon=True).start()
    last = carry_out(order, cancel, lambda message: _send(connection, message))
    _send(connection, last)
    os._exit(0)  # a search given up on may hold threads; there is nothing to tidy


def _send(connection: Connection, message: Message) -> None:
    try:
        connection.send_bytes(json.dumps(message).encode())
    except OSError:  # the server is gone
        os._exit(1)


def _listen(connection: Connection, cancel: threading.Event) -> None:
    try:
        while True:
            if connection.recv_bytes(64) == FINISH:
                cancel.set()
    except (EOFError, OSError):
        os._exit(1)


def _step_back() -> None:
    """Leave the processor to the server, and be the one to go where memory runs out."""
    if hasattr(os, "nice"):
        os.nice(_POLITENESS)
    with contextlib.suppress(OSError):  # no Linux
        Path("/proc/self/oom_score_adj").write_text("1000", encoding="ascii")
