"""The files that pages fetch, kept by browsers for as long as their address bears their mark."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response

from api.pages.sheets import static_file
from api.problems import Refused

router = APIRouter()


@router.get("/static/{name}")
async def static(name: str, request: Request) -> Response:
    """Return one of the files that pages fetch."""
    file = static_file(name)
    if file is None:
        raise Refused("not-found")
    known = request.url.query == file.mark
    tag = f'"{file.mark}"'
    headers = {"etag": tag, "cache-control": "public, max-age=31536000, immutable" if known else "no-cache"}
    if request.headers.get("if-none-match") == tag:
        return Response(status_code=304, headers=headers)
    return Response(file.content, headers=headers, media_type=file.media_type)


@router.get("/favicon.ico")
async def favicon() -> Response:
    """Return the mark in a browser's tab."""
    file = static_file("mark.svg")
    assert file is not None  # noqa: S101  (it is in the list)
    return Response(file.content, headers={"cache-control": "public, max-age=86400"}, media_type=file.media_type)
