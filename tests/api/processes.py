"""A server as its user starts it, in a process of its own, to be asked, ended or killed."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

import httpx2

from tests.api.fakes import until

ROOT = Path(__file__).resolve().parents[2]


class Server:
    """``cleatwright serve`` over a data folder, on a free port."""

    def __init__(self, data: Path, *options: str, **variables: str) -> None:
        self.process = subprocess.Popen(
            [sys.executable, "-m", "cli", "serve", "--port", "0", "--data", str(data), *options],
            cwd=ROOT,
            env={**os.environ, "PYTHONPATH": str(ROOT), **variables},
            stdout=subprocess.PIPE,
            stderr=(data.parent / "log").open("ab"),
            text=True,
        )
        assert self.process.stdout is not None
        self.said = self.process.stdout.readline()
        found = re.search(r"http://\S+:\d+", self.said)
        assert found, (self.said, (data.parent / "log").read_text())
        self.client = httpx2.Client(base_url=found[0], timeout=30)

    def __enter__(self) -> Server:
        return self

    def __exit__(self, *_error: object) -> None:
        self.client.close()
        if self.process.poll() is None:
            self.process.kill()
        self.process.wait()

    def ask(self, project: str, seconds: float = 1.0) -> str:
        answer = self.client.post(f"{project}/plans", json={"seconds": seconds})
        assert answer.status_code == 202, answer.text
        return answer.headers["location"]

    def project(self, document: Any) -> str:
        answer = self.client.post("/v1/projects", json=document)
        assert answer.status_code == 201, answer.text
        return answer.headers["location"]

    def wait(self, plan: str, *states: str, seconds: float = 60.0) -> dict[str, Any]:
        def look() -> Any:
            shown = self.client.get(plan).json()
            return shown if shown["state"] in states else None

        return until(look, seconds)

    def family(self) -> set[int]:
        """The processes that descend from the server: those its searches are forked from, and the searches."""
        return descendants(self.process.pid)

    def runners(self) -> set[int]:
        """The processes of searches that run, known by what runs in them alone."""
        return {pid for pid in alive(self.family()) if b"oom" in _score(pid)}

    def kill(self) -> None:
        self.process.send_signal(signal.SIGKILL)
        self.process.wait()


def descendants(pid: int) -> set[int]:
    found: set[int] = set()
    todo = [pid]
    while todo:
        for task in Path(f"/proc/{todo.pop()}/task").glob("*/children"):
            try:
                children = {int(child) for child in task.read_text().split()}
            except OSError:
                continue
            todo += children - found
            found |= children
    return found


def alive(pids: set[int]) -> set[int]:
    """Those that still run (a zombie does not)."""
    return {pid for pid in pids if _state(pid) not in ("", "Z", "X")}


def _state(pid: int) -> str:
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0]
    except OSError:
        return ""


def _score(pid: int) -> bytes:
    try:
        return b"oom" if Path(f"/proc/{pid}/oom_score_adj").read_text().strip() == "1000" else b""
    except OSError:
        return b""
