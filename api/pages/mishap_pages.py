"""When a cut goes wrong: the piece and what is left of it are told by tapping; then the rest is planned anew."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from typing import Any, Final

from fastapi import APIRouter, Request, Response
from starlette.responses import RedirectResponse

from api.access import Parts, ServiceParts
from api.bodies import measure_in, spoil_in
from api.pages.mishap_view import MOST_REST, mishaps
from api.pages.plan_pages import about
from api.pages.visitors import Visiting, Visitor, page
from api.problems import Refused
from api.routes import plans as plan_routes
from api.routes import progress as progress_routes
from api.routes import replans as replan_routes

router = APIRouter()

_MOST_DIGITS: Final = 9


@router.get("/plans/{plan}/mishaps")
def mishap_page(plan: str, request: Request, visitor: Visiting, parts: ServiceParts, step: str = "") -> Response:
    """Show what went wrong so far, and ask what went wrong now; ``step``: whose pieces come first."""
    return _shown(plan, request, visitor, parts, step)


@router.post("/plans/{plan}/mishaps/spoiled")
def spoil(plan: str, request: Request, visitor: Visiting, parts: ServiceParts) -> Response:
    """Note a piece as spoiled, with what is left of it."""
    unit = progress_routes.plan_of(parts, visitor.owner, plan).unit
    rest = [(visitor.typed(f"length.{row}").strip(), visitor.typed(f"width.{row}").strip()) for row in range(MOST_REST)]
    told = {
        "piece": visitor.typed("piece"),
        "left": [list(sides) for sides in rest if any(sides)],
        "note": " ".join(visitor.typed("note").split()),
    }
    return _noted(
        plan, request, visitor, parts,
        lambda: progress_routes.spoiled(parts, visitor.owner, plan, spoil_in(json.dumps(told), unit)),
    )  # fmt: skip


@router.post("/plans/{plan}/mishaps/measured")
def measure(plan: str, request: Request, visitor: Visiting, parts: ServiceParts) -> Response:
    """Note the size that a piece came out with."""
    unit = progress_routes.plan_of(parts, visitor.owner, plan).unit
    told = {name: visitor.typed(name).strip() for name in ("piece", "length", "width")}
    return _noted(
        plan, request, visitor, parts,
        lambda: progress_routes.measured(parts, visitor.owner, plan, measure_in(json.dumps(told), unit)),
    )  # fmt: skip


@router.post("/plans/{plan}/mishaps/back")
def take_back(plan: str, request: Request, visitor: Visiting, parts: ServiceParts) -> Response:
    """Take back what was told of a piece."""
    piece = visitor.typed("piece")
    return _noted(
        plan, request, visitor, parts, lambda: progress_routes.taken_back(parts, visitor.owner, plan, piece)
    )  # fmt: skip


@router.post("/plans/{plan}/replan")
def plan_anew(plan: str, request: Request, visitor: Visiting, parts: ServiceParts) -> Response:
    """Ask for a plan of what is left; its page follows the search."""
    try:
        new = replan_routes.replanned(parts, visitor.owner, plan)
    except Refused as refused:
        if refused.kind != "not-in-turn":
            raise
        return _shown(plan, request, visitor, parts, "", [{"detail": refused.detail}])
    return RedirectResponse(f"/plans/{new.id}", 303)


def _noted(plan: str, request: Request, visitor: Visitor, parts: Parts, note: Callable[[], object]) -> Response:
    """Do it, and show what is told then; where it cannot be, what was typed and every fault."""
    try:
        note()
    except Refused as refused:
        if refused.kind not in ("bad-input", "not-in-turn", "replaced"):
            raise
        told = refused.errors or [{"detail": "A newer plan takes the place of this one"}]
        return _shown(plan, request, visitor, parts, visitor.typed("step"), told)
    return RedirectResponse(f"/plans/{plan}/mishaps", 303)


def _shown(
    plan: str,
    request: Request,
    visitor: Visitor,
    parts: Parts,
    step: str,
    errors: Sequence[Mapping[str, str]] = (),
) -> Response:
    row = plan_routes.found(parts, visitor.owner, plan)
    made = progress_routes.plan_of(parts, visitor.owner, plan)
    progress = progress_routes.progress_of(parts, visitor.owner, plan)
    number = int(step) if step.isascii() and step.isdecimal() and len(step) <= _MOST_DIGITS else None
    names = (
        "piece",
        "note",
        "length",
        "width",
        *(f"{side}.{n}" for side in ("length", "width") for n in range(MOST_REST)),
    )
    typed: dict[str, Any] = {name: visitor.typed(name) for name in names}
    return page(
        request, visitor, "mishaps.html", 422 if errors else 200, **about(parts, row),
        shown=mishaps(made, progress, number), step=step if number is not None else "", rows=range(MOST_REST),
        replaces=None, faults=[error["detail"] for error in errors], typed=typed,
        measuring=bool(typed["length"] or typed["width"]),
    )  # fmt: skip
