"""At the saw: one setting at a time on a phone; ticks go to the server, and what the server kept is what is shown."""

from __future__ import annotations

import zlib
from typing import Final

from fastapi import APIRouter, Request, Response
from starlette.responses import RedirectResponse

from api.access import Parts, ServiceParts
from api.pages.plan_pages import about, finished
from api.pages.saw_view import Card, all_settings, card, first_open, progress_of
from api.pages.visitors import Visiting, Visitor, page
from api.problems import Refused
from api.routes import progress
from api.store import ticks
from api.store.plans import PlanRow
from nesting.plan import Plan

router = APIRouter()

_MOST_DIGITS: Final = 9


@router.get("/plans/{plan}/saw")
def saw_page(
    plan: str, request: Request, visitor: Visiting, parts: ServiceParts, setting: str = "", seen: str = ""
) -> Response:
    """Show a setting, or the one to go on with; where a phone has ``seen`` all that is ticked, answer with nothing."""
    row, made = finished(parts, visitor.owner, plan)
    if visitor.partial and seen == _mark(_done(parts, plan)):
        return Response(status_code=204)
    return _shown(request, visitor, parts, row, made, _number(setting))


@router.post("/plans/{plan}/steps/{step}/tick")
def tick(plan: str, step: str, request: Request, visitor: Visiting, parts: ServiceParts) -> Response:
    """Tick a step."""
    return _changed(plan, step, request, visitor, parts, tick=True)


@router.post("/plans/{plan}/steps/{step}/untick")
def untick(plan: str, step: str, request: Request, visitor: Visiting, parts: ServiceParts) -> Response:
    """Take a tick back."""
    return _changed(plan, step, request, visitor, parts, tick=False)


def _changed(plan: str, step: str, request: Request, visitor: Visitor, parts: Parts, *, tick: bool) -> Response:
    row, made = finished(parts, visitor.owner, plan)
    setting = next((one.setup for one in made.steps if str(one.n) == step), None)
    fault = ""
    try:
        (progress.ticked if tick else progress.unticked)(parts, visitor.owner, plan, step)
    except Refused as refused:
        if refused.kind != "not-in-turn":
            raise
        fault = refused.detail
    if visitor.partial or fault:
        return _shown(request, visitor, parts, row, made, setting, fault=fault)
    return RedirectResponse(f"/plans/{plan}/saw?setting={setting}#step-{step}", 303)


def _shown(
    request: Request, visitor: Visitor, parts: Parts, row: PlanRow, made: Plan, setting: int | None, fault: str = ""
) -> Response:
    done = _done(parts, row.id)
    number = first_open(made, done) if setting is None else setting
    shown: Card | None = None
    if number is not None:
        shown = card(made, number, done)
        if shown is None:
            raise Refused("not-found", f"The plan has no setting {number}")
    return page(
        request, visitor, "at_the_saw.html" if visitor.partial else "saw.html",
        409 if fault and not visitor.partial else 200, **about(parts, row), card=shown,
        progress=progress_of(made, done), settings=all_settings(made, done), seen=_mark(done), fault=fault,
        next=first_open(made, done),
    )  # fmt: skip


def _done(parts: Parts, plan: str) -> frozenset[int]:
    with parts.store.reading() as connection:
        return frozenset(ticks.done(connection, plan))


def _mark(done: frozenset[int]) -> str:
    """Return a mark of what is ticked, the same wherever the same steps are."""
    return f"{len(done)}-{zlib.crc32(repr(sorted(done)).encode()):x}"


def _number(text: str) -> int | None:
    """Return the number of a setting; None where none is asked for."""
    if not text:
        return None
    if not text.isascii() or not text.isdecimal() or len(text) > _MOST_DIGITS:
        raise Refused("not-found", "A setting is a number")
    return int(text)
