"""Two hundred clients at one service while searches run: errors, and how long an answer takes.

Starts ``cleatwright serve`` on this machine, lets ``--jobs`` hard searches run, and for ``--seconds`` has half of the
clients ask for a plan's state (a random half second apart) and half follow its events to the end of the run. What
counts: no error at all, and a median answer under 100 ms. ``python -m benchmarks.service_load --seconds 20``
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
from typing import Any

import httpx2

from benchmarks.record import append, protocol

RESULTS = Path(__file__).parent / "results" / "service.jsonl"


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
    async with httpx2.AsyncClient(base_url=address, limits=limits, timeout=60) as client:
        plans = []
        for seed in range(jobs):
            project = (await client.post("/v1/projects", json=hard_project(seed))).headers["location"]
            asked = await client.post(f"{project}/plans", json={"seconds": 600, "seed": seed})
            plans.append(asked.headers["location"])
        for plan in plans:
            while (await client.get(plan)).json()["state"] == "queued":
                await asyncio.sleep(0.2)
        ends = time.perf_counter() + seconds
        work = [
            poll(client, plans[at % jobs], ends, took, errors)
            if at % 2
            else follow(client, plans[at % jobs], ends, heard, errors)
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
    return {
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
    return int(bool(seen["errors"]) or seen["median_ms"] >= 100)


if __name__ == "__main__":
    sys.exit(main())
