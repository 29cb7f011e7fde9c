"""Where everything begins: the demo, a file of one's own, a blank form, and the projects that are there."""

from __future__ import annotations

from typing import Final

from fastapi import APIRouter, Request, Response
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.responses import RedirectResponse

from api.access import Parts, ServiceParts
from api.pages.form.keeping import begin
from api.pages.form.typed import Typed, from_mapping
from api.pages.kept_view import kept
from api.pages.visitors import Visiting, Visitor, page
from api.store import drafts
from nesting.errors import BadInput, Fault
from nesting.project.read import project_from_mapping
from nesting.project.starter import starter_text
from nesting.project.text import Format, parsed

router = APIRouter()

_LISTED: Final = 100
_BLANK: Final[Typed] = {"sheet": [{}]}


@router.get("/")
def start(request: Request, visitor: Visiting, parts: ServiceParts) -> Response:
    """Show the start page."""
    return _start(request, visitor, parts, ())


@router.post("/start/blank")
def start_blank(visitor: Visiting, parts: ServiceParts) -> Response:
    """Begin a blank form."""
    unit = "mm" if visitor.typed("unit") == "mm" else "in"
    return _opened(parts, visitor, {**_BLANK, "project": {"unit": unit}})


@router.post("/start/demo")
def start_demo(visitor: Visiting, parts: ServiceParts) -> Response:
    """Begin with a copy of a starter file."""
    text = starter_text(wall=visitor.typed("demo") != "parts")
    return _opened(parts, visitor, from_mapping(parsed(text, "toml"))[0])


@router.post("/start/file")
async def start_file(request: Request, visitor: Visiting, parts: ServiceParts) -> Response:
    """Begin with a project file handed in: TOML, or JSON."""
    file = visitor.form.get("file")
    content = await file.read() if isinstance(file, UploadFile) else b""
    name = (file.filename or "") if isinstance(file, UploadFile) else ""
    return await run_in_threadpool(_from_file, request, visitor, parts, content, name)


def _from_file(request: Request, visitor: Visitor, parts: Parts, content: bytes, name: str) -> Response:
    try:
        typed = _typed(content, name)
    except BadInput as error:
        return _start(request, visitor, parts, tuple(map(str, error.faults)), name=name, status=422)
    return _opened(parts, visitor, typed, "?check=1")


def _typed(content: bytes, name: str) -> Typed:
    """Return the file as it would be typed; raise ``BadInput`` where the form has no place for all of it."""
    if not content.strip():
        raise BadInput([Fault("", "", "no file was chosen, or it is empty", "a project file, TOML or JSON")])
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise BadInput([Fault("", "", f"line {line} is not UTF-8 text", "a text file saved as UTF-8")]) from None
    form: Format = "json" if name.lower().endswith(".json") or text.lstrip().startswith("{") else "toml"
    data = parsed(text, form)
    if not isinstance(data, dict):
        project_from_mapping(data)
    typed, whole = from_mapping(data)
    if not whole:
        project_from_mapping(data)  # says which keys have no place
        raise BadInput([Fault("", "", "the form has no place for all of this file")])
    return typed


def _opened(parts: Parts, visitor: Visitor, typed: Typed, query: str = "") -> Response:
    return RedirectResponse(f"/projects/{begin(parts, visitor.owner, typed).id}{query}", 303)


def _start(
    request: Request, visitor: Visitor, parts: Parts, faults: tuple[str, ...], *, name: str = "", status: int = 200
) -> Response:
    with parts.store.reading() as connection:
        there = kept(connection, visitor.owner)
        waiting = drafts.waiting(connection, visitor.owner, _LISTED)
    return page(request, visitor, "start.html", status, kept=there, drafts=waiting, faults=faults, file=name[:120])
