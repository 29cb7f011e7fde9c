"""Seconds of processor time that the project form takes: shown whole, following a change, begun blank."""

from __future__ import annotations

import argparse
import statistics
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from starlette.testclient import TestClient

from api.app import build
from api.settings import Settings
from api.store.database import open_store
from benchmarks.record import append, protocol
from tests.api.fakes import FakeEngine
from tests.pages.walking import HTML, Page, sent


def main() -> None:
    """Measure, and keep one line."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--runs", type=int, default=30)
    runs = asked.parse_args().runs
    with tempfile.TemporaryDirectory() as folder:
        store = open_store(Path(folder))
        app = build(Settings(data=Path(folder)), store, FakeEngine())
        with TestClient(app, base_url="http://localhost") as client:
            token = Page(client.get("/", headers=HTML).text).values["token"]
            blank = sent(client, "/start/blank", {"token": token}).headers["location"]
            demo = sent(client, "/start/demo", {"token": token, "demo": "wall"}).headers["location"]
            fields = Page(client.get(demo, headers=HTML).text).values
            script = {"hx-request": "true", "hx-trigger-name": "wall.width"}
            measured = {
                "blank_form": _median(runs, lambda: client.get(blank, headers=HTML)),
                "demo_form": _median(runs, lambda: client.get(demo, headers=HTML)),
                "following": _median(runs, lambda: sent(client, f"{demo}/typed", fields, headers=script)),
            }
        store.close()
    row = {**protocol("form_page", runs=runs), "cpu_seconds": measured}
    append(Path(__file__).parent / "results" / "form_page.jsonl", row)
    print(row)


def _median(runs: int, ask: Callable[[], Any]) -> float:
    """Return the median of the processor's seconds, client and server together."""
    taken = []
    for _ in range(runs):
        begun = time.process_time()
        answer = ask()
        taken.append(time.process_time() - begun)
        assert answer.status_code == 200, answer.text  # noqa: S101
    return round(statistics.median(taken), 4)


if __name__ == "__main__":
    main()
