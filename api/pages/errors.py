"""What people see where a program gets a problem document: the same words, and what to do next."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from starlette.requests import HTTPConnection
from starlette.responses import Response

from api.access import Parts
from api.keys import LOCAL
from api.pages.visitors import NOTHING, Form, fresh_visitor, held_fields, nobody, page
from api.problems import KINDS, Refused, answer
from api.security import SAFE
from api.sessions import COOKIE

_FOR_PROGRAMS: Final = ("/v1/", "/healthz", "/metrics", "/openapi.json", "/problems/", "/static/")
_WORDS: Final[Mapping[str, tuple[str, str]]] = {
    "bad-input": ("This could not be read", "Go back, mend it and send it again; what you typed is still there."),
    "not-found": (
        "There is nothing here",
        "The address may be mistyped, or what stood here was deleted, or it belongs to somebody else's key.",
    ),
    "wrong-method": ("This page is not opened like this", "Begin at the start page."),
    "too-large": (
        "That is too much at once",
        "Nothing was kept of it. Go back: what you typed is still in the form there. Shorten it and send it again.",
    ),
    "too-slow": ("That took too long to arrive", "Go back and send it again; what you typed is still in the form."),
    "wrong-type": ("This could not be read", "Go back and send the form as the page offers it."),
    "not-from-here": (
        "That did not come from one of our pages",
        "Nothing was changed. If you meant it, open the page here and do it again.",
    ),
    "form-stale": (
        "This form waited too long",
        "Nothing is lost and nothing was changed yet: what you typed is held on this page. Send it once more.",
    ),
    "wrong-host": (
        "This name is not served here",
        "Without keys the service answers on its own machine alone: open it as http://localhost with its port.",
    ),
    "too-many": ("Too much at once", "Wait a moment, go back and try again; what you typed is still there."),
    "full": ("No room for more", "Delete a project that is no longer needed, with its plans, and try again."),
    "busy": ("The workshop is busy", "Others' plans fill the queue. Wait a moment, go back and try again."),
    "storage": ("The storage does not answer", "Nothing was lost. Wait a moment and try again."),
    "changed-meanwhile": (
        "Somebody changed it meanwhile", "Open it again to see what it is now, and decide anew.",
    ),
    "bug": ("Something broke here", "It is a fault of this program, not of yours. What was kept is still there."),
}  # fmt: skip
"""Title and advice by kind of problem; other kinds say what the problem document says."""


def for_people(connection: HTTPConnection) -> bool:
    """Whether a page asks, or its script for a part of one, and not a program."""
    headers = connection.headers
    asks = "text/html" in headers.get("accept", "") or headers.get("hx-request") == "true"
    return asks and not connection.scope["path"].startswith(_FOR_PROGRAMS)


def told(refused: Refused, connection: HTTPConnection) -> Response:
    """Return the answer to a refused request: a page where a person's browser asks for one, else the problem."""
    path = connection.scope["path"]
    if not for_people(connection):
        return answer(refused, path)
    parts: Parts = connection.scope["app"].state.parts
    state = connection.scope.get("state", {})
    held: Form = state.get("held", NOTHING)
    if refused.kind == "key-needed":
        return sign_in_page(connection, to=_asked_for(connection), held=held)
    title, advice = _WORDS.get(refused.kind, (KINDS[refused.kind].title, ""))
    cookie = connection.cookies.get(COOKIE, "")
    visitor, resent = nobody(), None
    if refused.kind == "form-stale":
        owner = parts.sessions.owner(cookie)
        open_to_all = parts.settings.loopback and parts.keyring.empty
        if open_to_all or (owner is not None and owner != LOCAL and parts.keyring.knows(owner)):
            visitor = fresh_visitor(parts, LOCAL if open_to_all else str(owner))
            resent = path
        else:
            return sign_in_page(connection, to=path, held=held)
    made = page(
        connection, visitor, "error.html", refused.status_code, title=title, advice=advice, detail=refused.detail,
        errors=[error["detail"] for error in refused.errors], resent=resent, held=held_fields(held),
    )  # fmt: skip
    for name, value in (refused.headers or {}).items():
        made.headers[name] = value
    return made


def sign_in_page(
    connection: HTTPConnection, *, to: str, held: Form = NOTHING, wrong: bool = False, status: int = 401
) -> Response:
    """Return the page that asks for a key; what was typed into a form before is held on it."""
    made = page(
        connection, nobody(), "sign_in.html", status, to=to, held=held_fields(held), wrong=wrong,
    )  # fmt: skip
    if status == 401:
        made.headers["www-authenticate"] = "Bearer"
    made.headers["cache-control"] = "no-store"
    return made


def _asked_for(connection: HTTPConnection) -> str:
    query = connection.scope["query_string"].decode("ascii", "replace")
    path: str = connection.scope["path"]
    return f"{path}?{query}" if query and connection.scope["method"] in SAFE else path
