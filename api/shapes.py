"""What the service answers with, as the OpenAPI description tells it."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field

from api.problems import MEDIA_TYPE
from api.store.ids import PATTERN
from api.store.plans import PlanRow
from api.store.projects import ProjectRow

State = Literal["queued", "running", "done", "failed", "cancelled"]
_ID = "01JF2Q8ZC4T1V5W9XA3B7D6E0K"


class _Shape(BaseModel):
    model_config = ConfigDict(extra="forbid")


class FaultEntry(BaseModel):
    """One fault."""

    pointer: str = Field(description="Where, as a JSON pointer (RFC 6901) into what was sent; empty: the whole.")
    detail: str = Field(description="What is wrong and what is accepted, as the command line says it.")


class Problem(BaseModel):
    """A problem document (RFC 9457)."""

    model_config = ConfigDict(
        json_schema_extra={
            "example": {
                "type": "/problems/bad-input", "title": "What was handed in has faults", "status": 422,
                "detail": "1 problem", "instance": "/v1/projects", "errors": [{
                    "pointer": "/saw/kerf", "detail": "saw.kerf: is negative; accepted: 0 or more",
                    "path": "saw.kerf", "message": "is negative", "accepted": "0 or more",
                }],
            }
        }
    )  # fmt: skip
    type: str = Field(description="Kind of the problem, and the address of a page about it.")
    title: str
    status: int
    detail: str | None = None
    instance: str | None = Field(default=None, description="Path that was asked for.")
    errors: list[FaultEntry] = Field(description="Every fault.")


class Made(_Shape):
    """A new project."""

    id: str = Field(pattern=PATTERN, examples=[_ID])


class ProjectSummary(_Shape):
    """A project in a list."""

    id: str = Field(pattern=PATTERN, examples=[_ID])
    name: str = Field(examples=["Bike co-op repair bay"])
    version: int = Field(description="Counts its changes from 1; the ETag bears it.", examples=[1])
    created: datetime
    changed: datetime

    @classmethod
    def of(cls, row: ProjectRow) -> ProjectSummary:
        """Return a row as it is shown."""
        return cls(id=row.id, name=row.name, version=row.version, created=at(row.created), changed=at(row.changed))


class ProjectPage(_Shape):
    """Some projects, in order of making."""

    projects: list[ProjectSummary]
    next: str | None = Field(description="Address of the next page; null on the last.")


class PlanStatus(_Shape):
    """A plan asked for, and how far it is."""

    id: str = Field(pattern=PATTERN, examples=[_ID])
    project: str = Field(pattern=PATTERN, examples=[_ID])
    kind: Literal["plan", "comparison"] = Field(description="What was asked for.")
    project_version: int = Field(description="Version of the project it is for.")
    state: State
    cost: float | None = Field(description="Of the best plan so far; null before there is one.", examples=[173.0])
    cost_bound: float | None = Field(description="No plan can cost less.", examples=[173.0])
    proven: bool | None = Field(description="Once done: whether no plan can cost less.")
    phase: str | None = Field(description="What the search tries.")
    seconds: float = Field(description="Longest search.")
    seed: int
    ahead: int | None = Field(description="While queued: how many of your plans wait before this one.")
    attempt: int = Field(description="How often its search was begun.")
    summary: list[str] = Field(description="Once done: what was proven, in sentences.")
    files: list[str] = Field(description="Once done: the papers below this address.")
    problem: Problem | None = Field(description="Why it failed.")
    replaces: str | None = Field(description="Plan that this one makes anew after a piece was lost.")
    replaced_by: str | None = Field(description="Once done: plan that makes this one anew, or is about to.")
    created: datetime
    started: datetime | None
    finished: datetime | None

    @classmethod
    def of(
        cls,
        row: PlanRow,
        ahead: int | None = None,
        files: list[str] | None = None,
        replaced_by: str | None = None,
    ) -> PlanStatus:
        """Return a row as it is shown."""
        return cls(
            id=row.id,
            project=row.project,
            kind=row.kind,  # type: ignore[arg-type]  # the store knows no other
            project_version=row.version,
            state=row.state,  # type: ignore[arg-type]  # the store knows no other
            cost=row.cost,
            cost_bound=row.cost_bound,
            proven=row.proven,
            phase=row.phase,
            seconds=row.seconds,
            seed=row.seed,
            ahead=ahead,
            attempt=row.attempt,
            summary=json.loads(row.summary) if row.summary else [],
            files=files or [],
            problem=json.loads(row.problem) if row.problem else None,
            replaces=row.replaces,
            replaced_by=replaced_by,
            created=at(row.created),
            started=None if row.started is None else at(row.started),
            finished=None if row.finished is None else at(row.finished),
        )


class PlanPage(_Shape):
    """Some plans of a project, in order of asking."""

    plans: list[PlanStatus]
    next: str | None = Field(description="Address of the next page; null on the last.")


class LimitsShown(_Shape):
    """What the service takes on, and how much of it is in use."""

    limits: dict[str, int]
    in_use: dict[str, int] = Field(description="Projects and plans of yours, and all that wait.")


def at(seconds: float) -> datetime:
    """Return a time of the tables as a date and time, UTC."""
    return datetime.fromtimestamp(seconds, UTC)


def problems(*statuses: int) -> dict[int | str, dict[str, Any]]:
    """Return what the OpenAPI description says of answers with these statuses, all of them problems."""
    schema = {"schema": {"$ref": "#/components/schemas/Problem"}}
    titles = {
        400: "The body is not JSON", 401: "A key is needed", 403: "Not from another site", 404: "Not found",
        405: "Wrong method", 408: "The body came too slowly", 409: "Not in this state", 412: "Changed meanwhile",
        413: "Too large", 415: "Wrong type", 421: "Wrong host", 422: "Faults in what was sent",
        428: "Say which version", 429: "Too much at once", 503: "Too busy",
    }  # fmt: skip
    return {status: {"description": titles[status], "content": {MEDIA_TYPE: schema}} for status in statuses}


ALWAYS = problems(401, 403, 421, 429, 503)
"""Answers that every address below /v1 may give."""
