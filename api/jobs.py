"""The foreman: gives waiting plans to the engine, writes down what becomes of them, and loses none.

The table of plans is the truth. A plan runs only by a claim of its row; what a run says counts only while that claim
stands; a run that is gone, or whose server is, lets its plan wait again. So this server, a search or both can be
killed at any moment: what was finished is kept, what ran is begun anew.
"""

from __future__ import annotations

import base64
import json
import queue
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from queue import SimpleQueue
from typing import Any, Final

import structlog
from sqlalchemy.exc import OperationalError, SQLAlchemyError

from api.bulletin import Bulletin
from api.engines import Engine, News, Run
from api.fairness import next_up
from api.problems import document
from api.store import files, plans, ticks
from api.store.database import Store
from api.store.plans import PlanRow
from api.store.ticks import MeasureRow

BEAT: Final = 1.0
"""Seconds between two signs of life."""
SILENT: Final = 15.0
"""Seconds without one after which a server counts as dead."""
MOST_DEATHS: Final = 20
"""Searches of one plan that may die before it is given up."""
LONGEST_PAUSE: Final = 10.0
_OVERTIME: Final = 600.0
"""Seconds a search may take beyond twice its time: the order of the steps, the papers, a machine with far too much to
do. On two cores with a load of twelve the demo needed more than a minute; what is given up here its owner loses."""
_PAUSE_AFTER_TROUBLE: Final = 0.5


