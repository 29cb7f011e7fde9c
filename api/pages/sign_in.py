"""Signing in with a key, for as long as a session lasts, and out."""

from __future__ import annotations

import re
from typing import Final

from fastapi import APIRouter, Request, Response
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.responses import RedirectResponse

from api.access import ServiceParts, owner_of_key
from api.pages.errors import sign_in_page
from api.pages.visitors import Visiting, form_of, fresh_visitor, held_fields, page, set_session
from api.security import check_origin
from api.sessions import COOKIE

router = APIRouter()

HELD: Final = "held."
"""Before the names of fields that another form brought, and that wait until somebody has signed in."""
_OURS: Final = re.compile(r"/(?![/\\])[\x21-\x5b\x5d-\x7e]*")


def own_path(text: str) -> str:
    r"""Return a path of this service as it is, and the start page for anything that leads elsewhere.

    >>> own_path("/plans/1?a=2"), own_path("//elsewhere.example"), own_path("/\\elsewhere"), own_path("http://x")
    ('/plans/1?a=2', '/', '/', '/')
    """
    return text if _OURS.fullmatch(text) else "/"


@router.get("/sign-in")
async def ask(request: Request, to: str = "/") -> Response:
    """Show the page that asks for a key."""
    return sign_in_page(request, to=own_path(to), status=200)


@router.post("/sign-in")
async def sign_in(request: Request, parts: ServiceParts) -> Response:
    """Begin a session for a key; send on what a form brought before."""
    form = await form_of(request)
    check_origin(request)
    to = own_path(str(form.get("to", "/")))
    held = FormData([(name.removeprefix(HELD), value) for name, value in form.multi_items() if name.startswith(HELD)])
    if parts.keyring.stale:
        await run_in_threadpool(parts.keyring.read)
    owner = owner_of_key(request, parts, str(form.get("key", "")))
    if owner is None:
        return sign_in_page(request, to=to, held=held, wrong=True)
    visitor = fresh_visitor(parts, owner)
    if held:
        return page(request, visitor, "send_on.html", to=to, held=held_fields(held))
    answer = RedirectResponse(to, 303)
    set_session(request, answer, visitor.cookie)
    return answer


@router.post("/sign-out")
async def sign_out(_visitor: Visiting) -> Response:
    """End the session in this browser."""
    answer = RedirectResponse("/sign-in", 303)
    answer.delete_cookie(COOKIE, path="/")
    return answer
