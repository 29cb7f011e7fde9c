"""Projects: made, read, replaced, deleted. The document is that of a project file, as JSON."""

from __future__ import annotations

import json
from importlib.resources import files
from typing import Annotated, Any, Final

from fastapi import APIRouter, Depends, Header, Query, Response
from starlette.concurrency import run_in_threadpool

from api.access import Owner, Parts, ServiceParts
from api.bodies import json_text, project_in
from api.problems import Refused
from api.shapes import ALWAYS, Made, ProjectPage, ProjectSummary, problems
from api.store import drafts, plans, projects
from api.store.ids import is_id
from api.store.projects import ProjectRow

router = APIRouter(tags=["projects"])

EXAMPLE: Final = {
    "project": {"name": "Bike co-op repair bay", "unit": "in"},
    "saw": {"kerf": "1/8"},
    "sheet": [{"name": "18 mm birch, 4x8", "length": 96, "width": 48, "thickness": "23/32", "price": 86.5}],
    "part": [{"name": "pump shelf", "length": "23 1/4", "width": "9", "thickness": "23/32", "quantity": 7}],
}
_SCHEMA: Final = {
    "type": "object",
    "required": ["project", "saw"],
    "description": "A project with the keys of a project file; its JSON Schema is at /v1/schemas/project.json.",
    "example": EXAMPLE,
}
_BODY: Final[dict[str, Any]] = {"requestBody": {"required": True, "content": {"application/json": {"schema": _SCHEMA}}}}
_BODY_PROBLEMS: Final = problems(400, 408, 413, 415, 422)
_ETAG: Final = {"ETag": {"description": "The project's version, in quotes.", "schema": {"type": "string"}}}
Text = Annotated[str, Depends(json_text)]


@router.post(
    "/v1/projects",
    status_code=201,
    operation_id="createProject",
    openapi_extra=_BODY,
    responses={
        **ALWAYS, **_BODY_PROBLEMS, **problems(409),
        201: {"headers": {"Location": {"schema": {"type": "string"}}, **_ETAG}},
    },
)  # fmt: skip
def create(owner: Owner, text: Text, parts: ServiceParts, response: Response) -> Made:
    """Keep a new project; every fault in it is told at once."""
    limits = parts.settings.limits
    project = project_in(text, limits)
    with parts.store.writing() as connection:
        if projects.count(connection, owner) >= limits.projects_per_key:
            raise Refused("full", f"at most {limits.projects_per_key:,} projects")
        row = projects.add(connection, owner, project.name, text)
    response.headers["location"] = f"/v1/projects/{row.id}"
    response.headers["etag"] = etag(row)
    return Made(id=row.id)


@router.get("/v1/projects", operation_id="listProjects", responses={**ALWAYS, **problems(422)})
def listed(
    owner: Owner,
    parts: ServiceParts,
    after: Annotated[str, Query(max_length=26, description="Id of the last project of the page before.")] = "",
    limit: Annotated[int, Query(ge=1, le=100)] = 50,
) -> ProjectPage:
    """List projects, oldest first."""
    with parts.store.reading() as connection:
        rows = projects.page(connection, owner, checked_cursor(after), limit + 1)
    more = f"/v1/projects?after={rows[limit - 1].id}&limit={limit}" if len(rows) > limit else None
    return ProjectPage(projects=[ProjectSummary.of(row) for row in rows[:limit]], next=more)


@router.get(
    "/v1/projects/{project}",
    operation_id="readProject",
    response_class=Response,
    responses={
        **ALWAYS, **problems(404),
        200: {"headers": _ETAG, "content": {"application/json": {"schema": _SCHEMA}}},
        304: {"description": "If-None-Match bears the latest version"},
    },
)  # fmt: skip
def read(
    project: str, owner: Owner, parts: ServiceParts, if_none_match: Annotated[str | None, Header()] = None
) -> Response:
    """Return a project as it was handed in."""
    row = found(parts, owner, project)
    headers = {"etag": etag(row), "cache-control": "private, no-cache"}
    if if_none_match is not None and matches(if_none_match, etag(row)):
        return Response(status_code=304, headers=headers)
    return Response(row.document, headers=headers, media_type="application/json")


