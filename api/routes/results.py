"""The papers of a finished plan: plan file, drawings, tables, all of them in one zip."""

from __future__ import annotations

import hashlib
import io
import zipfile
from collections.abc import Sequence
from typing import Annotated, Any, Final

from fastapi import APIRouter, Header, Response

from api.access import Owner, Parts, ServiceParts
from api.problems import Refused
from api.routes.plans import found
from api.routes.projects import matches
from api.security import DRAWING_POLICY
from api.shapes import ALWAYS, problems
from api.store import files, plans
from api.store.files import FileRow

router = APIRouter(tags=["results"])

ZIP: Final = "plan.zip"
TYPES: Final = {
    "json": "application/json",
    "svg": "image/svg+xml",
    "csv": "text/csv; charset=utf-8",
    "pdf": "application/pdf",
    "dxf": "image/vnd.dxf",
    "txt": "text/plain; charset=utf-8",
    "zip": "application/zip",
}
_SHOWN: Final = frozenset(("json", "svg", "pdf", "txt"))
"""What a browser shows; the rest it saves."""
_DOS_EPOCH: Final = (1980, 1, 1, 0, 0, 0)
_ANY: Final = {"schema": {"type": "string", "format": "binary"}}
_RESPONSES: Final[dict[int | str, dict[str, Any]]] = {
    **ALWAYS,
    **problems(404, 409),
    200: {"description": "The paper", "content": {kind.partition(";")[0]: _ANY for kind in TYPES.values()}},
    304: {"description": "If-None-Match bears it"},
}
IfNoneMatch = Annotated[str | None, Header()]


@router.get(
    "/v1/plans/{plan}/layouts/{layout}.svg",
    operation_id="readLayout",
    response_class=Response,
    responses={**_RESPONSES, 200: {"description": "The drawing", "content": {"image/svg+xml": _ANY}}},
)
def layout(plan: str, layout: str, owner: Owner, parts: ServiceParts, if_none_match: IfNoneMatch = None) -> Response:
    """Return the drawing of one layout."""
    return _sent(paper(parts, owner, plan, f"layouts/{layout}.svg"), if_none_match)


@router.get(
    "/v1/plans/{plan}/plan.zip",
    operation_id="readAll",
    response_class=Response,
    responses={**_RESPONSES, 200: {"description": "All papers", "content": {"application/zip": _ANY}}},
)
def everything(plan: str, owner: Owner, parts: ServiceParts, if_none_match: IfNoneMatch = None) -> Response:
    """Return all papers of a plan in one zip, the same bytes each time."""
    row = found(parts, owner, plan)
    with parts.store.reading() as connection:
        papers = files.every(connection, row.id)
    if not papers:
        raise _not_there(parts, owner, plan)
    content = zipped(papers)
    return _sent(FileRow(ZIP, hashlib.sha256(content).hexdigest(), content), if_none_match)


@router.get("/v1/plans/{plan}/{name}", operation_id="readPaper", response_class=Response, responses=_RESPONSES)
def named(plan: str, name: str, owner: Owner, parts: ServiceParts, if_none_match: IfNoneMatch = None) -> Response:
    """Return a paper by its name: plan.json, packet.pdf, steps.csv and whatever else the plan's ``files`` lists."""
    return _sent(paper(parts, owner, plan, name), if_none_match)


# -- shared with other routes


def paper(parts: Parts, owner: str, plan: str, name: str) -> FileRow:
    """Return one paper of somebody's plan; refuse one that is not there, or not yet."""
    row = found(parts, owner, plan)
    with parts.store.reading() as connection:
        kept = files.find(connection, row.id, name) if name.isascii() and name.isprintable() else None
    if kept is None:
        raise _not_there(parts, owner, plan)
    return kept


def zipped(papers: Sequence[FileRow]) -> bytes:
    """Return papers as a zip that is the same each time; their names are ours, never a person's.

    >>> zipped([FileRow("steps.csv", "", b"n")]) == zipped([FileRow("steps.csv", "", b"n")])
    True
    """
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for one in sorted(papers, key=lambda one: one.name):
            entry = zipfile.ZipInfo(f"plan/{one.name}", _DOS_EPOCH)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = 0o644 << 16
            archive.writestr(entry, one.content)
    return out.getvalue()


def _not_there(parts: Parts, owner: str, plan: str) -> Refused:
    row = found(parts, owner, plan)
    if row.state == plans.DONE:
        return Refused("not-found", "The plan has no such paper")
    waits = row.state in (plans.QUEUED, plans.RUNNING)
    return Refused("not-ready", f"The plan is {row.state}", headers={"retry-after": "1"} if waits else None)


def _sent(one: FileRow, if_none_match: str | None) -> Response:
    tag = f'"{one.sha256}"'
    headers = {"etag": tag, "cache-control": "private, no-cache"}
    if if_none_match is not None and matches(if_none_match, tag):
        return Response(status_code=304, headers=headers)
    last = one.name.rpartition("/")[2]
    ending = last.rpartition(".")[2]
    headers["content-disposition"] = f'{"inline" if ending in _SHOWN else "attachment"}; filename="{last}"'
    if ending == "svg":
        headers["content-security-policy"] = DRAWING_POLICY
    return Response(one.content, headers=headers, media_type=TYPES.get(ending, "application/octet-stream"))
