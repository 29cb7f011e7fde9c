"""Searches on a cluster, by dask.distributed: the same orders and messages, on other machines.

The scheduler's port trusts whoever reaches it, and must not be reachable from outside. Orders and results are
JSON texts. A worker cannot be killed from here: a cancelled search is asked to end, and does so at its next question;
its result is not waited for.
"""

from __future__ import annotations

import contextlib
import json
import threading
from queue import SimpleQueue
from typing import TYPE_CHECKING, Any, Final

from api.engines import News, Run
from api.runner import carry_out
from nesting.errors import BadInput, Fault

if TYPE_CHECKING:
    from distributed import Client, Future

TOPIC: Final = "cleatwright"
_LOOK: Final = 0.1
"""Seconds between two looks of a worker whether its search is to end."""
_START_SECONDS: Final = 30


def work_in_cluster(order: str, plan: str, attempt: int) -> str:
    """Carry out an order in a worker of the cluster; progress goes to the scheduler's topic."""
    from distributed import Event, get_worker

    worker = get_worker()
    cancel, over = threading.Event(), threading.Event()
    wish = Event(_wish(Run(plan, attempt)), client=worker.client)

    def look() -> None:
        while not over.wait(_LOOK):
            if wish.is_set():
                cancel.set()
                return

    threading.Thread(target=look, daemon=True).start()
    try:
        last = carry_out(order, cancel, lambda message: worker.log_event(TOPIC, json.dumps([plan, attempt, message])))
    finally:
        over.set()
    return json.dumps(last)


class Cluster:
    """The engine that runs searches on a dask cluster; ``address`` ``local`` starts one on this machine."""

    def __init__(self, news: SimpleQueue[News | None], address: str, jobs: int) -> None:
        try:
            import dask
            from distributed import Client, LocalCluster
        except ModuleNotFoundError:
            raise _refused("needs dask.distributed: pip install 'cleatwright[cluster]'") from None
        self.news = news
        self._futures: dict[Run, Future] = {}
        self._lock = threading.Lock()
        self._own: Any = None
        with dask.config.set({"distributed.admin.tick.limit": "30s"}):
            if address == "local":
                self._own = LocalCluster(n_workers=jobs, threads_per_worker=1, dashboard_address=None)
        try:
            self._client: Client = Client(self._own or address, timeout=_START_SECONDS, set_as_default=False)
        except (OSError, ValueError) as error:
            raise _refused(f"no scheduler answers at {address}: {error}") from None
        self._client.subscribe_topic(TOPIC, self._heard)

    def begin(self, run: Run, order: str) -> None:
        """Hand a search to the cluster."""
        future = self._client.submit(work_in_cluster, order, run.plan, run.attempt, pure=False, retries=0)
        with self._lock:
            self._futures[run] = future
        future.add_done_callback(lambda done: self._ended(run, done))

    def finish(self, run: Run) -> None:
        """Ask a search to end with what it has."""
        from distributed import Event

        with contextlib.suppress(OSError):
            Event(_wish(run), client=self._client).set()

    def kill(self, run: Run) -> None:
        """Ask a search to end, and forget it."""
        with self._lock:
            known = self._futures.pop(run, None)
        if known is not None:
            self.finish(run)
            known.release()

    def close(self) -> None:
        """Ask every search to end, and leave the cluster; one of our own ends with us."""
        with self._lock:
            runs = list(self._futures)
        for run in runs:
            self.kill(run)
        self._client.close()
        if self._own is not None:
            self._own.close()

    def _heard(self, event: tuple[float, str] | dict[str, Any]) -> None:
        text = event[1] if isinstance(event, tuple | list) else event["msg"]
        plan, attempt, message = json.loads(text)
        self.news.put(News(Run(plan, attempt), message))

    def _ended(self, run: Run, future: Future) -> None:
        with self._lock:
            known = self._futures.pop(run, None)
        if known is None:  # killed
            return
        try:
            message = json.loads(future.result())
        except Exception as error:  # the worker died, the cluster lost it: whatever it is, the plan waits again
            message = {"kind": "gone", "reason": f"the cluster lost it: {type(error).__name__}"}
        self.news.put(News(run, message))


def _wish(run: Run) -> str:
    return f"cleatwright-end-{run.plan}-{run.attempt}"


def _refused(message: str) -> BadInput:
    return BadInput([Fault("--cluster", "", message)])
