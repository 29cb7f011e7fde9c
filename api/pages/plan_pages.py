"""The page of a plan: how far its search is, then the plan itself; what the person may ask of the search."""

from __future__ import annotations

import json
from typing import Any, Final

from fastapi import APIRouter, Request, Response
from starlette.responses import RedirectResponse

from api.access import Parts, ServiceParts
from api.pages.result_view import at_steps, result
from api.pages.saw_view import all_settings, how_far
from api.pages.solving_view import Standing, standing
from api.pages.visitors import Visiting, Visitor, page
from api.problems import Refused
from api.routes import plans as plan_routes
from api.routes import progress as progress_routes
from api.store import events, files, plans, projects
from api.store.plans import PlanRow

router = APIRouter()

USUAL_CURRENCY: Final = "USD"


@router.get("/plans/{plan}")
def plan_page(plan: str, request: Request, visitor: Visiting, parts: ServiceParts) -> Response:
    """Show a plan as far as it is."""
    row = plan_routes.found(parts, visitor.owner, plan)
    if row.kind == plans.COMPARISON:
        return RedirectResponse(f"/compare/{row.id}", 303)
    if row.state != plans.DONE:
        return page(request, visitor, "solving.html", **about(parts, row), stands=stands(parts, row))
    return _result_page(request, visitor, parts, row)


@router.get("/compare/{plan}/standing")
@router.get("/plans/{plan}/standing")
def standing_part(plan: str, request: Request, visitor: Visiting, parts: ServiceParts) -> Response:
    """Return how far a search or a comparison is, for the page's script; once it is over, have the page opened anew."""
    row = plan_routes.found(parts, visitor.owner, plan)
    answer = page(request, visitor, "standing.html", **about(parts, row), stands=stands(parts, row))
    if row.state in plans.OVER:
        answer.headers["hx-refresh"] = "true"
    return answer


@router.post("/plans/{plan}/keep")
def keep(plan: str, visitor: Visiting, parts: ServiceParts) -> Response:
    """Be content with the best plan so far."""
    return _unless_over(plan, lambda: plan_routes.finish(plan, visitor.owner, parts))


@router.post("/plans/{plan}/cancel")
def cancel(plan: str, visitor: Visiting, parts: ServiceParts) -> Response:
    """Give the search up; nothing of it is kept."""
    return _unless_over(plan, lambda: plan_routes.cancel(plan, visitor.owner, parts))


# -- shared with the pages of comparisons and of the work at the saw


def about(parts: Parts, row: PlanRow) -> dict[str, Any]:
    """Return what every page of a plan tells: the plan, its project's id and name, the plan that took its place."""
    with parts.store.reading() as connection:
        project = projects.find(connection, row.owner, row.project)
        newer = plans.replaced_by(connection, row.id)
    return {"plan": row, "project": row.project, "name": project.name if project else "", "newer": newer}


def stands(parts: Parts, row: PlanRow) -> Standing:
    """Return how far a search is, in words."""
    with parts.store.reading() as connection:
        text = plans.document(connection, row.id)
        ahead = plans.ahead(connection, row) if row.state == plans.QUEUED else None
        told = events.after(connection, row.id, 0) if row.state == plans.RUNNING else []
    return standing(row, currency_in(text), ahead, told)


def currency_in(document: str) -> str:
    """Return a project's currency as the document names it."""
    data = json.loads(document, parse_float=str)
    table = data.get("project") if isinstance(data, dict) else None
    return str(table.get("currency", USUAL_CURRENCY)) if isinstance(table, dict) else USUAL_CURRENCY


def _result_page(request: Request, visitor: Visitor, parts: Parts, row: PlanRow) -> Response:
    plan = progress_routes.plan_of(parts, visitor.owner, row.id)
    progress = progress_routes.progress_of(parts, visitor.owner, row.id)
    with parts.store.reading() as connection:
        names = files.names(connection, row.id)
    return page(
        request, visitor, "result.html", **about(parts, row), shown=result(plan, names),
        settings=all_settings(plan, progress.done), far=how_far(plan, progress.done),
        spoiled=bool(progress.spoiled or progress.measured), at_steps=at_steps(plan), replaces=plan.replaces,
        summary=json.loads(row.summary) if row.summary else [],
    )  # fmt: skip


def _unless_over(plan: str, ask: Any) -> Response:
    """Do what a button asks; where the search has ended meanwhile, the plan's page tells that well enough."""
    try:
        ask()
    except Refused as refused:
        if refused.kind not in ("already-over", "not-ready"):
            raise
    return RedirectResponse(f"/plans/{plan}", 303)
