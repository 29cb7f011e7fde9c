"""The rack: leftovers worth keeping, on which new plans draw; as a table and as labels too."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable
from typing import Annotated, Any, Final, TypeVar
from urllib.parse import quote

from fastapi import APIRouter, Depends, Query, Request, Response
from sqlalchemy import Connection

from api.access import Owner, Parts, ServiceParts
from api.bodies import csv_text, json_text, piece_in, smallest_in
from api.problems import Refused, bad_input, entry
from api.rack_shapes import PIECE, SMALLEST, ChangeShown, Imported, PieceShown, RackShown, SmallestShown
from api.security import DRAWING_POLICY
from api.shapes import ALWAYS, problems
from api.store import rack
from nesting.draw.ink import to_svg
from nesting.errors import BadInput
from nesting.paper.packet import drawings_pdf
from nesting.rack.csv_file import rack_csv, rack_from_csv
from nesting.rack.label import label
from nesting.rack.piece import RackPiece
from nesting.rack.rack import Change, Fresh, Numbers, Smallest, found

router = APIRouter(tags=["rack"])

_BODY_PROBLEMS: Final = problems(400, 408, 413, 415, 422)
_TABLE_BODY: Final[dict[str, Any]] = {
    "requestBody": {
        "required": True,
        "content": {
            "text/csv": {
                "schema": {"type": "string", "example": "label,length,width,thickness,place\nR-1,31,9 1/4,23/32,left\n"}
            }
        },
    }
}
_ANY: Final = {"schema": {"type": "string", "format": "binary"}}
MOST_LABELS: Final = 200
"""Labels in one document."""
T = TypeVar("T")


def _body(schema: dict[str, Any]) -> dict[str, Any]:
    return {"requestBody": {"required": True, "content": {"application/json": {"schema": schema}}}}


@router.get("/v1/rack", operation_id="readRack", responses=ALWAYS)
def read(owner: Owner, parts: ServiceParts) -> RackShown:
    """Return the rack: its pieces, what is worth keeping, and the changes that can be taken back."""
    with parts.store.reading() as connection:
        return RackShown(
            smallest=SmallestShown.of(rack.smallest(connection, owner)),
            pieces=[PieceShown.of(piece) for piece in rack.pieces(connection, owner).values()],
            changes=[ChangeShown.of(row) for row in rack.changes(connection, owner)],
        )


@router.post(
    "/v1/rack",
    status_code=201,
    operation_id="addRackPiece",
    openapi_extra=_body(PIECE),
    responses={
        **ALWAYS, **_BODY_PROBLEMS, **problems(409),
        201: {"headers": {"Location": {"description": "Address of the piece.", "schema": {"type": "string"}}}},
    },
)  # fmt: skip
def add(owner: Owner, text: Annotated[str, Depends(json_text)], parts: ServiceParts, response: Response) -> PieceShown:
    """Put a piece into the rack."""
    piece = added(parts, owner, lambda fresh: piece_in(text, fresh))
    response.headers["location"] = f"/v1/rack/{quote(piece.label, safe='')}"
    return PieceShown.of(piece)


@router.put("/v1/rack", operation_id="setRack", openapi_extra=_body(SMALLEST), responses={**ALWAYS, **_BODY_PROBLEMS})
def settings(owner: Owner, text: Annotated[str, Depends(json_text)], parts: ServiceParts) -> SmallestShown:
    """Set the smallest leftover worth keeping; what is in the rack already stays."""
    return SmallestShown.of(set_smallest(parts, owner, smallest_in(text)))


@router.delete("/v1/rack", status_code=204, operation_id="deleteRack", responses=ALWAYS)
def delete(owner: Owner, parts: ServiceParts) -> Response:
    """Forget the whole rack with its history; this alone cannot be taken back."""
    with parts.store.writing() as connection:
        rack.remove(connection, owner)
    return Response(status_code=204)


@router.post("/v1/rack/undo", operation_id="undoRack", responses={**ALWAYS, **problems(409)})
def undo(owner: Owner, parts: ServiceParts) -> RackShown:
    """Take the latest change back."""
    undone(parts, owner)
    return read(owner, parts)


@router.get(
    "/v1/rack.csv",
    operation_id="exportRack",
    response_class=Response,
    responses={**ALWAYS, 200: {"description": "The rack", "content": {"text/csv": {"schema": {"type": "string"}}}}},
)
def export(owner: Owner, parts: ServiceParts) -> Response:
    """Return the rack as a table (RFC 4180), which can be brought in again without loss."""
    with parts.store.reading() as connection:
        text = rack_csv(rack.pieces(connection, owner).values())
    headers = {"content-disposition": 'attachment; filename="rack.csv"'}
    return Response(text.encode(), headers=headers, media_type="text/csv; charset=utf-8")


@router.post(
    "/v1/rack.csv",
    operation_id="importRack",
    openapi_extra=_TABLE_BODY,
    responses={**ALWAYS, **problems(408, 409, 413, 415, 422)},
)
def bring_in(
    owner: Owner,
    text: Annotated[str, Depends(csv_text)],
    parts: ServiceParts,
    replace: Annotated[bool, Query(description="Put the table in place of the whole rack.")] = False,
) -> Imported:
    """Bring in the pieces of a table; every fault in it is told with its line and column."""
    change = imported(parts, owner, text, replace=replace)
    taken, given = ([piece.label for piece in pieces] for pieces in (change.taken, change.given))
    return Imported(pieces=given, removed=taken)


@router.get(
    "/v1/rack.pdf",
    operation_id="readLabels",
    response_class=Response,
    responses={**ALWAYS, **problems(404, 422), 200: {"description": "Labels", "content": {"application/pdf": _ANY}}},
)
def labels(
    request: Request,
    owner: Owner,
    parts: ServiceParts,
    piece: Annotated[list[str] | None, Query(max_length=MOST_LABELS, description="Labels; default: all.")] = None,
) -> Response:
    """Return labels to print, one on a page of 89 by 38 mm."""
    with parts.store.reading() as connection:
        pieces = rack.pieces(connection, owner)
    try:
        chosen = found(pieces, piece) if piece else tuple(pieces.values())[:MOST_LABELS]
    except BadInput as error:
        raise Refused("not-found", errors=[entry(one) for one in error.faults]) from None
    if not chosen:
        raise Refused("not-found", "The rack is empty")
    content = drawings_pdf([label(one, str(request.base_url)) for one in chosen])
    return Response(
        content, headers={"content-disposition": 'inline; filename="labels.pdf"'}, media_type="application/pdf"
    )


@router.get("/v1/rack/{piece}", operation_id="readRackPiece", responses={**ALWAYS, **problems(404)})
def read_piece(piece: str, owner: Owner, parts: ServiceParts) -> PieceShown:
    """Return one piece, by its label."""
    return PieceShown.of(piece_of(parts, owner, piece))


@router.put(
    "/v1/rack/{piece}",
    operation_id="replaceRackPiece",
    openapi_extra=_body(PIECE),
    responses={**ALWAYS, **_BODY_PROBLEMS, **problems(404, 409)},
)
def replace(piece: str, owner: Owner, text: Annotated[str, Depends(json_text)], parts: ServiceParts) -> PieceShown:
    """Describe a piece anew; without a label it keeps its own."""
    return PieceShown.of(replaced(parts, owner, piece, lambda own: piece_in(text, own)))


@router.delete("/v1/rack/{piece}", status_code=204, operation_id="takeRackPiece", responses={**ALWAYS, **problems(404)})
def take(piece: str, owner: Owner, parts: ServiceParts) -> Response:
    """Take a piece out of the rack."""
    taken(parts, owner, piece)
    return Response(status_code=204)


@router.get(
    "/v1/rack/{piece}/label.svg",
    operation_id="readLabel",
    response_class=Response,
    responses={**ALWAYS, **problems(404), 200: {"description": "The label", "content": {"image/svg+xml": _ANY}}},
)
def label_drawing(piece: str, request: Request, owner: Owner, parts: ServiceParts) -> Response:
    """Return the label of a piece; its code opens the piece's page here."""
    text = to_svg(label(piece_of(parts, owner, piece), str(request.base_url)))
    headers = {"content-security-policy": DRAWING_POLICY, "content-disposition": 'inline; filename="label.svg"'}
    return Response(text.encode(), headers=headers, media_type="image/svg+xml")


