"""What every request passes and every answer bears: hosts, sizes, times, other sites, headers."""

from __future__ import annotations

import asyncio
import contextlib
from collections.abc import Mapping
from typing import Final
from urllib.parse import urlsplit

from starlette.requests import HTTPConnection
from starlette.types import Message, Receive, Scope

from api.limits import Limits
from api.problems import Refused
from api.settings import is_loopback

HEADERS: Final[Mapping[str, str]] = {
    "content-security-policy": "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "
    "connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'",
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), geolocation=(), microphone=()",
    "x-frame-options": "DENY",
    "cache-control": "no-store",
}
"""On every answer that does not say otherwise: common practice, as the Open Worldwide Application Security Project's
Secure Headers Project lists them."""
DRAWING_POLICY: Final = "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'self'; sandbox"
"""Content security policy of a drawing opened by itself: it may be styled and do nothing."""
_DRAIN_SECONDS: Final = 10
SAFE: Final = frozenset(("GET", "HEAD", "OPTIONS"))


def check_host(connection: HTTPConnection, *, open_to_all: bool) -> None:
    """Refuse a name that is not this machine's where no key is asked for.

    A page elsewhere could point its own name at this machine and so read what is here (DNS rebinding); its requests
    bear that name.
    """
    if not open_to_all:
        return
    host = _hostname(connection.headers.get("host", ""))
    if not is_loopback(host):
        raise Refused("wrong-host", "Without keys only localhost is served; make one with: cleatwright serve --new-key")


def check_origin(connection: HTTPConnection) -> None:
    """Refuse a change that a page of another site asks a browser for; programs send neither header."""
    headers = connection.headers
    if connection.scope["method"] in SAFE:
        return
    origin = headers.get("origin")
    foreign = origin is not None and urlsplit(origin).netloc.lower() != headers.get("host", "").lower()
    if foreign or headers.get("sec-fetch-site") in ("cross-site", "same-site"):
        raise Refused("not-from-here", "The request comes from a page of another site")


def limited(scope: Scope, receive: Receive, limits: Limits) -> Receive:
    """Return ``receive`` for a body that may not be larger, nor come slower, than the limits say.

    Raises :class:`~api.problems.Refused` at once where the header admits to too much, later where it lied.
    """
    too_large = Refused(
        "too-large", f"at most {limits.body_bytes:,} bytes", headers={"connection": "close"}
    )  # what is left of it is not read
    said = dict(scope["headers"]).get(b"content-length", b"0")
    if not said.isdigit() or len(said) > 15 or int(said) > limits.body_bytes:
        raise too_large
    loop = asyncio.get_running_loop()
    ends = loop.time() + limits.body_seconds
    got = 0
    over = False

    async def receive_limited() -> Message:
        nonlocal got, over
        if over:
            return await receive()
        try:
            message = await asyncio.wait_for(receive(), max(0.0, ends - loop.time()))
        except TimeoutError:
            raise Refused(
                "too-slow", f"at most {limits.body_seconds} seconds", headers={"connection": "close"}
            ) from None
        got += len(message.get("body", b""))
        over = not message.get("more_body", False)
        if got > limits.body_bytes:
            raise too_large
        return message

    return receive_limited


async def drained(receive: Receive, most: int) -> None:
    """Take what is left of a body and throw it away, no more than ``most`` bytes and for no more than some seconds."""
    with contextlib.suppress(TimeoutError):
        async with asyncio.timeout(_DRAIN_SECONDS):
            while most > 0:
                message = await receive()
                most -= len(message.get("body", b""))
                if not message.get("more_body", False):
                    return


def _hostname(host: str) -> str:
    try:
        return urlsplit(f"//{host}").hostname or ""
    except ValueError:
        return ""
