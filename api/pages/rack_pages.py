"""The rack for people: the list, a page for each piece (its label's code opens it), tables in and out, a way back."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any, Final

from fastapi import APIRouter, Request, Response
from starlette.datastructures import UploadFile
from starlette.responses import RedirectResponse

from api.access import Parts, ServiceParts
from api.bodies import piece_in, smallest_in, table_text
from api.pages.rack_view import FIELDS, NEEDED, change_words, drawn_piece, listed, sent, typed_of
from api.pages.visitors import Visiting, Visitor, page
from api.problems import Refused
from api.rack_shapes import SmallestShown
from api.routes import rack as rack_routes
from api.store import rack
from nesting.paper.words import together
from nesting.rack.piece import size_words

router = APIRouter()

_HINDERED: Final = ("bad-input", "rack")
_BLANK: Final = dict.fromkeys((name for name, _ in FIELDS), "") | {"unit": "in", "grain": "yes"}


@router.get("/rack")
def rack_page(request: Request, visitor: Visiting, parts: ServiceParts) -> Response:
    """Show the rack."""
    return _rack(request, visitor, parts)


@router.post("/rack/add")
def add(request: Request, visitor: Visiting, parts: ServiceParts) -> Response:
    """Put a piece into the rack."""
    typed = _typed(visitor)
    try:
        piece = rack_routes.added(parts, visitor.owner, lambda fresh: piece_in(json.dumps(sent(typed)), fresh))
    except Refused as refused:
        return _rack(request, visitor, parts, typed=typed, errors=_told(refused), wrong="add")
    return RedirectResponse(listed([piece])[0].address, 303)


@router.post("/rack/undo")
def undo(request: Request, visitor: Visiting, parts: ServiceParts) -> Response:
    """Take the latest change back."""
    try:
        rack_routes.undone(parts, visitor.owner)
    except Refused as refused:
        return _rack(request, visitor, parts, errors=_told(refused), wrong="undo")
    return RedirectResponse("/rack", 303)


@router.post("/rack/smallest")
def set_smallest(request: Request, visitor: Visiting, parts: ServiceParts) -> Response:
    """Set the smallest leftover worth keeping."""
    size = {name: visitor.typed(f"smallest.{name}").strip() for name in ("unit", "length", "width")}
    try:
        rack_routes.set_smallest(parts, visitor.owner, smallest_in(json.dumps({"smallest": size})))
    except Refused as refused:
        return _rack(request, visitor, parts, errors=_told(refused), wrong="smallest", smallest=size)
    return RedirectResponse("/rack", 303)


@router.post("/rack/table")
def bring_in(request: Request, visitor: Visiting, parts: ServiceParts) -> Response:
    """Bring in a table."""
    file = visitor.form.get("table")
    content = file.file.read() if isinstance(file, UploadFile) else b""
    try:
        text = table_text(content)
        rack_routes.imported(parts, visitor.owner, text, replace=visitor.typed("replace") == "yes")
    except Refused as refused:
        return _rack(request, visitor, parts, errors=_told(refused), wrong="table")
    return RedirectResponse("/rack", 303)


@router.get("/rack/{label}")
def piece_page(label: str, request: Request, visitor: Visiting, parts: ServiceParts) -> Response:
    """Show one piece."""
    return _piece(label, request, visitor, parts)


@router.post("/rack/{label}/change")
def change(label: str, request: Request, visitor: Visiting, parts: ServiceParts) -> Response:
    """Describe a piece anew."""
    typed = _typed(visitor)
    try:
        new = rack_routes.replaced(
            parts, visitor.owner, label, lambda own: piece_in(json.dumps({"label": own(), **sent(typed)}), own)
        )
    except Refused as refused:
        return _piece(label, request, visitor, parts, typed=typed, errors=_told(refused))
    return RedirectResponse(listed([new])[0].address, 303)


@router.post("/rack/{label}/take")
def take(label: str, visitor: Visiting, parts: ServiceParts) -> Response:
    """Take a piece out of the rack."""
    rack_routes.taken(parts, visitor.owner, label)
    return RedirectResponse("/rack", 303)


def _typed(visitor: Visitor) -> dict[str, str]:
    return {name: visitor.typed(name) for name in (*(name for name, _ in FIELDS), "unit", "grain")}


def _told(refused: Refused) -> Sequence[Mapping[str, str]]:
    """Return the faults of what was handed in; whatever else was refused is no matter of the form."""
    if refused.kind not in _HINDERED:
        raise refused
    return refused.errors


def _rack(
    request: Request,
    visitor: Visitor,
    parts: Parts,
    *,
    typed: Mapping[str, str] = _BLANK,
    errors: Sequence[Mapping[str, str]] = (),
    wrong: str = "",
    smallest: Mapping[str, str] | None = None,
) -> Response:
    with parts.store.reading() as connection:
        pieces = rack.pieces(connection, visitor.owner)
        size = rack.smallest(connection, visitor.owner)
        latest = rack.changes(connection, visitor.owner, 1)
    if smallest is None:
        smallest = SmallestShown.of(size).model_dump()
    return page(
        request, visitor, "rack.html", 422 if errors else 200, pieces=listed(pieces.values()),
        smallest=smallest, latest=change_words(latest[0].change) if latest else "", wrong=wrong,
        **_faults(errors), **_form(typed),
    )  # fmt: skip


def _piece(
    label: str,
    request: Request,
    visitor: Visitor,
    parts: Parts,
    *,
    typed: Mapping[str, str] | None = None,
    errors: Sequence[Mapping[str, str]] = (),
) -> Response:
    piece = rack_routes.piece_of(parts, visitor.owner, label)
    return page(
        request, visitor, "rack_piece.html", 422 if errors else 200, piece=piece, at=listed([piece])[0].address,
        size=together(size_words(piece)), drawing=drawn_piece(piece), **_faults(errors),
        **_form(typed_of(piece) if typed is None else typed),
    )  # fmt: skip


def _form(typed: Mapping[str, str]) -> dict[str, Any]:
    return {"typed": typed, "fields": FIELDS, "needed": NEEDED}


def _faults(errors: Sequence[Mapping[str, str]]) -> dict[str, Any]:
    """Return faults sorted: beside the field they are about, and all the others."""
    beside: dict[str, list[str]] = {}
    others: list[str] = []
    for error in errors:
        name = error["pointer"].removeprefix("/")
        if name in _BLANK:
            beside.setdefault(name, []).append(error["detail"].partition(": ")[2] or error["detail"])
        else:
            others.append(error["detail"])
    return {"beside": beside, "others": others}
