"""Plans as jobs: asked for, looked at, finished early, cancelled."""

from __future__ import annotations

import hashlib
from typing import Annotated, Any, Final

from fastapi import APIRouter, Depends, Header, Query, Response
from sqlalchemy import Connection
from sqlalchemy.exc import IntegrityError
from starlette.concurrency import run_in_threadpool

from api.access import Owner, Parts, ServiceParts
from api.bodies import Order, json_text, order_in, project_on_rack
from api.limits import Limits
from api.problems import Refused
from api.routes import projects as project_routes
from api.shapes import ALWAYS, PlanPage, PlanStatus, problems
from api.store import files, plans, projects, rack
from api.store.events import EventRow
from api.store.ids import is_id
from api.store.plans import PlanRow
from api.store.projects import ProjectRow

router = APIRouter(tags=["plans"])

_ORDER: Final = {
    "type": "object",
    "additionalProperties": False,
    "properties": {
        "seconds": {
            "type": "number",
            "exclusiveMinimum": 0,
            "default": 10,
            "description": "Longest search; /v1/limits says how long it may be. It ends earlier where the plan is "
            "proven cheapest.",
        },
        "seed": {"type": "integer", "minimum": 0, "maximum": 2_147_483_647, "default": 0},
        "rack": {"type": "boolean", "default": False, "description": "Whether the plan draws on the rack."},
    },
    "example": {"seconds": 10},
}
_BODY: Final[dict[str, Any]] = {"requestBody": {"required": False, "content": {"application/json": {"schema": _ORDER}}}}
_RETRY_SECONDS: Final = "10"
Text = Annotated[str, Depends(json_text)]


@router.post(
    "/v1/projects/{project}/plans",
    status_code=202,
    operation_id="createPlan",
    openapi_extra=_BODY,
    responses={
        **ALWAYS, **problems(400, 404, 408, 409, 413, 415, 422),
        202: {
            "headers": {"Location": {"description": "Address of the plan.", "schema": {"type": "string"}}},
            "links": {
                "status": {"operationId": "readPlan", "parameters": {"plan": "$response.body#/id"}},
                "cancel": {"operationId": "cancelPlan", "parameters": {"plan": "$response.body#/id"}},
            },
        },
    },
)  # fmt: skip
def create(
    project: str,
    owner: Owner,
    text: Text,
    parts: ServiceParts,
    response: Response,
    idempotency_key: Annotated[
        str | None,
        Header(max_length=200, description="Sent again with the same request, it gives the same plan, not another."),
    ] = None,
) -> PlanStatus:
    """Ask for a plan of a project as it is now."""
    order = order_in(text, parts.settings.limits)
    row = project_routes.found(parts, owner, project)
    plan = waiting(parts, row, order, idempotency_key)
    response.headers["location"] = f"/v1/plans/{plan.id}"
    return shown(parts, plan)


@router.get("/v1/projects/{project}/plans", operation_id="listPlans", responses={**ALWAYS, **problems(404, 422)})
def listed(
    project: str,
    owner: Owner,
    parts: ServiceParts,
    after: Annotated[str, Query(max_length=26, description="Id of the last plan of the page before.")] = "",
    limit: Annotated[int, Query(ge=1, le=100)] = 50,
) -> PlanPage:
    """List a project's plans, oldest first."""
    row = project_routes.found(parts, owner, project)
    with parts.store.reading() as connection:
        rows = plans.page(connection, row.id, project_routes.checked_cursor(after), limit + 1)
    more = f"/v1/projects/{row.id}/plans?after={rows[limit - 1].id}&limit={limit}" if len(rows) > limit else None
    return PlanPage(plans=[shown(parts, plan) for plan in rows[:limit]], next=more)


@router.get("/v1/plans/{plan}", operation_id="readPlan", responses={**ALWAYS, **problems(404)})
async def read(plan: str, owner: Owner, parts: ServiceParts) -> PlanStatus:
    """Return how far a plan is."""
    return await run_in_threadpool(lambda: shown(parts, found(parts, owner, plan)))  # asked most: one thread, once


@router.delete("/v1/plans/{plan}", operation_id="cancelPlan", responses={**ALWAYS, **problems(404, 409)})
def cancel(plan: str, owner: Owner, parts: ServiceParts) -> PlanStatus:
    """Cancel a plan that waits or runs; its search ends at once."""
    row = found(parts, owner, plan)
    with parts.store.writing() as connection:
        event = plans.cancel(connection, row.id)
    fresh = found(parts, owner, plan)
    if event is None and fresh.state != plans.CANCELLED:
        raise Refused("already-over", f"The plan is {fresh.state}")
    parts.bulletin.post([event])
    parts.foreman.drop(row.id)
    return shown(parts, fresh)


