"""A real server in a thread and a real browser, for tests that need both; the engine is told what each search finds."""

from __future__ import annotations

import contextlib
import shutil
import socket
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import uvicorn
from axe_playwright_python.base import AXE_FILE_PATH
from playwright.sync_api import Browser, Page, expect, sync_playwright

from api.app import build
from api.settings import Settings
from api.store.database import Store, engine_for
from tests.api.fakes import FakeEngine, until
from tests.malformed import BASE
from tests.pages.bench import done, rack_plan

DESK: Final = {"width": 1280, "height": 800}
PHONE: Final = {"width": 390, "height": 844}
_PATIENCE: Final = 30_000.0
"""Milliseconds; on a busy machine everything takes its time."""
expect.set_options(timeout=_PATIENCE)
_NAMES: Final = ("chromium", "chromium-browser", "google-chrome")
_RULES: Final = ("wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice")
_SERIOUS: Final = ("serious", "critical")


@dataclass
class Bench:
    """The server, its engine, and the browser."""

    address: str
    engine: FakeEngine
    browser: Browser
    client: Any

    @contextlib.contextmanager
    def looking(self, size: dict[str, int], expected: tuple[str, ...] = (), **more: Any) -> Iterator[Page]:
        """Open a window of a size; what its pages complain of on the console, but for what is expected, is a fault."""
        context = self.browser.new_context(viewport=size, base_url=self.address, **more)
        context.set_default_timeout(_PATIENCE)
        page = context.new_page()
        complaints: list[str] = []
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.on("console", lambda said: complaints.append(said.text) if said.type == "error" else None)
        try:
            yield page
        finally:
            context.close()
        left = [one for one in complaints if not any(words in one for words in expected)]
        assert not left, left

    def search(self, document: Any = BASE) -> str:
        """Hand in a project and ask for a plan; return the plan's id once its search has begun."""
        project = self.client.post(f"{self.address}/v1/projects", json=document).json()["id"]
        plan = self.client.post(f"{self.address}/v1/projects/{project}/plans", json={"seconds": 10}).json()["id"]
        self.running(plan)
        return str(plan)

    def running(self, plan: str) -> Any:
        """Wait until a search has begun."""
        return until(lambda: next((run for run in self.engine.begun if run.plan == plan), None))

    def planned(self, name: str = "shelf") -> str:
        """Return the id of a finished plan by hand."""
        plan = self.search()
        self.engine.say(self.running(plan), done(rack_plan(name)))
        until(lambda: self.client.get(f"{self.address}/v1/plans/{plan}").json()["state"] == "done")
        return plan


@contextlib.contextmanager
def serving(folder: Path) -> Iterator[tuple[str, FakeEngine]]:
    """Serve from a folder with a database in it, on a port of its own."""
    engine = FakeEngine()
    with contextlib.closing(Store(engine_for(folder))) as store, contextlib.closing(socket.socket()) as listener:
        listener.bind(("127.0.0.1", 0))
        app = build(Settings(data=folder, jobs=8), store, engine)
        server = uvicorn.Server(uvicorn.Config(app, log_config=None, access_log=False, timeout_graceful_shutdown=1))
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True)
        thread.start()
        try:
            while not server.started:
                assert thread.is_alive(), "the server did not start"
                time.sleep(0.02)
            yield f"http://localhost:{listener.getsockname()[1]}", engine
        finally:
            app.state.parts.bulletin.close()
            server.should_exit = True
            thread.join()


@contextlib.contextmanager
def chromium() -> Iterator[Browser]:
    """Start the system's Chromium; a machine without one fails the tests, for none of them may be left out."""
    found = next(filter(None, map(shutil.which, _NAMES)), None)
    assert found is not None, f"no browser is installed: one of {', '.join(_NAMES)} is needed"
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=found, args=["--no-sandbox", "--disable-dev-shm-usage"])
        try:
            yield browser
        finally:
            browser.close()


def serious_findings(page: Page) -> list[str]:
    """Return what axe-core finds against a page's accessibility that is serious or worse."""
    page.evaluate(Path(AXE_FILE_PATH).read_text(encoding="utf-8"))  # past the page's own security policy
    found = page.evaluate("sought => axe.run(document, {resultTypes: ['violations'], runOnly: sought})", _RULES)
    return [
        f"{one['id']}: {one['help']}: {[node['target'] for node in one['nodes']]}"
        for one in found["violations"]
        if one["impact"] in _SERIOUS
    ]