@router.put(
    "/v1/projects/{project}",
    operation_id="replaceProject",
    openapi_extra=_BODY,
    responses={**ALWAYS, **_BODY_PROBLEMS, **problems(404, 412, 428), 200: {"headers": _ETAG}},
)
def replace(
    project: str,
    owner: Owner,
    text: Text,
    parts: ServiceParts,
    response: Response,
    if_match: Annotated[str | None, Header(description="The ETag that reading gave.")] = None,
) -> ProjectSummary:
    """Put a new document in place of the latest; plans made before keep the one they were made for."""
    row = found(parts, owner, project)
    if if_match is None:
        raise Refused("version-needed")
    asked = project_in(text, parts.settings.limits)
    if not matches(if_match, etag(row)):
        raise Refused("changed-meanwhile")
    with parts.store.writing() as connection:
        replaced = projects.replace(connection, row.id, row.version, asked.name, text)
        fresh = projects.find(connection, owner, row.id)
    if not replaced or fresh is None:
        raise Refused("changed-meanwhile")
    response.headers["etag"] = etag(fresh)
    return ProjectSummary.of(fresh)


@router.delete(
    "/v1/projects/{project}",
    status_code=204,
    operation_id="deleteProject",
    responses={**ALWAYS, **problems(404, 412)},
)
def delete(
    project: str, owner: Owner, parts: ServiceParts, if_match: Annotated[str | None, Header()] = None
) -> Response:
    """Forget a project with its plans, their papers and what is typed of it; what waits or runs is cancelled."""
    row = found(parts, owner, project)
    if if_match is not None and not matches(if_match, etag(row)):
        raise Refused("changed-meanwhile")
    with parts.store.writing() as connection:
        open_plans = plans.unfinished(connection, row.id)
        told = [plans.cancel(connection, plan_id) for plan_id in open_plans]
        projects.remove(connection, row.id)
        drafts.remove(connection, row.id)
    parts.bulletin.post(told)
    for plan_id in open_plans:
        parts.foreman.drop(plan_id)
    return Response(status_code=204)


@router.get(
    "/v1/schemas/{name}.json",
    operation_id="readSchema",
    tags=["about"],
    response_class=Response,
    responses={200: {"content": {"application/json": {"schema": {"type": "object"}}}}, **problems(404)},
)
async def schema(name: str) -> Response:
    """Return the JSON Schema of the project file or of the plan file (``project``, ``plan``)."""
    places = {"project": ("nesting.project", "project.schema.json"), "plan": ("nesting", "plan.schema.json")}
    if name not in places:
        raise Refused("not-found")
    package, file = places[name]
    text = await run_in_threadpool(files(package).joinpath(file).read_text, "utf-8")
    return Response(json.dumps(json.loads(text)), media_type="application/schema+json")


# -- shared with other routes


def found(parts: Parts, owner: str, project: str) -> ProjectRow:
    """Return somebody's project; refuse an id that is none, or not theirs."""
    row = None
    if is_id(project):
        with parts.store.reading() as connection:
            row = projects.find(connection, owner, project)
    if row is None:
        raise Refused("not-found", "There is no project of this id")
    return row


def etag(row: ProjectRow) -> str:
    """Return a project's ETag (RFC 9110)."""
    return f'"{row.id}.{row.version}"'


def matches(header: str, tag: str) -> bool:
    """Whether a list of ETags, or a star, names this one; weakness is overlooked.

    >>> matches('W/"a", "b"', '"a"'), matches("*", '"a"'), matches('"b"', '"a"')
    (True, True, False)
    """
    return header.strip() == "*" or tag in (one.strip().removeprefix("W/") for one in header.split(","))


def checked_cursor(after: str) -> str:
    """Return the id after which a page begins; refuse what is none."""
    if after and not is_id(after):
        raise Refused("bad-input", "after is not an id")
    return after
