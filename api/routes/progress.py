"""What is done at the saw: steps ticked and unticked, pieces spoiled and measured."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache
from typing import Annotated, Any, Final

import structlog
from fastapi import APIRouter, Depends, Response
from sqlalchemy import Connection

from api.access import Owner, Parts, ServiceParts
from api.bodies import json_text, measure_in, spoil_in
from api.problems import Refused, entry
from api.routes.plans import found
from api.routes.results import paper
from api.shapes import ALWAYS, problems
from api.store import plans, rack, ticks
from api.store.ticks import MeasureRow, SpoilRow
from nesting.errors import BadInput
from nesting.plan import Plan, plan_from_json
from nesting.progress import marks
from nesting.progress.record import Measured, Progress, Spoiled, begin
from nesting.rack.give_back import carried_out, settled
from nesting.rack.piece import MOST_PIECES

router = APIRouter(tags=["progress"])

_STEP: Final = re.compile(r"[1-9][0-9]{0,8}")
_RESPONSES: Final[dict[int | str, dict[str, Any]]] = {**ALWAYS, **problems(404, 409)}
_BODY_RESPONSES: Final = {**_RESPONSES, **problems(400, 408, 413, 415, 422)}
_LENGTH: Final = {"anyOf": [{"type": "number", "exclusiveMinimum": 0}, {"type": "string", "maxLength": 60}]}
_PIECE: Final = {"type": "string", "minLength": 1, "maxLength": 120, "description": "Id of the piece in the plan."}
_SPOILED: Final = {
    "type": "object",
    "additionalProperties": False,
    "required": ["piece"],
    "properties": {
        "piece": _PIECE,
        "left": {
            "type": "array",
            "maxItems": 20,
            "items": {"type": "array", "prefixItems": [_LENGTH, _LENGTH], "minItems": 2, "maxItems": 2},
            "description": "Length, along the face grain, and width of each rectangle that remains of it.",
        },
        "note": {"type": "string", "maxLength": 500, "description": "What went wrong."},
    },
    "example": {"piece": "A1.2", "left": [["31", "9"]]},
}
_MEASURED: Final = {
    "type": "object",
    "additionalProperties": False,
    "required": ["piece", "length", "width"],
    "properties": {"piece": _PIECE, "length": _LENGTH, "width": _LENGTH},
    "example": {"piece": "A1.2", "length": "29 15/16", "width": "5"},
}
Text = Annotated[str, Depends(json_text)]


def _body(schema: dict[str, Any]) -> dict[str, Any]:
    return {"requestBody": {"required": True, "content": {"application/json": {"schema": schema}}}}


@router.get(
    "/v1/plans/{plan}/progress",
    operation_id="readProgress",
    responses=_RESPONSES,
    response_model_exclude_none=True,
)
def read(plan: str, owner: Owner, parts: ServiceParts) -> Progress:
    """Return how far the work on a finished plan is; the document is that of a progress file."""
    return progress_of(parts, owner, plan)


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


@router.post(
    "/v1/plans/{plan}/spoiled",
    operation_id="spoilPiece",
    openapi_extra=_body(_SPOILED),
    responses=_BODY_RESPONSES,
    response_model_exclude_none=True,
)
def spoil(plan: str, text: Text, owner: Owner, parts: ServiceParts) -> Progress:
    """Note that a piece is lost, and what remains of it; ask for a new plan then."""
    unit = plan_of(parts, owner, plan).unit
    return spoiled(parts, owner, plan, spoil_in(text, unit))


@router.post(
    "/v1/plans/{plan}/measured",
    operation_id="measurePiece",
    openapi_extra=_body(_MEASURED),
    responses=_BODY_RESPONSES,
    response_model_exclude_none=True,
)
def measure(plan: str, text: Text, owner: Owner, parts: ServiceParts) -> Progress:
    """Note the size that a piece came out with; one that is too small counts as lost."""
    unit = plan_of(parts, owner, plan).unit
    return measured(parts, owner, plan, measure_in(text, unit))


@router.delete(
    "/v1/plans/{plan}/marks/{piece}",
    operation_id="takeMarkBack",
    responses=_RESPONSES,
    response_model_exclude_none=True,
)
def take_back(plan: str, piece: str, owner: Owner, parts: ServiceParts) -> Progress:
    """Take back that a piece was spoiled or measured."""
    return taken_back(parts, owner, plan, piece)


# -- shared with the pages


def plan_of(parts: Parts, owner: str, plan: str) -> Plan:
    """Return somebody's finished plan; refuse what is no plan, or not done."""
    row = found(parts, owner, plan)
    if row.kind != plans.PLAN:
        raise Refused("not-found", "This is a comparison; nothing of it is cut")
    return _read(paper(parts, owner, plan, "plan.json").content)


def progress_of(parts: Parts, owner: str, plan: str) -> Progress:
    """Return how far the work on somebody's finished plan is."""
    document = plan_of(parts, owner, plan)
    with parts.store.reading() as connection:
        return progress_in(connection, document, plan)