# -- shared with the pages


def piece_of(parts: Parts, owner: str, label: str) -> RackPiece:
    """Return a piece of somebody's rack; refuse a label that is none."""
    with parts.store.reading() as connection:
        piece = rack.find(connection, owner, unicodedata.normalize("NFC", label)) if label.isprintable() else None
    if piece is None:
        raise Refused("not-found", "There is no piece of this label in your rack")
    return piece


def added(parts: Parts, owner: str, make: Callable[[Fresh], RackPiece]) -> RackPiece:
    """Put the piece that ``make`` makes, with a fresh label at hand, into somebody's rack."""

    def act(_connection: Connection, numbers: Numbers) -> tuple[Change, RackPiece]:
        piece = make(numbers)
        return Change(f"added {piece.label}", given=(piece,)), piece

    return _change(parts, owner, act)


def replaced(parts: Parts, owner: str, label: str, make: Callable[[Fresh], RackPiece]) -> RackPiece:
    """Put what ``make`` makes, with the piece's own label at hand, in its place."""
    old = piece_of(parts, owner, label)
    new = make(lambda: old.label)
    if new != old:
        _change(parts, owner, lambda _connection, _numbers: (Change(f"changed {label}", (old,), (new,)), None))
    return new


def taken(parts: Parts, owner: str, label: str) -> RackPiece:
    """Take a piece out of somebody's rack."""
    piece = piece_of(parts, owner, label)
    _change(parts, owner, lambda _connection, _numbers: (Change(f"took {label}", taken=(piece,)), None))
    return piece


