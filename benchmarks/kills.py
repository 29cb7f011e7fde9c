"""Kill the service fifty times at random moments, its server, a search or both, and count what is lost: nothing may be.

Each round starts ``cleatwright serve`` over the same data folder, looks whether every project and every finished plan
that was ever acknowledged is still there, byte for byte, with every tick and every piece of the rack, and whether
nothing is left ``running`` by the dead; asks for more, ticks and puts away more; waits a random moment; kills with
SIGKILL. At the end every plan must come to its end. ``python -m benchmarks.kills --rounds 50``; ``--postgresql`` keeps
all of it in a PostgreSQL server of its own, which is not killed.
"""

from __future__ import annotations

import argparse
import contextlib
import json
import os
import random
import re
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

import httpx2

from benchmarks.record import append, protocol
from benchmarks.service_load import RESULTS, hard_project
from tests.api import postgres

MOST_OPEN = 8
"""Plans that may be unfinished; more are not asked for."""
EASY = {
    "project": {"name": "easy"},
    "saw": {"kerf": "1/8"},
    "sheet": [{"name": "ply", "length": 96, "width": 48, "thickness": "3/4", "price": 60}],
    "part": [{"name": "shelf", "length": 24, "width": 9, "thickness": "3/4", "quantity": 3}],
}


class Killing:
    """One data folder, what was acknowledged over it, and what was found lost."""

    def __init__(self, folder: Path, seed: int, database: str | None) -> None:
        self.folder, self.rng, self.database = folder, random.Random(seed), database
        self.projects: dict[str, str] = {}
        self.plans: set[str] = set()
        self.finished: dict[str, str] = {}
        self.ticked: dict[str, list[int]] = {}
        self.pieces: set[str] = set()
        self.lost: Counter[str] = Counter()
        self.seen: Counter[str] = Counter()

    def serve(self) -> tuple[subprocess.Popen[str], httpx2.Client]:
        """Start the service."""
        server = subprocess.Popen(
            [sys.executable, "-m", "cli", "serve", "--port", "0", "--data", str(self.folder / "data"), "--jobs", "2"],
            stdout=subprocess.PIPE,
            stderr=(self.folder / "log").open("ab"),
            text=True,
            env={**os.environ, **({"DATABASE_URL": self.database} if self.database else {})},
        )
        found = re.search(r"http://\S+:\d+", server.stdout.readline() if server.stdout else "")
        if found is None:
            raise RuntimeError((self.folder / "log").read_text()[-2000:])
        return server, httpx2.Client(base_url=found[0], timeout=60)

    def look(self, client: httpx2.Client) -> None:
        """Count what is lost, and note what has been finished since."""
        for project, text in self.projects.items():
            answer = client.get(project)
            self.lost["projects"] += answer.status_code != 200 or answer.text != text
        for plan in sorted(self.plans):
            answer = client.get(plan)
            if answer.status_code != 200:
                self.lost["plans"] += 1
                continue
            state = answer.json()["state"]
            if plan in self.finished:
                kept = client.get(f"{plan}/plan.json")
                self.lost["finished plans"] += state != "done" or kept.text != self.finished[plan]
            elif state == "done":
                self.finished[plan] = client.get(f"{plan}/plan.json").text
            self.lost["failed"] += state == "failed"
        for plan, steps in self.ticked.items():
            done = client.get(f"{plan}/progress").json()["done"]
            self.lost["ticks"] += len(set(steps) - set(done))
        there = {piece["label"] for piece in client.get("/v1/rack").json()["pieces"]}
        self.lost["rack pieces"] += len(self.pieces - there)

    def work(self, client: httpx2.Client) -> None:
        """Tick a few steps of a finished plan, all but the last one, and put a piece into the rack."""
        open_plans = [
            plan for plan, text in self.finished.items()
            if len(self.ticked.get(plan, ())) < len(json.loads(text)["steps"]) - 1
        ]  # fmt: skip
        if open_plans:
            plan = self.rng.choice(open_plans)
            done = self.ticked.setdefault(plan, [])
            last = len(json.loads(self.finished[plan])["steps"]) - 1
            for step in range(len(done) + 1, min(len(done) + 1 + self.rng.randint(1, 5), last + 1)):
                if client.put(f"{plan}/steps/{step}/done").status_code == 204:
                    done.append(step)
        made = client.post("/v1/rack", json={"length": 31, "width": 9, "thickness": "1/2"})
        if made.status_code == 201:
            self.pieces.add(made.json()["label"])

    def ask(self, client: httpx2.Client) -> None:
        """Hand in a project and ask for a plan of it: mostly a quick one, so that some are done and some run."""
        if len(self.plans) - len(self.finished) >= MOST_OPEN:
            return
        document = EASY if self.rng.random() < 0.6 else hard_project(self.rng.randrange(1000))
        made = client.post("/v1/projects", json=document)
        project = made.headers["location"]
        self.projects[project] = client.get(project).text
        asked = client.post(f"{project}/plans", json={"seconds": 2})
        if asked.status_code == 202:
            self.plans.add(asked.headers["location"])
        else:
            self.seen[f"refused {asked.status_code}"] += 1

    def wait(self, client: httpx2.Client) -> None:
        """Let a random moment pass; now and then until a plan has just been finished, to kill around that moment."""
        if self.rng.random() < 0.4:
            before, ends = len(self.finished), time.monotonic() + 15
            while len(self.finished) == before and time.monotonic() < ends:
                time.sleep(0.1)
                self.look(client)
        time.sleep(2.5 * self.rng.random())

    def kill(self, server: subprocess.Popen[str]) -> None:
        """Kill the server, a search, or both."""
        victim = self.rng.choice(("server", "search", "both"))
        family = descendants(server.pid)
        searches = [pid for pid in family if _score(pid) == 1000]
        self.seen[f"killed {victim}"] += 1
        self.seen["searches killed"] += len(searches) if victim != "server" else 0
        if victim != "server":
            for pid in searches:
                _kill(pid)
        if victim == "search":
            time.sleep(0.5 * self.rng.random())
        _kill(server.pid)  # the round ends in any case
        server.wait()
        ends = time.monotonic() + 60
        while any(map(_lives, family)) and time.monotonic() < ends:
            time.sleep(0.02)
        self.lost["processes left behind"] += sum(map(_lives, family))