def ticked(parts: Parts, owner: str, plan: str, step: str) -> Progress:
    """Tick a step of somebody's plan; return what is done then."""
    document = plan_of(parts, owner, plan)
    number = _number(document, step)
    return _marked(parts, owner, plan, document, lambda progress: marks.tick(document, progress, (number,)))


def unticked(parts: Parts, owner: str, plan: str, step: str) -> Progress:
    """Take back the tick of a step of somebody's plan; return what is done then."""
    document = plan_of(parts, owner, plan)
    number = _number(document, step)
    return _marked(parts, owner, plan, document, lambda progress: marks.untick(document, progress, (number,)))


def spoiled(parts: Parts, owner: str, plan: str, lost: SpoilRow) -> Progress:
    """Note a piece of somebody's plan as spoiled; return where the work stands then."""
    document = plan_of(parts, owner, plan)
    return _marked(
        parts, owner, plan, document, lambda progress: marks.spoil(document, progress, lost.piece, lost.left, lost.note)
    )


def measured(parts: Parts, owner: str, plan: str, size: MeasureRow) -> Progress:
    """Note the size of a piece of somebody's plan; return where the work stands then."""
    document = plan_of(parts, owner, plan)
    return _marked(
        parts,
        owner,
        plan,
        document,
        lambda progress: marks.measure(document, progress, size.piece, size.length, size.width),
    )


def taken_back(parts: Parts, owner: str, plan: str, piece: str) -> Progress:
    """Forget that a piece was spoiled or measured; return where the work stands then."""
    document = plan_of(parts, owner, plan)
    return _marked(parts, owner, plan, document, lambda progress: marks.take_back(document, progress, piece))


def _marked(parts: Parts, owner: str, plan: str, document: Plan, mark: Callable[[Progress], Progress]) -> Progress:
    """Let ``mark`` change the progress of a plan, alone with it, and keep what it changed.

    Where that ends the work on the plan the rack takes and gives; where it opens it again that is taken back.
    """
    with parts.store.writing() as connection:
        ticks.hold(connection, plan)
        new = plans.replaced_by(connection, plan)
        if new is not None:
            raise Refused("replaced", f"Its place takes /v1/plans/{new.id}")
        before = progress_in(connection, document, plan)
        try:
            after = mark(before)
            _keep(connection, plan, before, after)
            if (over := carried_out(document, after)) != carried_out(document, before):
                _settle(connection, owner, plan, document, after, over=over)
        except BadInput as error:
            count = len(error.faults)
            detail = "1 hindrance" if count == 1 else f"{count} hindrances"
            raise Refused("not-in-turn", detail, errors=[entry(one) for one in error.faults]) from None
    return after


def _keep(connection: Connection, plan: str, before: Progress, after: Progress) -> None:
    ticks.tick(connection, plan, set(after.done) - set(before.done))
    ticks.untick(connection, plan, set(before.done) - set(after.done))
    for piece in _pieces(before) - _pieces(after):
        ticks.forget(connection, plan, piece)
    for lost in after.spoiled:
        if lost not in before.spoiled:
            ticks.spoil(connection, plan, SpoilRow(lost.piece, lost.left, lost.note))
    for size in after.measured:
        if size not in before.measured:
            ticks.measure(connection, plan, MeasureRow(size.piece, size.length, size.width))


def _settle(connection: Connection, owner: str, plan: str, document: Plan, progress: Progress, *, over: bool) -> None:
    numbers = rack.hold(connection, owner)
    if not over:
        rack.without(connection, owner, plan)
        return
    there = rack.pieces(connection, owner)
    done = settled(document, there, rack.smallest(connection, owner), numbers, progress=progress, key=plan).change
    if len(there) - len(done.taken) + len(done.given) > MOST_PIECES:  # a full rack is no reason not to tick
        structlog.get_logger("rack").warning("rack_full", job_id=plan, left_out=len(done.given))
        done = replace(done, given=())
    if done.taken or done.given:
        rack.keep(connection, owner, done, numbers)


def _pieces(progress: Progress) -> set[str]:
    return {one.piece for one in progress.spoiled} | {one.piece for one in progress.measured}


def progress_in(connection: Connection, document: Plan, plan: str) -> Progress:
    """Return the record that the tables hold; what was done before the plan was made anew is done."""
    start = begin(document)
    return start.model_copy(
        update={
            "done": tuple(sorted({*start.done, *ticks.done(connection, plan)})),
            "spoiled": tuple(
                Spoiled(piece=row.piece, left=row.left, note=row.note) for row in ticks.spoiled(connection, plan)
            ),
            "measured": tuple(
                Measured(piece=row.piece, length=row.length, width=row.width)
                for row in ticks.measured(connection, plan)
            ),
        }
    )


@lru_cache(maxsize=16)
def _read(content: bytes) -> Plan:
    """Return a plan file's plan; the last few are remembered, for a phone asks for one again and again."""
    return plan_from_json(content.decode())


def _number(document: Plan, step: str) -> int:
    if not _STEP.fullmatch(step) or not any(one.n == int(step) for one in document.steps):
        raise Refused("not-found", f"The plan has no step of this number; they run from 1 to {len(document.steps)}")
    return int(step)
