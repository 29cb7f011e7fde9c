"""The search for one plan, in a process of its own: JSON in, JSON out, nothing else.

An order is ``{"document": project as JSON text, "seconds": n, "seed": n}``; with ``"varied"`` (lists of texts, and
``"each"``, the seconds for one alternative) it is that of a comparison; with ``"replan"`` (``plan`` and ``progress``,
both texts) it is that of a plan made anew. What comes back is a row of messages:
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
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from api.problems import document, impossible
from nesting.errors import NOT_ENOUGH_MEMORY, CannotBeDone, bug_in_words

if TYPE_CHECKING:
    from multiprocessing.connection import Connection

    from nesting.make import Made, Progress
    from nesting.plan import Plan
    from nesting.project.model import Project

FINISH: Final = b"finish"
"""Said to a runner: end the search with the best plan there is."""
_BETWEEN_NEWS: Final = 0.25
_POLITENESS: Final = 15

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
        if "varied" in asked:
            return _compared(project, asked, cancel, tell)
        if "replan" in asked:
            return _replanned(asked, cancel)
        with _News(tell) as news:
            made = plan_project(
                project, seconds=asked["seconds"], seed=asked["seed"], cancel=cancel, observer=news.watch
            )
        return _done(made, contents(made.plan))
    except CannotBeDone as error:
        return {"kind": "failed", "problem": impossible(error)}
    except MemoryError:
        return {"kind": "failed", "problem": document("failed", NOT_ENOUGH_MEMORY)}
    except Exception as error:  # whatever it is, it ends this plan alone; the server's log gets the traceback
        problem = document("failed", bug_in_words(error))
        return {"kind": "failed", "problem": problem, "traceback": traceback.format_exc()}


def _done(made: Made, papers: Any) -> Message:
    return _told(made.plan, made.summary, papers)


def _told(plan: Plan, summary: Sequence[str], papers: Any) -> Message:
    return {
        "kind": "done",
        "cost": plan.cost,
        "cost_bound": plan.cost_bound,
        "proven": plan.proven,
        "summary": list(summary),
        "files": {name: base64.b64encode(content).decode() for name, content in papers.items()},
    }


def _replanned(asked: Any, cancel: threading.Event) -> Message:
    """Make a plan anew from what is left; what was measured and still counts goes along."""
    from nesting.paper.contents import contents
    from nesting.plan import plan_from_json
    from nesting.progress.record import progress_from_json
    from nesting.replan.again import replan

    before = asked["replan"]
    new = replan(
        None,
        plan_from_json(before["plan"]),
        progress_from_json(before["progress"]),
        seconds=asked["seconds"],
        seed=asked["seed"],
        cancel=cancel,
    )
    measured = [[one.piece, one.length, one.width] for one in new.progress.measured]
    return {**_told(new.plan, (new.sentence,), contents(new.plan)), "measured": measured}


def _compared(project: Project, asked: Any, cancel: threading.Event, tell: Tell) -> Message:
    """Carry out a comparison, one alternative after the other: this process is one place in the queue."""
    from nesting.compare.alternatives import Asked
    from nesting.compare.comparison import compare
    from nesting.compare.contents import contents
    from nesting.compare.work import carry_out as carry_out_task

    def one_by_one(
        tasks: Sequence[str], cancel: threading.Event, heard: Callable[[int, str], None]
    ) -> list[str | None]:
        answers: list[str | None] = []
        for number, task in enumerate(tasks):
            answer = None if cancel.is_set() else carry_out_task(task, cancel)
            answers.append(answer)
            if answer is not None:
                heard(number, answer)
        return answers

    begun = time.monotonic()

    def told(news: Any) -> None:
        phase = f"{news.done} of {news.total}: {news.words}"
        tell({"kind": "progress", "elapsed": time.monotonic() - begun, "cost": None, "bound": None, "phase": phase})

    varied = {key: tuple(values) for key, values in asked["varied"].items() if key != "each"}
    found = compare(
        project,
        Asked(**varied),
        seconds=asked["varied"]["each"],
        seed=asked["seed"],
        cancel=cancel,
        observer=told,
        run=one_by_one,
    )
    papers = {name: base64.b64encode(content).decode() for name, content in contents(found).items()}
    return {"kind": "done", "cost": None, "cost_bound": None, "proven": None, "summary": [], "files": papers}


class _News:
    """Passes progress on where cost, bound or phase changed: the latest, four times a second at most."""

    def __init__(self, tell: Tell) -> None:
        self._tell = tell
        self._said: tuple[object, ...] | None = None
        self._latest: Progress | None = None
        self._over = threading.Event()
        self._thread = threading.Thread(target=self._pass_on, name="news", daemon=True)

    def __enter__(self) -> _News:
        self._thread.start()
        return self

    def __exit__(self, *_error: object) -> None:
        self._over.set()
        self._thread.join()
        self._say()

    def watch(self, progress: Progress) -> None:
        """Note where the search stands."""
        self._latest = progress

    def _pass_on(self) -> None:
        while not self._over.wait(_BETWEEN_NEWS):
            self._say()

    def _say(self) -> None:
        progress = self._latest
        if progress is None or (progress.cost, progress.bound, progress.phase) == self._said:
            return
        self._said = (progress.cost, progress.bound, progress.phase)
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
