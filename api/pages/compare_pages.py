"""Comparisons for people: how far one is, then its alternatives side by side with the yield curve."""

from __future__ import annotations

import json

from fastapi import APIRouter, Request, Response
from starlette.responses import RedirectResponse

from api.access import ServiceParts
from api.pages.compare_view import compared
from api.pages.plan_pages import about, stands
from api.pages.visitors import Visiting, page
from api.routes import plans as plan_routes
from api.routes.results import paper
from api.store import files, plans

router = APIRouter()


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
