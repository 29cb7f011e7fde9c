"""What is done at the saw: steps ticked, and unticked."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from typing import Any, Final

from fastapi import APIRouter, Response
from sqlalchemy import Connection

from api.access import Owner, Parts, ServiceParts
from api.problems import Refused
from api.routes.plans import found
from api.routes.results import paper
from api.shapes import ALWAYS, ProgressShown, problems
from api.store import plans, ticks

router = APIRouter(tags=["progress"])

_STEP: Final = re.compile(r"[1-9][0-9]{0,8}")
_RESPONSES: Final[dict[int | str, dict[str, Any]]] = {**ALWAYS, **problems(404, 409)}


@router.get("/v1/plans/{plan}/progress", operation_id="readProgress", responses=_RESPONSES)
def read(plan: str, owner: Owner, parts: ServiceParts) -> ProgressShown:
    """Return how far the work on a finished plan is; the document is that of a progress file."""
    plan_document(parts, owner, plan)
    with parts.store.reading() as connection:
        return ProgressShown.model_validate(progress_document(connection, plan))


@router.put("/v1/plans/{plan}/steps/{step}/done", status_code=204, operation_id="tickStep", responses=_RESPONSES)
def tick(plan: str, step: str, owner: Owner, parts: ServiceParts) -> Response:
    """Tick a step; again is no fault. What it cuts must exist: the steps that make it come first."""
    ticked(parts, owner, plan, step)
    return Response(status_code=204)


@router.delete("/v1/plans/{plan}/steps/{step}/done", status_code=204, operation_id="untickStep", responses=_RESPONSES)
def untick(plan: str, step: str, owner: Owner, parts: ServiceParts) -> Response:
    """Take a tick back; again is no fault. What the step makes must not be cut up yet."""
    unticked(parts, owner, plan, step)
    return Response(status_code=204)


# -- shared with the pages


def plan_document(parts: Parts, owner: str, plan: str) -> dict[str, Any]:
    """Return the plan file of somebody's finished plan; refuse what is no plan, or not done."""
    row = found(parts, owner, plan)
    if row.kind != plans.PLAN:
        raise Refused("not-found", "This is a comparison; nothing of it is cut")
    document: dict[str, Any] = json.loads(paper(parts, owner, plan, "plan.json").content)
    return document


def progress_document(connection: Connection, plan: str) -> dict[str, Any]:
    """Return the progress of a plan, as a progress file holds it."""
    return {
        "schema": "cleatwright/progress/1", "done": ticks.done(connection, plan), "spoiled": (), "measured": (),
    }  # fmt: skip


def ticked(parts: Parts, owner: str, plan: str, step: str) -> None:
    """Tick a step of somebody's plan."""
    document = plan_document(parts, owner, plan)
    number = _number(document, step)
    with parts.store.writing() as connection:
        ticks.hold(connection, plan)
        done = ticks.done(connection, plan)
        if number not in done:
            _check(_needs(document, number), set(done))
            ticks.tick(connection, plan, (number,))


def unticked(parts: Parts, owner: str, plan: str, step: str) -> None:
    """Take back the tick of a step of somebody's plan."""
    document = plan_document(parts, owner, plan)
    number = _number(document, step)
    with parts.store.writing() as connection:
        ticks.hold(connection, plan)
        later = [one for one in ticks.done(connection, plan) if number in _needs(document, one)]
        if later:
            raise Refused("not-in-turn", f"Step {_listed(later)} cut up what step {number} makes: untick it first")
        ticks.untick(connection, plan, (number,))


def _number(document: Mapping[str, Any], step: str) -> int:
    if not _STEP.fullmatch(step) or not any(one["n"] == int(step) for one in document["steps"]):
        raise Refused("not-found", f"The plan has no step of this number; they run from 1 to {len(document['steps'])}")
    return int(step)


def _needs(document: Mapping[str, Any], number: int) -> list[int]:
    """Return the steps that make what a step cuts."""
    piece = next(step["piece"] for step in document["steps"] if step["n"] == number)
    return [step["n"] for step in document["steps"] if piece in step["makes"]]


def _check(needed: list[int], done: set[int]) -> None:
    missing = [number for number in needed if number not in done]
    if missing:
        raise Refused("not-in-turn", f"What it cuts does not exist yet: step {_listed(missing)} comes first")


def _listed(numbers: list[int]) -> str:
    return ", ".join(map(str, numbers))
