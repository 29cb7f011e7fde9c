"""Where everything begins: the demo, a file of one's own, a blank form, and the projects that are there."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response

from api.access import ServiceParts
from api.pages.visitors import Visiting, page
from api.store import projects

router = APIRouter()


@router.get("/")
def start(request: Request, visitor: Visiting, parts: ServiceParts) -> Response:
    """Show the start page."""
    with parts.store.reading() as connection:
        rows = projects.page(connection, visitor.owner, "", 100)
    return page(request, visitor, "start.html", projects=rows)
