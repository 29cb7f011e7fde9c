"""The application: routes, and the parts they work with. Nothing runs before it is entered, nothing after it is left.

Pages are further routers over the same parts, included here beside those of the API.
"""

from __future__ import annotations

import asyncio
import contextlib
import secrets
from collections.abc import AsyncIterator
from pathlib import Path
from queue import SimpleQueue
from typing import Any, Final

from fastapi import FastAPI
from fastapi.exceptions import RequestValidationError
from sqlalchemy.exc import DBAPIError
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from api.access import Parts
from api.bulletin import Bulletin
from api.engines import Engine, News
from api.front import Front
from api.jobs import Foreman
from api.keys import Keyring
from api.metrics import Metrics
from api.pages import compare_pages, mishap_pages, plan_pages, rack_pages, saw_pages, sign_in, start, statics
from api.pages import project as project_page
from api.pages.errors import told
from api.problems import Refused, of_framework
from api.rates import Buckets
from api.routes import about, comparisons, events, plans, progress, projects, rack, replans, results
from api.sessions import Sessions
from api.settings import Settings
from api.shapes import Problem
from api.store import keys
from api.store.database import Store

ROUTERS: Final = (
    projects.router, plans.router, comparisons.router, events.router, progress.router, replans.router, results.router,
    rack.router, about.router,
)  # fmt: skip
"""In order of matching: a plan's papers come after its events."""
PAGES: Final = (
    statics.router,
    sign_in.router,
    start.router,
    project_page.router,
    plan_pages.router,
    saw_pages.router,
    mishap_pages.router,
    compare_pages.router,
    rack_pages.router,
)
"""For people; no part of the API's description."""
_IDENTITY: Final = "server-id"
_BURST_SECONDS: Final = 5
TITLE: Final = "cleatwright"


def build(settings: Settings, store: Store, engine: Engine | None = None) -> FastAPI:
    """Return the application over an open store; ``engine`` stands in for the one that the settings ask for."""
    bulletin = Bulletin()
    metrics = Metrics(store, bulletin)
    keyring = Keyring(store)
    keyring.read()
    foreman = Foreman(
        store=store,
        engine=engine if engine is not None else engine_of(settings),
        bulletin=bulletin,
        server=identity(settings.data),
        jobs=settings.jobs,
        each=lambda: settings.jobs if keyring.empty else max(1, settings.jobs - 1),  # a place for somebody else
        finished=metrics.search,
    )
    with store.writing() as connection:
        sessions = Sessions(keys.secret(connection, "sessions", secrets.token_urlsafe(32)))
    limits = settings.limits
    rate = limits.requests_per_second
    parts = Parts(
        settings, store, foreman, bulletin, keyring, sessions, metrics,
        asked=Buckets(rate, rate * _BURST_SECONDS),
        wrong=Buckets(limits.wrong_keys_per_minute / 60, limits.wrong_keys_per_minute),
    )  # fmt: skip
    app = described(lifespan=_life(parts))
    app.state.parts = parts
    app.add_middleware(Front, limits=limits, metrics=metrics)
    return app


def described(**more: Any) -> FastAPI:
    """Return the application without its parts: addresses, shapes, faults; enough for its OpenAPI description."""
    app = FastAPI(
        title=TITLE,
        version="1",
        summary="Buying lists, cutting layouts and a safe saw sequence for French-cleat storage",
        docs_url=None,  # its pages fetch scripts from elsewhere
        redoc_url=None,
        **more,
    )
    for router in ROUTERS:
        app.include_router(router)
    for router in PAGES:
        app.include_router(router, include_in_schema=False)
    app.add_exception_handler(HTTPException, _refuse)
    app.add_exception_handler(RequestValidationError, _refuse)
    app.add_exception_handler(DBAPIError, _storage)
    _describe(app)
    return app


def engine_of(settings: Settings) -> Engine:
    """Return where searches run, as the settings say."""
    news: SimpleQueue[News | None] = SimpleQueue()
    if settings.cluster is not None:
        from api.engines.cluster import Cluster

        return Cluster(news, settings.cluster, settings.jobs)
    from api.engines.embedded import Workshop

    return Workshop(news)


def identity(data: Path) -> str:
    """Return the name of this server, the same after each start from the same data folder."""
    file = data / _IDENTITY
    with contextlib.suppress(FileNotFoundError):
        if kept := file.read_text(encoding="ascii").strip():
            return kept[:32]
    fresh = secrets.token_hex(16)
    file.write_text(fresh, encoding="ascii")
    return fresh


def _life(parts: Parts) -> Any:
    @contextlib.asynccontextmanager
    async def life(_app: FastAPI) -> AsyncIterator[None]:
        parts.bulletin.open(asyncio.get_running_loop())
        await asyncio.to_thread(parts.foreman.start)
        try:
            yield
        finally:
            parts.bulletin.close()
            await asyncio.to_thread(parts.foreman.stop)

    return life


async def _refuse(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException | RequestValidationError)  # noqa: S101  (registered for these)
    return told(of_framework(error), request)


async def _storage(request: Request, error: Exception) -> Response:
    import structlog

    structlog.get_logger("requests").error("storage_trouble", error=str(getattr(error, "orig", error)))
    return told(Refused("storage", headers={"retry-after": "2"}), request)


def _describe(app: FastAPI) -> None:
    """Let the description hold the problem document, and none of the framework's own error shapes."""
    plain = app.openapi

    def openapi() -> dict[str, Any]:
        if app.openapi_schema is None:
            made = plain()
            shapes = made["components"]["schemas"]
            for name in ("HTTPValidationError", "ValidationError"):
                shapes.pop(name, None)
            for path in made["paths"].values():
                for operation in path.values():  # a path's text is never refused by its shape; 404 says the rest
                    if "HTTPValidationError" in str(operation["responses"].get("422")):
                        del operation["responses"]["422"]
            problem = Problem.model_json_schema(ref_template="#/components/schemas/{model}")
            shapes |= problem.pop("$defs", {}) | {"Problem": problem}
            made["components"]["securitySchemes"] = {"key": {"type": "http", "scheme": "bearer"}}
            made["security"] = [{"key": []}, {}]
            app.openapi_schema = made
        return app.openapi_schema

    app.openapi = openapi  # type: ignore[method-assign]