def descendants(pid: int) -> list[int]:
    """Return the processes below one."""
    found: list[int] = []
    todo = [pid]
    while todo:
        for task in Path(f"/proc/{todo.pop()}/task").glob("*/children"):
            try:
                children = [int(child) for child in task.read_text().split()]
            except OSError:
                continue
            todo += children
            found += children
    return found


def _score(pid: int) -> int:
    try:
        return int(Path(f"/proc/{pid}/oom_score_adj").read_text())
    except OSError:
        return 0


def _lives(pid: int) -> bool:
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] not in ("Z", "X")
    except OSError:
        return False


def _kill(pid: int) -> None:
    try:
        os.kill(pid, signal.SIGKILL)
    except ProcessLookupError:
        return


def main() -> int:
    """Run and record; status 1 where anything was lost."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=50)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--postgresql", action="store_true")
    parser.add_argument("--note", default="")
    asked = parser.parse_args()
    with contextlib.ExitStack() as stack:
        name = stack.enter_context(tempfile.TemporaryDirectory())
        place = postgres.programs() if asked.postgresql else None
        if asked.postgresql and place is None:
            parser.error("PostgreSQL is not installed")
        database = stack.enter_context(postgres.running(place)) if place is not None else None
        killing = Killing(Path(name), asked.seed, database)
        for round_ in range(asked.rounds):
            server, client = killing.serve()
            killing.look(client)
            killing.ask(client)
            killing.work(client)
            killing.wait(client)
            killing.kill(server)
            client.close()
            print(round_ + 1, dict(killing.seen), "finished", len(killing.finished), "lost", dict(killing.lost))
        server, client = killing.serve()
        ends = time.monotonic() + 600
        while len(killing.finished) < len(killing.plans) and time.monotonic() < ends and not killing.lost["failed"]:
            time.sleep(1)
            killing.look(client)
        killing.lost["never finished"] += len(killing.plans) - len(killing.finished)
        server.terminate()
        server.wait(30)
    lost = {what: count for what, count in killing.lost.items() if count}
    result = {
        "projects": len(killing.projects), "plans": len(killing.plans), "finished": len(killing.finished),
        "ticks": sum(map(len, killing.ticked.values())), "rack pieces": len(killing.pieces),
        **killing.seen, "lost": lost,
    }  # fmt: skip
    print(result)
    tables = "postgresql" if asked.postgresql else "sqlite"
    settings = {"rounds": asked.rounds, "seed": asked.seed, "tables": tables, "note": asked.note}
    append(RESULTS, protocol("service kills", **settings) | result)
    return int(bool(lost))


if __name__ == "__main__":
    sys.exit(main())
