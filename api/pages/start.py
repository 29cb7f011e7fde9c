"""Where everything begins: the demo, a file of one's own, a blank form, and the projects that are there."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response

from api.access import ServiceParts
from api.pages.kept_view import kept
from api.pages.visitors import Visiting, page

router = APIRouter()


@router.get("/")
def start(request: Request, visitor: Visiting, parts: ServiceParts) -> Response:
    """Show the start page."""
    with parts.store.reading() as connection:
        there = kept(connection, visitor.owner)
    return page(request, visitor, "start.html", kept=there)
