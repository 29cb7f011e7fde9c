"""Many tasks on a cluster, by dask.distributed: the same tasks and answers as on this machine, on many.

The workers need this project installed, in the same version, and should run one task at a time
(``dask worker --nthreads 1``). The scheduler's port trusts whoever reaches it and must not be reachable from outside.
A worker that is lost costs its tasks nothing: the scheduler hands them to another one, and tasks that it gives up
after several deaths are handed in again ``RETRIES`` times.
"""

from __future__ import annotations

import contextlib
import importlib.util
import re
import secrets
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from typing import Any, Final

from nesting.compare.together import GRACE, RETRIES, Heard
from nesting.compare.work import carry_out
from nesting.errors import BadInput, Bug, CannotBeDone, Fault

OPTION: Final = "--cluster"
START_SECONDS: Final = 15.0
"""Longest wait for the scheduler to answer."""
_LOOK: Final = 0.1
_ADDRESS: Final = re.compile(r"(?:tcp|tls)://[A-Za-z0-9.\-\[\]:]+:[0-9]{1,5}")

Act = Callable[[str, threading.Event], str]


def faults_of(address: str) -> list[Fault]:
    """Return what speaks against planning on a cluster, without asking it: no address of one, or the extra is missing.

    >>> [str(fault) for fault in faults_of("10.0.0.5")]
    ["--cluster: '10.0.0.5' is not the address of a scheduler; accepted: tcp://host:port or tls://host:port"]
    """
    if not _ADDRESS.fullmatch(address):
        message = f"{address[:80]!r} is not the address of a scheduler"
        return [Fault(OPTION, "", message, "tcp://host:port or tls://host:port")]
    if importlib.util.find_spec("distributed") is None:
        return [Fault(OPTION, "", "needs dask.distributed: pip install 'cleatwright[cluster]'")]
    return []


@contextlib.contextmanager
def cluster(address: str) -> Iterator[Cluster]:
    """Yield the cluster whose scheduler is at an address, and leave it afterwards.

    Raises :class:`~nesting.errors.BadInput` where :func:`faults_of` says why, or no scheduler answers.
    """
    if faults := faults_of(address):
        raise BadInput(faults)
    from distributed import Client

    try:
        client = Client(address, timeout=START_SECONDS, set_as_default=False)
    except (OSError, ValueError) as error:
        raise BadInput([Fault(OPTION, "", f"no scheduler answers at {address}: {error}")]) from None
    try:
        yield Cluster(client)
    finally:
        client.close()


class Cluster:
    """A cluster to carry out tasks on; :meth:`run` is the counterpart of :func:`nesting.compare.together.all_of`."""

    def __init__(self, client: Any) -> None:
        self.client = client

    def run(
        self,
        tasks: Sequence[str],
        cancel: threading.Event,
        heard: Heard = lambda number, answer: None,
        *,
        act: Act = carry_out,
    ) -> list[str | None]:
        """Return the answer to every task in their order; None for those not begun before ``cancel`` was set.

        Raises :class:`~nesting.errors.CannotBeDone` where the cluster is lost or has no worker left for a task, and
        :class:`~nesting.errors.Bug` where a task raised.
        """
        from distributed import Event

        wish = f"cleatwright-end-{secrets.token_hex(8)}"
        answers: list[str | None] = [None] * len(tasks)
        waiting = {number: self._begun(act, task, wish) for number, task in enumerate(tasks)}
        tries = [0] * len(tasks)
        deadline: float | None = None
        while waiting and (deadline is None or time.monotonic() < deadline):
            if self.client.status != "running":
                raise CannotBeDone(["the scheduler of the cluster was lost"])
            for number, future in list(waiting.items()):
                if not future.done():
                    continue
                answer = _answer(future)
                if answer is None and tries[number] < RETRIES and deadline is None:
                    tries[number] += 1
                    waiting[number] = self._begun(act, tasks[number], wish)
                    continue
                if answer is None and deadline is None:
                    raise CannotBeDone(["the cluster lost its workers again and again; nothing answered"])
                del waiting[number]
                if answer:
                    answers[number] = answer
                    heard(number, answer)
            if cancel.is_set() and deadline is None:
                deadline = time.monotonic() + GRACE
                Event(wish, client=self.client).set()
            time.sleep(_LOOK)
        for future in waiting.values():
            future.cancel()
        return answers

    def _begun(self, act: Act, task: str, wish: str) -> Any:
        return self.client.submit(on_worker, act, task, wish, pure=False, retries=0)


def on_worker(act: Act, task: str, wish: str) -> str:
    """Carry out a task in a worker of the cluster; an empty answer where it was to end before it began."""
    from distributed import Event, get_worker

    asked = Event(wish, client=get_worker().client)
    if asked.is_set():
        return ""
    cancel, over = threading.Event(), threading.Event()

    def look() -> None:
        while not over.wait(_LOOK):
            if asked.is_set():
                cancel.set()
                return

    threading.Thread(target=look, daemon=True).start()
    try:
        return act(task, cancel)
    finally:
        over.set()


def _answer(future: Any) -> str | None:
    """Return what a task that has ended says; None where the workers that had it were lost."""
    from distributed import KilledWorker

    try:
        answer: str = future.result()
    except (KilledWorker, OSError):
        return None
    except Exception as error:
        if future.status in ("cancelled", "lost"):
            return None
        raise Bug(f"{type(error).__name__}: {error}") from error
    return answer
