"""Who looks at a page: an owner with a session, what their form brought, and the page that answers.

A form carries its session's token in the hidden field ``token``, or in a header where the page's script sends it.
A form whose session has ended is not lost: what was typed is held on the page that asks to sign in, and sent on.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any, Final
from urllib.parse import parse_qsl

from fastapi import Depends
from starlette.datastructures import ImmutableMultiDict, UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import HTTPConnection, Request
from starlette.responses import HTMLResponse, Response

from api.access import TOKEN_HEADER, Parts, ServiceParts, owner_by
from api.keys import LOCAL
from api.pages.sheets import written
from api.problems import Refused
from api.security import SAFE, check_origin
from api.sessions import COOKIE, LASTS

TOKEN_FIELD: Final = "token"  # noqa: S105  (the name of a field)
MOST_FIELDS: Final = 60_000
Form = ImmutableMultiDict[str, str | UploadFile]
NOTHING: Final[Form] = ImmutableMultiDict()


@dataclass(frozen=True, slots=True)
class Visitor:
    """Somebody who looks at a page; ``fresh``: their session begins with this answer."""

    owner: str
    cookie: str
    token: str
    fresh: bool
    form: Form
    local: bool
    """Whether no key is needed here."""
    partial: bool
    """Whether the page's script asks for a part of the page alone."""

    def typed(self, name: str) -> str:
        """Return a field of the form, the last of that name; empty where there is none."""
        value = self.form.get(name, "")
        return value if isinstance(value, str) else ""


async def visitor_of(request: Request, parts: ServiceParts) -> Visitor:
    """Return who looks; raise :class:`~api.problems.Refused` where they have to sign in, or the form is not ours."""
    form = NOTHING if request.method in SAFE else await form_of(request)
    request.scope["state"]["held"] = form
    given = request.cookies.get(COOKIE, "")
    field = form.get(TOKEN_FIELD, "")
    token = request.headers.get(TOKEN_HEADER, "") or (field if isinstance(field, str) else "")
    if request.method not in SAFE:
        check_origin(request)
        if parts.sessions.owner(given) is not None and not parts.sessions.token_fits(given, token):
            raise Refused("form-stale")
    owner = await owner_by(request, parts, token)
    standing = bool(given) and parts.sessions.owner(given) == owner
    if request.method not in SAFE and not standing:
        raise Refused("form-stale")
    cookie = given if standing else parts.sessions.cookie(owner)
    return Visitor(
        owner, cookie, parts.sessions.token(cookie), not standing, form, owner == LOCAL,
        request.headers.get("hx-request") == "true",
    )  # fmt: skip


Visiting = Annotated[Visitor, Depends(visitor_of)]


def page(request: HTTPConnection, visitor: Visitor, template: str, status: int = 200, **shown: Any) -> HTMLResponse:
    """Return a page; its template extends ``base.html`` and finds the visitor's ``token`` for its forms.

    A browser may keep it for going back, with what was typed into it, and asks again before it shows it anew.
    """
    text = written(template, token=visitor.token, local=visitor.local, owner=visitor.owner, **shown)
    answer = HTMLResponse(_whole(text), status, {"cache-control": "private, no-cache", "vary": "cookie, hx-request"})
    if visitor.fresh:
        set_session(request, answer, visitor.cookie)
    return answer


def set_session(request: HTTPConnection, answer: Response, cookie: str) -> None:
    """Let the browser keep a session's cookie: out of reach of scripts and of other sites' forms."""
    answer.set_cookie(
        COOKIE, cookie, max_age=LASTS, path="/", secure=request.url.scheme == "https", httponly=True, samesite="lax"
    )


def fresh_visitor(parts: Parts, owner: str) -> Visitor:
    """Return a visitor whose session begins now."""
    cookie = parts.sessions.cookie(owner)
    return Visitor(owner, cookie, parts.sessions.token(cookie), True, NOTHING, owner == LOCAL, False)


def nobody() -> Visitor:
    """Return a visitor without a session, for pages that anybody may see."""
    return Visitor("", "", "", False, NOTHING, False, False)


async def form_of(request: Request) -> Form:
    """Return the fields of a plain form, or of one with a file; refuse what is neither, and too many fields."""
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if kind == "multipart/form-data":
        try:
            return await request.form(max_files=2, max_fields=100, max_part_size=4_000_000)  # the body has its limit
        except HTTPException as error:
            raise Refused("bad-input", str(error.detail)) from None
    if kind and kind != "application/x-www-form-urlencoded":
        raise Refused("wrong-type", "A form is expected")
    body = await request.body()
    try:
        pairs = parse_qsl(body.decode("ascii", "replace"), keep_blank_values=True, max_num_fields=MOST_FIELDS)
    except ValueError:
        raise Refused("too-large", f"at most {MOST_FIELDS:,} fields") from None
    return ImmutableMultiDict(list[tuple[str, str | UploadFile]](pairs))


def held_fields(form: Form) -> list[tuple[str, str]]:
    """Return what was typed into a form, to be sent again: all but its token and its files."""
    return [(name, value) for name, value in form.multi_items() if isinstance(value, str) and name != TOKEN_FIELD]


def _whole(text: str) -> str:
    """Return the text fit for UTF-8."""
    return text.encode("utf-8", "replace").decode()
