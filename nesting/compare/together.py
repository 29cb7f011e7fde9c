"""Many tasks at once on this machine: one process each, at most as many as there are cores, none left behind.

A process per task gives the same plan as planning alone, for nothing is shared but the kernels compiled beforehand.
Each is a leader of its own process group (a terminal's Ctrl-C reaches the command alone), ends by itself when its
pipe to the command breaks, and is killed with its group where the command gives up. A process that the system
ends is replaced ``RETRIES`` times.
"""

from __future__ import annotations

import contextlib
import json
import multiprocessing
import os
import signal
import threading
import time
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from multiprocessing.connection import Connection, wait
from multiprocessing.process import BaseProcess
from typing import Any, Final

from nesting.compare.work import carry_out
from nesting.errors import Bug

COMPILER: Final = "CLEATWRIGHT_COMPILER"
"""As in :mod:`nesting.solve.compiled`, which is not imported before it is needed."""

RETRIES: Final = 2
GRACE: Final = 30.0
"""Seconds a task may take to finish with what it has, once it is asked to stop."""
_LOOK: Final = 0.1
_STOP: Final = b"stop"

Heard = Callable[[int, str], None]
"""Told the number of each task and its answer as it comes in."""


@dataclass(slots=True)
class _Running:
    number: int
    process: BaseProcess
    pipe: Connection
    tries: int


def all_of(
    tasks: Sequence[str],
    cancel: threading.Event,
    heard: Heard = lambda number, answer: None,
    *,
    workers: int | None = None,
    act: Callable[[str, threading.Event], str] = carry_out,
) -> list[str | None]:
    """Return the answer to every task in their order; None for those not begun before ``cancel`` was set.

    ``workers``: processes at a time, by default one a core. ``act`` is what each does, a function of a module. Raises
    :class:`~nesting.errors.Bug` where a task raised, or its process died time and again; no process is left then.
    """
    answers: list[str | None] = [None] * len(tasks)
    waiting = deque((number, 0) for number in range(len(tasks)))
    running: dict[Connection, _Running] = {}
    most = max(1, workers or cores())
    context = _context()
    told, deadline = False, 0.0
    try:
        while running or (waiting and not cancel.is_set()):
            while waiting and len(running) < most and not cancel.is_set():
                number, tries = waiting.popleft()
                one = _started(context, act, tasks[number], number, tries)
                running[one.pipe] = one
            for ready in wait(list(running), timeout=_LOOK):
                assert isinstance(ready, Connection)  # noqa: S101  (nothing else is waited for)
                one = running.pop(ready)
                answer = _answer(one)
                if answer is not None:
                    answers[one.number] = answer
                    heard(one.number, answer)
                elif not cancel.is_set():
                    if one.tries >= RETRIES:
                        raise Bug(f"the process of task {one.number + 1} ended {one.tries + 1} times without an answer")
                    waiting.append((one.number, one.tries + 1))
            if cancel.is_set() and not told:
                told, deadline = True, time.monotonic() + GRACE
                for one in running.values():
                    with contextlib.suppress(OSError):
                        one.pipe.send_bytes(_STOP)
            if told and time.monotonic() > deadline:
                break
    finally:
        for one in running.values():
            _kill(one)
    return answers


def cores() -> int:
    """Return how many cores this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


@contextlib.contextmanager
def compiling() -> Iterator[None]:
    """Have the kernels compiled once, beside the work, for all the processes that would otherwise each compile them.

    They go on with the plain kernels until the compiled ones are there. No compiler is left behind.
    """
    from nesting.solve.compiled import ready, start_warming

    warming = None if ready() else start_warming()
    try:
        yield
    finally:
        if warming is not None:
            warming.kill()


def _context() -> Any:
    methods = multiprocessing.get_all_start_methods()
    context = multiprocessing.get_context("forkserver" if "forkserver" in methods else "spawn")
    if "forkserver" in methods:
        context.set_forkserver_preload(
            ["nesting.compare.work", "nesting.make", "nesting.solve.cutting", "nesting.check"]
        )
    return context


def _started(context: Any, act: Callable[[str, threading.Event], str], task: str, number: int, tries: int) -> _Running:
    here, there = context.Pipe()
    process = context.Process(target=_serve, args=(there, act, task), name=f"task {number + 1}", daemon=True)
    process.start()
    there.close()
    return _Running(number, process, here, tries)


def _answer(one: _Running) -> str | None:
    """Return what a process that has something to say says; None where it died. It is gone afterwards."""
    try:
        data = json.loads(one.pipe.recv_bytes())
    except (EOFError, OSError):
        data = None
    _kill(one)
    if data is None:
        return None
    if "raised" in data:
        raise Bug(data["raised"])
    answer: str = data["answer"]
    return answer


def _kill(one: _Running) -> None:
    """End a process with all it started, and wait for its end."""
    one.pipe.close()
    with contextlib.suppress(OSError):
        if hasattr(os, "killpg") and one.process.pid is not None and os.getpgid(one.process.pid) == one.process.pid:
            os.killpg(one.process.pid, signal.SIGKILL)
        else:
            one.process.kill()
    one.process.join()
    one.process.close()


# -- in the other process


def _serve(pipe: Connection, act: Callable[[str, threading.Event], str], task: str) -> None:
    with contextlib.suppress(OSError, AttributeError):  # no process groups on Windows
        os.setsid()
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    os.environ[COMPILER] = "elsewhere"
    if hasattr(signal, "pthread_sigmask"):
        signal.pthread_sigmask(signal.SIG_UNBLOCK, {signal.SIGTERM})
    cancel = threading.Event()
    threading.Thread(target=_listen, args=(pipe, cancel), daemon=True).start()
    try:
        said = {"answer": act(task, cancel)}
    except Exception as error:  # handed on: the command tells it
        said = {"raised": f"{type(error).__name__}: {error}"}
    with contextlib.suppress(OSError):  # nobody there any more
        pipe.send_bytes(json.dumps(said).encode())


def _listen(pipe: Connection, cancel: threading.Event) -> None:
    """Hear the request to stop; end at once when the command is gone."""
    try:
        while pipe.recv_bytes() != _STOP:
            pass
        cancel.set()
        pipe.recv_bytes()
    except (EOFError, OSError):
        if hasattr(os, "killpg"):
            os.killpg(0, signal.SIGKILL)
        os._exit(1)
