"""One process a search, forked from one that has the solvers loaded; a thread here reads what each says.

A process is killed outright where its plan is cancelled: what it holds is worth nothing. Where this server dies
instead, each process sees its pipe closed and ends by itself.
"""

from __future__ import annotations

import contextlib
import json
import multiprocessing
import threading
from multiprocessing import forkserver
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from queue import SimpleQueue
from typing import Final

from api.engines import News, Run
from api.runner import FINISH, work

_FORKS: Final = "forkserver"
_LAST_WORDS_SECONDS: Final = 5.0


class Workshop:
    """The engine that runs searches on this machine."""

    def __init__(self, news: SimpleQueue[News | None]) -> None:
        self.news = news
        methods = multiprocessing.get_all_start_methods()
        self._context = multiprocessing.get_context(_FORKS if _FORKS in methods else "spawn")
        if _FORKS in methods:
            self._context.set_forkserver_preload(["api.preload"])
            forkserver.ensure_running()  # it loads the solvers while nobody waits for them yet
        self._lock = threading.Lock()
        self._runs: dict[Run, tuple[BaseProcess, Connection]] = {}
        self._readers: set[threading.Thread] = set()

    def begin(self, run: Run, order: str) -> None:
        """Begin a search in a new process."""
        ours, theirs = self._context.Pipe()
        process = self._context.Process(target=work, args=(theirs, order), name=f"plan {run.plan}", daemon=True)  # type: ignore[attr-defined]
        try:
            process.start()
        except (OSError, EOFError) as error:
            ours.close()
            self.news.put(News(run, {"kind": "gone", "reason": f"no process could be started: {error}"}))
            return
        finally:
            theirs.close()
        reader = threading.Thread(target=self._read, args=(run, process, ours), name=f"read {run.plan}", daemon=True)
        with self._lock:
            self._runs[run] = (process, ours)
            self._readers = {thread for thread in self._readers if thread.is_alive()} | {reader}
        reader.start()

    def finish(self, run: Run) -> None:
        """Ask a search to end with what it has."""
        with self._lock:
            found = self._runs.get(run)
        if found is not None:
            with contextlib.suppress(OSError):  # it has just ended
                found[1].send_bytes(FINISH)

    def kill(self, run: Run) -> None:
        """Kill a search's process."""
        with self._lock:
            found = self._runs.get(run)
        if found is not None:
            with contextlib.suppress(ValueError):  # it has just ended and is put away
                found[0].kill()

    def close(self) -> None:
        """Kill every search and wait for its end."""
        with self._lock:
            runs, readers = list(self._runs), list(self._readers)
        for run in runs:
            self.kill(run)
        for reader in readers:
            reader.join(_LAST_WORDS_SECONDS)

    def _read(self, run: Run, process: BaseProcess, connection: Connection) -> None:
        over = False
        try:
            while not over:
                message = json.loads(connection.recv_bytes())
                over = message["kind"] in ("done", "failed")
                self.news.put(News(run, message))
        except (EOFError, OSError, ValueError):  # ValueError: it died while it spoke
            pass
        finally:
            with self._lock:
                self._runs.pop(run, None)
            process.join(_LAST_WORDS_SECONDS)
            if process.exitcode is None:
                process.kill()
                process.join()
            connection.close()
            if not over:
                reason = f"the process that worked on it ended with status {process.exitcode}"
                self.news.put(News(run, {"kind": "gone", "reason": reason}))
            process.close()