@dataclass(slots=True)
class Foreman:
    """Runs in a thread of its own between :meth:`start` and :meth:`stop`."""

    store: Store
    engine: Engine
    bulletin: Bulletin
    server: str
    jobs: int
    each: Callable[[], int]
    """How many plans of one owner may run at once."""
    finished: Callable[[str, float], None] = lambda _state, _seconds: None
    """Told of every plan that ended here, and of its seconds."""
    _running: dict[Run, tuple[str, float, float]] = field(default_factory=dict)  # owner, since, until
    _served: dict[str, float] = field(default_factory=dict)
    _wishes: SimpleQueue[tuple[str, str]] = field(default_factory=SimpleQueue)
    _stopping: threading.Event = field(default_factory=threading.Event)
    _thread: threading.Thread | None = None
    _log: Any = field(default_factory=lambda: structlog.get_logger("jobs"))

    # -- from any thread

    def start(self) -> None:
        """Take up what a former life of this server left, and begin."""
        self._adopt(self.server)
        self._thread = threading.Thread(target=self._be, name="foreman", daemon=True)
        self._thread.start()

    def stop(self) -> None:
        """End every search and let its plan wait for the next start."""
        self._stopping.set()
        self.wake()
        if self._thread is not None:
            self._thread.join()
        self.engine.close()
        for run in list(self._running):
            self._again(run, "the server was ended", died=False)

    @property
    def alive(self) -> bool:
        """Whether plans are being given out."""
        return self._thread is not None and self._thread.is_alive()

    def wake(self) -> None:
        """Look at once whether there is something to do."""
        self.engine.news.put(None)

    def drop(self, plan_id: str) -> None:
        """End the search of a plan that was cancelled, if it runs here."""
        self._wishes.put(("kill", plan_id))
        self.wake()

    def finish(self, plan_id: str) -> None:
        """Let a search end with the best plan it has, if it runs here."""
        self._wishes.put(("finish", plan_id))
        self.wake()

    # -- in the foreman's thread

    def _be(self) -> None:
        beaten = 0.0
        while not self._stopping.is_set():
            try:
                self._grant()
                if time.monotonic() - beaten >= BEAT:
                    self._beat()
                    beaten = time.monotonic()
                self._give_out()
                self._hear(BEAT - (time.monotonic() - beaten))
            except SQLAlchemyError:
                self._log.exception("storage_trouble")
                self._stopping.wait(_PAUSE_AFTER_TROUBLE)

    def _hear(self, seconds: float) -> None:
        """Write down the news: wait for the first, then take what else there is."""
        try:
            news = self.engine.news.get(timeout=max(0.0, min(seconds, BEAT)))
            while news is not None:
                if news.run in self._running:
                    self._write_down(news)
                news = self.engine.news.get_nowait()
        except queue.Empty:
            return

    def _write_down(self, news: News) -> None:
        try:
            self._note(news.run, news.message)
        except OperationalError:  # locked, full, away: the same news again, a little later
            self.engine.news.put(news)
            raise
        except SQLAlchemyError:
            self._log.exception("result_not_kept", job_id=news.run.plan)
            self.engine.kill(news.run)
            self._end(news.run, plans.FAILED, {"problem": document("failed", "its result could not be kept")})

    def _note(self, run: Run, message: dict[str, Any]) -> None:
        kind = message["kind"]
        if kind == "progress":
            with self.store.writing() as connection:
                event = plans.progress(
                    connection, run.plan, run.attempt, message["cost"], message["bound"], message["phase"],
                    message["elapsed"],
                )  # fmt: skip
            self.bulletin.post([event])
        elif kind == "gone":
            self._log.warning("search_gone", job_id=run.plan, attempt=run.attempt, reason=message["reason"])
            self._again(run, message["reason"], died=True)
        else:
            self._end(run, kind, message)

    def _end(self, run: Run, state: str, message: dict[str, Any]) -> None:
        """Keep a finished plan with its papers, or why there is none."""
        if state == plans.DONE:
            papers = {name: base64.b64decode(text) for name, text in message["files"].items()}
            values = {name: message[name] for name in ("cost", "cost_bound", "proven")}
            values["summary"] = json.dumps(message["summary"])
        else:
            papers, values = {}, {"problem": json.dumps(message["problem"])}
            if "traceback" in message:
                self._log.error("search_failed", job_id=run.plan, traceback=message["traceback"])
        with self.store.writing() as connection:
            event = plans.finish(connection, run.plan, run.attempt, state, values)
            if event is not None and papers:
                files.keep(connection, run.plan, papers)
                for piece, length, width in message.get("measured", ()):
                    ticks.measure(connection, run.plan, MeasureRow(piece, length, width))
        self._left(run, state)
        self.bulletin.post([event])

    def _again(self, run: Run, why: str, *, died: bool) -> None:
        """Let a plan wait again; give it up where its searches die one after the other."""
        with self.store.writing() as connection:
            deaths = plans.deaths(connection, run.plan) + int(died)
            if deaths >= MOST_DEATHS:
                problem = document("failed", f"its search died {deaths} times; the last time {why}")
                event = plans.finish(connection, run.plan, run.attempt, plans.FAILED, {"problem": json.dumps(problem)})
            else:
                pause = min(0.1 * 2 ** (deaths - 1), LONGEST_PAUSE) if died else 0.0
                event = plans.requeue(
                    connection, run.plan, run.attempt, why, died=died, due=time.time() + pause if pause else 0.0
                )
        self._left(run, "gone")
        self.bulletin.post([event])

    def _left(self, run: Run, state: str) -> None:
        _, since, _ = self._running.pop(run)
        seconds = time.monotonic() - since
        self._log.info("search_over", job_id=run.plan, attempt=run.attempt, state=state, seconds=round(seconds, 3))
        self.finished(state, seconds)

    def _grant(self) -> None:
        """Fulfil what was asked of runs by the service."""
        while not self._wishes.empty():
            wish, plan_id = self._wishes.get()
            for run in [run for run in self._running if run.plan == plan_id]:
                if wish == "finish":
                    self.engine.finish(run)
                else:
                    self._kill(run, "cancelled")

    def _kill(self, run: Run, why: str) -> None:
        self.engine.kill(run)
        self._left(run, why)

    def _beat(self) -> None:
        """Say that we live; end runs that are no longer ours or take too long; adopt plans of dead servers."""
        with self.store.writing() as connection:
            mine = plans.beat(connection, self.server)
        for run, (_, _, until) in list(self._running.items()):
            attempt, early = mine.get(run.plan, (-1, False))
            if attempt != run.attempt:
                self._kill(run, "cancelled elsewhere")
            elif time.monotonic() > until:
                self.engine.kill(run)
                self._end(run, plans.FAILED, {"problem": document("failed", "it took far longer than it was given")})
            elif early:
                self.engine.finish(run)
        here = {run.plan for run in self._running}
        for plan_id in mine.keys() - here:  # claimed, and then the storage failed us
            self._requeue(plan_id, mine[plan_id][0], "it was not begun")
        self._adopt(None)

    def _adopt(self, server: str | None) -> None:
        with self.store.reading() as connection:
            found = plans.orphans(connection, server, time.time() - SILENT)
        for plan_id, attempt in found:
            self._requeue(plan_id, attempt, "the server was gone")

    def _requeue(self, plan_id: str, attempt: int, why: str) -> None:
        with self.store.writing() as connection:
            event = plans.requeue(connection, plan_id, attempt, why, died=False, due=0.0)
        if event is not None:
            self._log.warning("plan_taken_up_again", job_id=plan_id, reason=why)
            self.bulletin.post([event])

    def _before(self, plan: PlanRow) -> dict[str, Any]:
        """Return the plan that one is made anew from, as texts: its file, and the work done on it."""
        with self.store.reading() as connection:
            kept = files.find(connection, plan.replaces or "", "plan.json")
        return {"plan": kept.content.decode() if kept is not None else "", "progress": plan.record or ""}

    def _give_out(self) -> None:
        """Begin plans while there is room, each owner in turn."""
        while len(self._running) < self.jobs and not self._stopping.is_set():
            with self.store.reading() as connection:
                waiting = plans.waiting(connection, time.time())
                running = plans.running_by_owner(connection) if waiting else {}
            chosen = next_up(waiting, running, self._served, self.each())
            if chosen is None:
                return
            with self.store.writing() as connection:
                claimed = plans.claim(connection, chosen, self.server)
                text = plans.document(connection, chosen) if claimed is not None else ""
            if claimed is None:
                continue
            plan, event = claimed
            now = time.monotonic()
            run = Run(plan.id, plan.attempt)
            self._running[run] = (plan.owner, now, now + 2 * plan.seconds + _OVERTIME)
            self._served[plan.owner] = now
            self.bulletin.post([event])
            order = {"document": text, "seconds": plan.seconds, "seed": plan.seed}
            if plan.varied is not None:
                order["varied"] = json.loads(plan.varied)
            if plan.replaces is not None:
                order["replan"] = self._before(plan)
            self._log.info("search_begun", job_id=plan.id, attempt=plan.attempt, seconds=plan.seconds)
            self.engine.begin(run, json.dumps(order))