@router.post(
    "/v1/plans/{plan}/finish",
    status_code=202,
    operation_id="finishPlan",
    responses={**ALWAYS, **problems(404, 409)},
)
def finish(plan: str, owner: Owner, parts: ServiceParts) -> PlanStatus:
    """Be content with the best plan so far: end the search, and make its papers."""
    row = found(parts, owner, plan)
    with parts.store.writing() as connection:
        asked = plans.finish_early(connection, row.id)
    if not asked:
        over = row.state in plans.OVER
        raise Refused("already-over" if over else "not-ready", f"The plan is {row.state}")
    parts.foreman.finish(row.id)
    return shown(parts, found(parts, owner, plan))


# -- shared with other routes


def found(parts: Parts, owner: str, plan: str) -> PlanRow:
    """Return somebody's plan; refuse an id that is none, or not theirs."""
    row = None
    if is_id(plan):
        with parts.store.reading() as connection:
            row = plans.find(connection, owner, plan)
    if row is None:
        raise Refused("not-found", "There is no plan of this id")
    return row


def shown(parts: Parts, row: PlanRow) -> PlanStatus:
    """Return a plan as it is shown: with its papers once done, with its place in the queue while it waits."""
    if row.state not in (plans.QUEUED, plans.DONE):
        return PlanStatus.of(row)
    with parts.store.reading() as connection:
        if row.state == plans.QUEUED:
            return PlanStatus.of(row, ahead=plans.ahead(connection, row))
        new = plans.replaced_by(connection, row.id)
        return PlanStatus.of(row, files=files.names(connection, row.id), replaced_by=new.id if new else None)


def waiting(
    parts: Parts, project: ProjectRow, order: Order, idempotency_key: str | None, varied: str | None = None
) -> PlanRow:
    """Let what was asked for wait its turn; what the same request with the same key made before, where it did."""
    key = _checked_key(idempotency_key)
    said = f"{project.id}\n{order.seconds!r}\n{order.seed}\n{varied or ''}" + "\nrack" * order.rack
    mark = hashlib.sha256(said.encode()).hexdigest()
    plan = _repeated(parts, project.owner, key, mark)
    if plan is not None:
        return plan
    try:
        plan, event = _asked(parts, project, order, key, mark, varied)
    except IntegrityError:  # the same key at the same moment, or the project was deleted under our hands
        plan = _repeated(parts, project.owner, key, mark)
        if plan is None:
            raise Refused("not-found", "There is no project of this id") from None
        return plan
    parts.bulletin.post([event])
    parts.foreman.wake()
    return plan


def check_room(connection: Connection, limits: Limits, owner: str) -> None:
    """Refuse one plan more where the queue is full, or its owner's part of it."""
    mine, all_ = plans.counts(connection, owner), plans.counts(connection)
    if sum(mine.values()) >= limits.plans_per_key:
        raise Refused("full", f"at most {limits.plans_per_key:,} plans")
    if mine.get(plans.QUEUED, 0) >= limits.queued_per_key:
        raise Refused(
            "too-many",
            f"{limits.queued_per_key} of your plans wait already",
            headers={"retry-after": _RETRY_SECONDS},
        )
    if all_.get(plans.QUEUED, 0) >= limits.queued:
        raise Refused("busy", f"{limits.queued} plans wait already", headers={"retry-after": _RETRY_SECONDS})


def _asked(
    parts: Parts, project: ProjectRow, order: Order, key: str | None, mark: str, varied: str | None
) -> tuple[PlanRow, EventRow]:
    with parts.store.writing() as connection:
        check_room(connection, parts.settings.limits, project.owner)
        latest = projects.find(connection, project.owner, project.id)
        if latest is None:
            raise Refused("not-found", "There is no project of this id")
        document = latest.document
        if order.rack:
            document = project_on_rack(document, rack.pieces(connection, latest.owner).values())
        return plans.add(
            connection,
            owner=latest.owner,
            project=latest.id,
            document=document,
            version=latest.version,
            seconds=order.seconds,
            seed=order.seed,
            idempotency_key=key,
            fingerprint=mark if key is not None else None,
            varied=varied,
        )


def _repeated(parts: Parts, owner: str, key: str | None, mark: str) -> PlanRow | None:
    """Return the plan that the same request made before; refuse a key that another request used."""
    if key is None:
        return None
    with parts.store.reading() as connection:
        row = plans.by_idempotency_key(connection, owner, key)
    if row is not None and row.fingerprint != mark:
        raise Refused("key-used")
    return row


def _checked_key(key: str | None) -> str | None:
    if key is not None and not (key.isascii() and key.isprintable() and key.strip()):
        raise Refused("bad-input", "Idempotency-Key is 1 to 200 printable characters of ASCII")
    return key
