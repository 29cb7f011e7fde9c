"""A whole service in this process: its application over a database of its own, with a stand-in for the engine."""

from __future__ import annotations

import contextlib
import json
import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
import structlog
from fastapi import FastAPI
from starlette.testclient import TestClient

from api.access import Parts
from api.app import build
from api.engines import Run
from api.limits import Limits
from api.settings import Settings
from api.store.database import FILE, Store, engine_for, open_store
from tests.api import postgres
from tests.api.fakes import FakeEngine, until
from tests.malformed import BASE


@dataclass
class Service:
    client: TestClient
    app: FastAPI
    engine: FakeEngine

    @property
    def parts(self) -> Parts:
        return self.app.state.parts

    def project(self, document: Any = BASE) -> str:
        """Hand in a project; return its address."""
        answer = self.client.post("/v1/projects", json=document)
        assert answer.status_code == 201, answer.text
        return f"/v1/projects/{answer.json()['id']}"

    def plan(self, project: str | None = None, **headers: str) -> str:
        """Ask for a plan; return its address."""
        answer = self.client.post(f"{project or self.project()}/plans", json={"seconds": 10}, headers=headers)
        assert answer.status_code == 202, answer.text
        return answer.headers["location"]

    def running(self, plan: str) -> Run:
        """Wait until a plan's search has begun."""
        name = plan.rpartition("/")[2]
        return until(lambda: next((run for run in reversed(self.engine.begun) if run.plan == name), None))

    def state(self, plan: str, state: str) -> dict[str, Any]:
        """Wait until a plan is in a state; return what is shown of it."""

        def look() -> Any:
            shown = self.client.get(plan).json()
            return shown if shown["state"] == state else None

        return until(look)


@pytest.fixture(scope="session", autouse=True)
def _plain_logs() -> None:
    """Short log lines: the usual ones print every variable of a traceback."""
    structlog.configure(
        processors=[
            structlog.contextvars.merge_contextvars,
            structlog.processors.format_exc_info,
            structlog.processors.JSONRenderer(ensure_ascii=True),
        ]
    )


@pytest.fixture(scope="session")
def made_before(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A database with its tables, to be copied: quicker than migrating anew."""
    folder = tmp_path_factory.mktemp("made")
    open_store(folder).close()
    return folder / FILE


@pytest.fixture
def store(tmp_path: Path, made_before: Path) -> Iterator[Store]:
    """A fresh database."""
    shutil.copy(made_before, tmp_path / FILE)
    with contextlib.closing(Store(engine_for(tmp_path))) as store:
        yield store


@pytest.fixture(scope="session")
def postgresql() -> Iterator[str]:
    """The address of a real PostgreSQL server."""
    place = postgres.programs()
    if place is None:
        pytest.skip("PostgreSQL is not installed (apt-get install postgresql)")
    with postgres.running(place) as address:
        yield address


@pytest.fixture
def serving(tmp_path: Path, store: Store) -> Iterator[Callable[..., Service]]:
    """Start a service; ``limits`` and settings as given."""
    with contextlib.ExitStack() as stack:

        def start(
            *, at_once: bool = False, limits: Limits | None = None, base: str = "http://localhost", **settings: Any
        ) -> Service:
            engine = FakeEngine(at_once=at_once)
            asked = Settings(data=tmp_path, limits=limits or Limits(), **{"jobs": 2, **settings})
            app = build(asked, store, engine)
            client = stack.enter_context(TestClient(app, base_url=base, raise_server_exceptions=False))
            return Service(client, app, engine)

        yield start


@pytest.fixture
def service(serving: Callable[..., Service]) -> Service:
    return serving()


def told(answer: Any) -> list[tuple[str, str, dict[str, Any]]]:
    """Return the events of a stream: id, kind, data."""
    found = []
    for block in answer.text.split("\n\n"):
        lines = dict(line.split(": ", 1) for line in block.splitlines() if not line.startswith((":", "retry")))
        if lines:
            found.append((lines["id"], lines["event"], json.loads(lines["data"])))
    return found