def imported(parts: Parts, owner: str, text: str, *, replace: bool) -> Change:
    """Bring a table into somebody's rack, or put it in place of the rack."""

    def act(connection: Connection, numbers: Numbers) -> tuple[Change, Change]:
        try:
            given = rack_from_csv(text, numbers)
        except BadInput as error:
            raise bad_input(error) from None
        there = tuple(rack.pieces(connection, owner).values()) if replace else ()
        count = len(given)
        words = f"{'a table of' if replace else 'brought in'} {count} piece{'' if count == 1 else 's'}"
        change = Change(words, there, given)
        return change, change

    return _change(parts, owner, act)


def set_smallest(parts: Parts, owner: str, size: Smallest) -> Smallest:
    """Set the smallest leftover that somebody keeps."""
    with parts.store.writing() as connection:
        rack.hold(connection, owner)
        rack.set_smallest(connection, owner, size)
    return size


def undone(parts: Parts, owner: str) -> Change:
    """Take the latest change of somebody's rack back."""
    with parts.store.writing() as connection:
        rack.hold(connection, owner)
        try:
            return rack.undo(connection, owner)
        except BadInput as error:
            raise _hindered(error) from None


def _change(parts: Parts, owner: str, act: Callable[[Connection, Numbers], tuple[Change, T]]) -> T:
    with parts.store.writing() as connection:
        numbers = rack.hold(connection, owner)
        change, told = act(connection, numbers)
        try:
            rack.keep(connection, owner, change, numbers)
        except BadInput as error:
            raise _hindered(error) from None
    return told


def _hindered(error: BadInput) -> Refused:
    count = len(error.faults)
    detail = "1 hindrance" if count == 1 else f"{count} hindrances"
    return Refused("rack", detail, errors=[entry(one) for one in error.faults])
