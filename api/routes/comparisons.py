"""Comparisons: other cleat heights, thicknesses, kerfs, gaps and sheets side by side, as jobs like plans."""

from __future__ import annotations

from typing import Annotated, Any, Final

from fastapi import APIRouter, Depends, Header, Response

from api.access import Owner, ServiceParts
from api.bodies import comparison_in, json_text, project_in
from api.routes import plans
from api.routes import projects as project_routes
from api.shapes import ALWAYS, PlanStatus, problems

router = APIRouter(tags=["plans"])

_LENGTHS: Final = {"type": "array", "items": {"anyOf": [{"type": "string"}, {"type": "number"}]}}
_ORDER: Final = {
    "type": "object",
    "additionalProperties": False,
    "properties": {
        "cleat_height": {**_LENGTHS, "description": "Heights of wall and holder cleats."},
        "thickness": {**_LENGTHS, "description": "Thicknesses of the cleats."},
        "kerf": {**_LENGTHS, "description": "Widths the blade removes."},
        "gap": {**_LENGTHS, "description": "Clear heights between rows of a wall."},
        "sheet": {"type": "array", "items": {"type": "string"}, "description": "Names of the sheet to buy."},
        "seconds": {"type": "number", "exclusiveMinimum": 0, "default": 10, "description": "For each alternative."},
        "seed": {"type": "integer", "minimum": 0, "maximum": 2_147_483_647, "default": 0},
    },
    "example": {"cleat_height": ["3", "3 1/4", "4"], "seconds": 5},
}
_BODY: Final[dict[str, Any]] = {"requestBody": {"required": False, "content": {"application/json": {"schema": _ORDER}}}}


@router.post(
    "/v1/projects/{project}/comparisons",
    status_code=202,
    operation_id="createComparison",
    openapi_extra=_BODY,
    responses={
        **ALWAYS, **problems(400, 404, 408, 409, 413, 415, 422),
        202: {"headers": {"Location": {"description": "Address of the comparison.", "schema": {"type": "string"}}}},
    },
)  # fmt: skip
def create(
    project: str,
    owner: Owner,
    text: Annotated[str, Depends(json_text)],
    parts: ServiceParts,
    response: Response,
    idempotency_key: Annotated[str | None, Header(max_length=200)] = None,
) -> PlanStatus:
    """Ask for every combination of what is listed; a job like a plan, whose papers are compare.json and its tables."""
    row = project_routes.found(parts, owner, project)
    limits = parts.settings.limits
    order, varied = comparison_in(text, project_in(row.document, limits), limits)
    plan = plans.waiting(parts, row, order, idempotency_key, varied)
    response.headers["location"] = f"/v1/plans/{plan.id}"
    return plans.shown(parts, plan)
