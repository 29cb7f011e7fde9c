"""What the service is, what it takes on, and how it does."""

from __future__ import annotations

from dataclasses import asdict
from importlib.metadata import PackageNotFoundError, version
from typing import Any, Final

from fastapi import APIRouter, Response
from sqlalchemy import text
from sqlalchemy.exc import SQLAlchemyError
from starlette.responses import JSONResponse, PlainTextResponse

from api.access import Owner, ServiceParts
from api.problems import KINDS, Refused
from api.shapes import ALWAYS, LimitsShown, problems
from api.store import plans, projects, rack

router = APIRouter(tags=["about"])

_PLAIN: Final[dict[str, Any]] = {"content": {"text/plain": {"schema": {"type": "string"}}}}
_HEALTH: Final[dict[str, Any]] = {"content": {"application/json": {"schema": {"type": "object"}}}}


def program_version() -> str:
    """Return the version of this program, as it is installed."""
    try:
        return version("cleatwright")
    except PackageNotFoundError:  # run from the source tree
        return "not installed"


@router.get("/v1/limits", operation_id="readLimits", responses=ALWAYS)
def limits(owner: Owner, parts: ServiceParts) -> LimitsShown:
    """Return the service's limits, and how much of them is in use."""
    with parts.store.reading() as connection:
        mine, all_ = plans.counts(connection, owner), plans.counts(connection)
        kept, in_rack = projects.count(connection, owner), rack.count(connection, owner)
    in_use = {
        "projects": kept, "plans": sum(mine.values()), "queued": mine.get(plans.QUEUED, 0),
        "running": mine.get(plans.RUNNING, 0), "queued_of_all": all_.get(plans.QUEUED, 0),
        "running_of_all": all_.get(plans.RUNNING, 0), "rack_pieces": in_rack, "searches_at_once": parts.settings.jobs,
    }  # fmt: skip
    return LimitsShown(limits=asdict(parts.settings.limits), in_use=in_use)


@router.get(
    "/healthz",
    operation_id="readHealth",
    response_class=JSONResponse,
    responses={200: _HEALTH, 503: {"description": "Not well", **_HEALTH}},
)
def health(parts: ServiceParts) -> JSONResponse:
    """Say whether the storage answers and plans are being worked on."""
    try:
        with parts.store.reading() as connection:
            connection.execute(text("SELECT 1"))
        storage = True
    except SQLAlchemyError:
        storage = False
    well = storage and parts.foreman.alive
    words = {
        "status": "ok" if well else "not well", "storage": storage, "foreman": parts.foreman.alive,
        "version": program_version(),
    }  # fmt: skip
    return JSONResponse(words, 200 if well else 503)


@router.get("/metrics", operation_id="readMetrics", response_class=PlainTextResponse, responses={**ALWAYS, 200: _PLAIN})
def metrics(_owner: Owner, parts: ServiceParts) -> Response:
    """Return figures for monitoring, in the text format of Prometheus."""
    return Response(parts.metrics.text(), media_type="text/plain; version=0.0.4; charset=utf-8")


@router.get(
    "/problems/{kind}",
    operation_id="readProblem",
    response_class=PlainTextResponse,
    responses={200: _PLAIN, **problems(404)},
)
async def problem(kind: str) -> PlainTextResponse:
    """Say what a kind of problem means."""
    if kind not in KINDS:
        raise Refused("not-found")
    about = KINDS[kind]
    return PlainTextResponse(f"{about.title} (status {about.status})\n\n{about.about}\n")
