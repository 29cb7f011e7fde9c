"""Two hundred clients at one service while searches run: errors, and how long an answer takes.

Starts ``cleatwright serve`` on this machine and lets ``--jobs`` hard searches run. For ``--seconds``, of every eight
clients four follow a plan's events, two ask for its state (a random half second apart), one has the page of a search
refreshed every two seconds or so, as that page does it by itself where there is no script, and one opens page after
page, two to four seconds each: the start, a project's form, a search, a finished plan, its steps at the saw, the rack.
What counts: no error at all, and a median under 100 ms, of answers and of pages.
``python -m benchmarks.service_load --seconds 20``
"""

from __future__ import annotations

import argparse
import asyncio
import json
import random
import re
import statistics
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path
from typing import Any, Final

import httpx2

from benchmarks.record import append, protocol

RESULTS = Path(__file__).parent / "results" / "service.jsonl"


AGAIN: Final = (1.5, 2.5)
READING: Final = (2.0, 4.0)
"""Seconds between two requests of a page that refreshes itself, and of a person."""
SMALL: dict[str, Any] = {
    "project": {"name": "small"},
    "saw": {"kerf": "1/8"},
    "sheet": [{"name": "ply", "length": 96, "width": 48, "thickness": "23/32", "price": 60}],
    "part": [{"name": "shelf", "length": 24, "width": 9, "thickness": "23/32", "quantity": 8}],
    "cleat": [{"name": "wall cleat", "length": 48, "quantity": 6}],
}


def hard_project(seed: int) -> dict[str, Any]:
    """Return a job of many sizes that is not proven soon."""
    rng = random.Random(seed)
    parts = [
        {"name": f"part {at}", "length": rng.randint(120, 420), "width": rng.randint(80, 300), "thickness": 18}
        for at in range(120)
    ]
    sheet = {"name": "ply", "length": 1250, "width": 900, "thickness": 18, "price": 40}
    return {"project": {"name": "load", "unit": "mm"}, "saw": {"kerf": 3}, "sheet": [sheet], "part": parts}


async def poll(client: httpx2.AsyncClient, plan: str, ends: float, took: list[float], errors: Counter[str]) -> None:
    """Ask for a plan's state until the end."""
    rng = random.Random(id(took) ^ hash(plan))
    await asyncio.sleep(rng.random())
    while time.perf_counter() < ends:
        begun = time.perf_counter()
        try:
            answer = await client.get(plan)
            took.append(time.perf_counter() - begun)
            if answer.status_code != 200:
                errors[f"status {answer.status_code}"] += 1
        except httpx2.HTTPError as error:
            errors[type(error).__name__] += 1
        await asyncio.sleep(0.25 + 0.5 * rng.random())


async def browse(
    client: httpx2.AsyncClient,
    pages: dict[str, str],
    pause: tuple[float, float],
    ends: float,
    took: dict[str, list[float]],
    errors: Counter[str],
) -> None:
    """Open one page after the other until the end, ``pause`` seconds (at least, at most) apart."""
    rng = random.Random(random.random())
    await asyncio.sleep(rng.uniform(0, pause[1]))
    while time.perf_counter() < ends:
        kind = rng.choice(list(pages))
        begun = time.perf_counter()
        try:
            answer = await client.get(pages[kind], headers={"accept": "text/html"})
            took.setdefault(kind, []).append(time.perf_counter() - begun)
            if answer.status_code != 200:
                errors[f"page {kind} status {answer.status_code}"] += 1
        except httpx2.HTTPError as error:
            errors[f"page {kind} {type(error).__name__}"] += 1
        await asyncio.sleep(rng.uniform(*pause))


async def done_plan(client: httpx2.AsyncClient) -> dict[str, str]:
    """Let a small job be planned, put a piece into the rack, and return the pages there are then."""
    project = (await client.post("/v1/projects", json=SMALL)).headers["location"]
    plan = (await client.post(f"{project}/plans")).headers["location"]
    while (await client.get(plan)).json()["state"] != "done":
        await asyncio.sleep(0.2)
    await client.post("/v1/rack", json={"length": 31, "width": 9, "thickness": "1/2"})
    here = {"project": project, "plan": plan, "saw": f"{plan}/saw"}
    return {"start": "/", "rack": "/rack"} | {kind: place.removeprefix("/v1") for kind, place in here.items()}


