"""Comparisons for people: asked for by heights with a semicolon between, then side by side with the yield curve."""

from __future__ import annotations

import json

from fastapi import APIRouter, Request, Response
from starlette.responses import RedirectResponse

from api.access import ServiceParts
from api.bodies import comparison_in, project_in
from api.pages.compare_view import compared
from api.pages.plan_pages import about, stands
from api.pages.visitors import Visiting, page
from api.problems import Refused
from api.routes import plans as plan_routes
from api.routes import projects as project_routes
from api.routes.results import paper
from api.store import files, plans

router = APIRouter()

SECONDS_EACH = 5.0


@router.get("/projects/{project}/compare")
def ask_page(project: str, request: Request, visitor: Visiting, parts: ServiceParts) -> Response:
    """Show the form for a comparison."""
    row = project_routes.found(parts, visitor.owner, project)
    return page(request, visitor, "compare_ask.html", project=row.id, name=row.name, heights="", faults=[])


@router.post("/projects/{project}/compare")
def ask(project: str, request: Request, visitor: Visiting, parts: ServiceParts) -> Response:
    """Ask for a comparison of cleat heights; faults stand beside what was typed."""
    row = project_routes.found(parts, visitor.owner, project)
    limits = parts.settings.limits
    typed = visitor.typed("heights")
    heights = [height.strip() for height in typed.split(";") if height.strip()]
    order = {"cleat_height": heights, "seconds": min(SECONDS_EACH, limits.seconds / max(len(heights), 1))}
    faults = [] if heights else ["Name at least one height, such as 3 or 3 1/4"]
    if heights:
        try:
            asked, varied = comparison_in(json.dumps(order), project_in(row.document, limits), limits)
        except Refused as refused:
            faults = [error["detail"].removeprefix("cleat_height: ") for error in refused.errors]
    if faults:
        return page(
            request, visitor, "compare_ask.html", 422, project=row.id, name=row.name, heights=typed, faults=faults
        )
    plan = plan_routes.waiting(parts, row, asked, None, varied)
    return RedirectResponse(f"/compare/{plan.id}", 303)


@router.get("/compare/{plan}")
def comparison_page(plan: str, request: Request, visitor: Visiting, parts: ServiceParts) -> Response:
    """Show a comparison as far as it is."""
    row = plan_routes.found(parts, visitor.owner, plan)
    if row.kind != plans.COMPARISON:
        return RedirectResponse(f"/plans/{row.id}", 303)
    if row.state != plans.DONE:
        return page(request, visitor, "solving.html", **about(parts, row), stands=stands(parts, row))
    document = json.loads(paper(parts, visitor.owner, plan, "compare.json").content)
    with parts.store.reading() as connection:
        names = files.names(connection, row.id)
    return page(
        request, visitor, "compare.html", **about(parts, row), shown=compared(document), curve="yield.svg" in names,
        files=[name for name in names if name.startswith(("compare.", "yield."))],
    )  # fmt: skip


@router.get("/compare/{plan}/standing")
def standing_part(plan: str, request: Request, visitor: Visiting, parts: ServiceParts) -> Response:
    """Return how far a comparison is, for the page's script; once it is over, have the page opened anew."""
    row = plan_routes.found(parts, visitor.owner, plan)
    answer = page(request, visitor, "standing.html", **about(parts, row), stands=stands(parts, row))
    if row.state in plans.OVER:
        answer.headers["hx-refresh"] = "true"
    return answer
