"""At the saw: one setting at a time on a phone; ticks go to the server, and what the server kept is what is shown."""

from __future__ import annotations

import zlib
from collections.abc import Sequence
from typing import Final

from fastapi import APIRouter, Request, Response
from starlette.responses import RedirectResponse

from api.access import Parts, ServiceParts
from api.pages.plan_pages import about
from api.pages.saw_view import Card, all_settings, card, first_open, how_far
from api.pages.visitors import Visiting, Visitor, page
from api.problems import Refused
from api.routes import plans as plan_routes
from api.routes import progress as progress_routes
from nesting.progress.record import Progress

router = APIRouter()

_MOST_DIGITS: Final = 9


@router.get("/plans/{plan}/saw")
def saw_page(
    plan: str, request: Request, visitor: Visiting, parts: ServiceParts, setting: str = "", seen: str = ""
) -> Response:
    """Show a setting, or the one to go on with; where a phone has ``seen`` all that is ticked, answer with nothing."""
    progress = progress_routes.progress_of(parts, visitor.owner, plan)
    if visitor.partial and seen == mark(progress):
        return Response(status_code=204)
    return _shown(plan, request, visitor, parts, progress, _number(setting))


@router.post("/plans/{plan}/steps/{step}/tick")
def tick(plan: str, step: str, request: Request, visitor: Visiting, parts: ServiceParts) -> Response:
    """Tick a step."""
    return _changed(plan, step, request, visitor, parts, tick=True)


@router.post("/plans/{plan}/steps/{step}/untick")
def untick(plan: str, step: str, request: Request, visitor: Visiting, parts: ServiceParts) -> Response:
    """Take a tick back."""
    return _changed(plan, step, request, visitor, parts, tick=False)


def _changed(plan: str, step: str, request: Request, visitor: Visitor, parts: Parts, *, tick: bool) -> Response:
    made = progress_routes.plan_of(parts, visitor.owner, plan)
    setting = next((one.setup for one in made.steps if str(one.n) == step), None)
    faults: list[str] = []
    try:
        change = progress_routes.ticked if tick else progress_routes.unticked
        progress = change(parts, visitor.owner, plan, step)
    except Refused as refused:
        if refused.kind not in ("not-in-turn", "replaced"):
            raise
        faults = [error["detail"] for error in refused.errors] or ["A newer plan takes the place of this one"]
        progress = progress_routes.progress_of(parts, visitor.owner, plan)
    if visitor.partial or faults:
        return _shown(plan, request, visitor, parts, progress, setting, faults)
    return RedirectResponse(f"/plans/{plan}/saw?setting={setting}#step-{step}", 303)


def _shown(
    plan: str,
    request: Request,
    visitor: Visitor,
    parts: Parts,
    progress: Progress,
    setting: int | None,
    faults: Sequence[str] = (),
) -> Response:
    made = progress_routes.plan_of(parts, visitor.owner, plan)
    go_on = first_open(made, progress)
    number = go_on if setting is None else setting
    found: Card | None = None
    if number is not None:
        found = card(made, number, progress)
        if found is None:
            raise Refused("not-found", f"The plan has no setting {number}")
    return page(
        request, visitor, "at_the_saw.html" if visitor.partial else "saw.html",
        409 if faults and not visitor.partial else 200,
        **about(parts, plan_routes.found(parts, visitor.owner, plan)), card=found, far=how_far(made, progress.done),
        settings=all_settings(made, progress.done), seen=mark(progress), faults=faults, next=go_on,
        spoiled=bool(progress.spoiled or progress.measured), replaces=None,
    )  # fmt: skip


def mark(progress: Progress) -> str:
    """Return a mark of a record, the same wherever it says the same.

    >>> mark(Progress(done=(1, 2))) == mark(Progress(done=(1, 2))), mark(Progress()) == mark(Progress(done=(1,)))
    (True, False)
    """
    return f"{zlib.crc32(progress.model_dump_json().encode()):x}"


def _number(text: str) -> int | None:
    """Return the number of a setting; None where none is asked for."""
    if not text:
        return None
    if not text.isascii() or not text.isdecimal() or len(text) > _MOST_DIGITS:
        raise Refused("not-found", "A setting is a number")
    return int(text)
