"""A plan made anew from what is left, after a piece was lost: a job like any other, and of little time."""

from __future__ import annotations

from typing import Annotated, Any, Final

from fastapi import APIRouter, Depends, Response

from api.access import Owner, Parts, ServiceParts
from api.bodies import Order, json_text, order_in
from api.problems import Refused
from api.routes.plans import check_room, found, shown
from api.routes.progress import plan_of, progress_in
from api.shapes import ALWAYS, PlanStatus, problems
from api.store import plans, ticks
from api.store.plans import PlanRow
from nesting.progress.ground import ground
from nesting.progress.record import progress_to_json
from nesting.progress.standing import lost_pieces

router = APIRouter(tags=["progress"])

USUAL_SECONDS: Final = 3.0
_ORDER: Final = {
    "type": "object",
    "additionalProperties": False,
    "properties": {
        "seconds": {
            "type": "number",
            "exclusiveMinimum": 0,
            "default": USUAL_SECONDS,
            "description": "Longest search.",
        },
        "seed": {"type": "integer", "minimum": 0, "maximum": 2_147_483_647, "default": 0},
    },
    "example": {"seconds": 3},
}
_BODY: Final[dict[str, Any]] = {"requestBody": {"required": False, "content": {"application/json": {"schema": _ORDER}}}}


@router.post(
    "/v1/plans/{plan}/replan",
    status_code=202,
    operation_id="replan",
    openapi_extra=_BODY,
    responses={
        **ALWAYS, **problems(400, 404, 408, 409, 413, 415, 422),
        202: {"headers": {"Location": {"description": "Address of the new plan.", "schema": {"type": "string"}}}},
    },
)  # fmt: skip
def create(
    plan: str, owner: Owner, text: Annotated[str, Depends(json_text)], parts: ServiceParts, response: Response
) -> PlanStatus:
    """Ask for a plan that makes up for lost pieces: least new money, least change. The old plan is kept.

    Asked again while the first one stands, it is the same. Until the new plan has failed or is cancelled, nothing more
    is ticked on the old one.
    """
    order = order_in(text, parts.settings.limits, usual=USUAL_SECONDS, rack=False)
    new = replanned(parts, owner, plan, order)
    response.headers["location"] = f"/v1/plans/{new.id}"
    return shown(parts, new)


# -- shared with the pages


def replanned(parts: Parts, owner: str, plan: str, order: Order | None = None) -> PlanRow:
    """Let a plan that makes somebody's plan anew wait its turn, or return the one that does already."""
    wanted = order or Order(min(USUAL_SECONDS, float(parts.settings.limits.seconds)), 0)
    document = plan_of(parts, owner, plan)
    row = found(parts, owner, plan)
    with parts.store.writing() as connection:
        ticks.hold(connection, plan)
        there = plans.replaced_by(connection, plan)
        if there is not None:
            return there
        progress = progress_in(connection, document, plan)
        if not lost_pieces(document, progress, ground(document)):
            raise Refused("not-in-turn", "Nothing is lost: the plan stands as it is")
        check_room(connection, parts.settings.limits, owner)
        new, event = plans.add(
            connection,
            owner=owner,
            project=row.project,
            document=plans.document(connection, plan),
            version=row.version,
            seconds=wanted.seconds,
            seed=wanted.seed,
            replaces=plan,
            record=progress_to_json(progress),
        )
    parts.bulletin.post([event])
    parts.foreman.wake()
    return new