async def follow(client: httpx2.AsyncClient, plan: str, ends: float, heard: Counter[str], errors: Counter[str]) -> None:
    """Follow a plan's events until the end."""
    try:
        async with client.stream("GET", f"{plan}/events") as answer:
            if answer.status_code != 200:
                errors[f"stream status {answer.status_code}"] += 1
                return
            async for line in answer.aiter_lines():
                if line.startswith("event: "):
                    heard[line.removeprefix("event: ")] += 1
                if time.perf_counter() > ends:
                    return
    except httpx2.HTTPError as error:
        errors[f"stream {type(error).__name__}"] += 1


async def load(address: str, clients: int, jobs: int, seconds: float) -> dict[str, Any]:
    """Put the load on a running service and return what was seen."""
    errors: Counter[str] = Counter()
    heard: Counter[str] = Counter()
    took: list[float] = []
    limits = httpx2.Limits(max_connections=clients + 10, max_keepalive_connections=clients + 10)
    async with (
        httpx2.AsyncClient(base_url=address, limits=limits, timeout=60) as client,
        httpx2.AsyncClient(base_url=address, limits=limits, timeout=60) as browser,  # which gets a session
    ):
        pages = await done_plan(client)
        plans = []
        for seed in range(jobs):
            project = (await client.post("/v1/projects", json=hard_project(seed))).headers["location"]
            asked = await client.post(f"{project}/plans", json={"seconds": 600, "seed": seed})
            plans.append(asked.headers["location"])
        for plan in plans:
            while (await client.get(plan)).json()["state"] == "queued":
                await asyncio.sleep(0.2)
        pages["search"] = plans[0].removeprefix("/v1")
        part = {"part of a search": f"{pages['search']}/standing"}
        seen: dict[str, list[float]] = {}
        ends = time.perf_counter() + seconds
        work = [
            follow(client, plans[at % jobs], ends, heard, errors)
            if at % 2
            else poll(client, plans[at % jobs], ends, took, errors)
            if at % 4
            else browse(browser, *((part, AGAIN) if at % 8 else (pages, READING)), ends, seen, errors)
            for at in range(clients)
        ]
        running = asyncio.gather(*work)
        await asyncio.sleep(seconds)
        states = Counter([(await client.get(plan)).json()["state"] for plan in plans])
        for plan in plans:  # which ends every stream
            cancelled = await client.delete(plan)
            if cancelled.status_code not in (200, 409):
                errors[f"cancel status {cancelled.status_code}"] += 1
        await running
    took.sort()
    all_pages = sorted(second for seconds_ in seen.values() for second in seconds_)
    return {
        "pages": len(all_pages),
        "page_median_ms": round(1000 * statistics.median(all_pages), 1),
        "page_p95_ms": round(1000 * all_pages[int(0.95 * len(all_pages))], 1),
        "page_medians_ms": {kind: round(1000 * statistics.median(times), 1) for kind, times in seen.items() if times},
        "answers": len(took),
        "median_ms": round(1000 * statistics.median(took), 1),
        "p95_ms": round(1000 * took[int(0.95 * len(took))], 1),
        "slowest_ms": round(1000 * took[-1], 1),
        "events": dict(heard),
        "states_at_the_end": dict(states),
        "errors": dict(errors),
    }


def main() -> int:
    """Run and record; status 1 where there was an error or the median is too slow."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--clients", type=int, default=200)
    parser.add_argument("--jobs", type=int, default=4)
    parser.add_argument("--seconds", type=float, default=20)
    parser.add_argument("--note", default="")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder, (Path(folder) / "log").open("wb") as log:
        server = subprocess.Popen(
            [sys.executable, "-m", "cli", "serve", "--port", "0", "--data", folder, "--jobs", str(asked.jobs)],
            stdout=subprocess.PIPE,
            stderr=log,
            text=True,
        )
        try:
            found = re.search(r"http://\S+:\d+", server.stdout.readline() if server.stdout else "")
            if found is None:
                print((Path(folder) / "log").read_text())
                return 1
            seen = asyncio.run(load(found[0], asked.clients, asked.jobs, asked.seconds))
        finally:
            server.terminate()
            server.wait(30)
    print(json.dumps(seen, indent=1))
    settings = {"clients": asked.clients, "jobs": asked.jobs, "seconds": asked.seconds, "note": asked.note}
    append(RESULTS, protocol("service load", **settings) | seen)
    return int(bool(seen["errors"]) or max(seen["median_ms"], seen["page_median_ms"]) >= 100)


if __name__ == "__main__":
    sys.exit(main())
