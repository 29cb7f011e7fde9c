"""What routes ask for: who is asking, and the parts of the service they need."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated

from fastapi import Depends
from starlette.concurrency import run_in_threadpool
from starlette.requests import HTTPConnection

from api.bulletin import Bulletin
from api.jobs import Foreman
from api.keys import LOCAL, Keyring
from api.metrics import Metrics
from api.problems import Refused
from api.rates import Buckets
from api.security import SAFE, check_host, check_origin
from api.sessions import COOKIE, Sessions
from api.settings import Settings
from api.store.database import Store

TOKEN_HEADER = "x-csrf-token"  # noqa: S105  (the name of a header)


@dataclass(frozen=True, slots=True)
class Parts:
    """The parts of one running service; ``request.app.state.parts``."""

    settings: Settings
    store: Store
    foreman: Foreman
    bulletin: Bulletin
    keyring: Keyring
    sessions: Sessions
    metrics: Metrics
    asked: Buckets
    wrong: Buckets


async def parts_of(connection: HTTPConnection) -> Parts:
    """Return the parts of the service that a request came to."""
    parts: Parts = connection.app.state.parts
    return parts


ServiceParts = Annotated[Parts, Depends(parts_of)]


async def owner_of(connection: HTTPConnection, parts: ServiceParts) -> str:
    """Return who is asking: the owner of a key sent along, of a session, or ``local`` where no key is needed.

    A session's changes need its token in a header. Raises :class:`~api.problems.Refused` where a key is needed and
    missing or wrong, where another site's page asks, or where somebody asks too often.
    """
    return await owner_by(connection, parts, connection.headers.get(TOKEN_HEADER, ""))


async def owner_by(connection: HTTPConnection, parts: Parts, token: str) -> str:
    """Return who is asking as :func:`owner_of` does; ``token`` is what came with a session's change."""
    if parts.keyring.stale:
        await run_in_threadpool(parts.keyring.read)
    open_to_all = parts.settings.loopback and parts.keyring.empty
    check_host(connection, open_to_all=open_to_all)
    authorization = connection.headers.get("authorization")
    if authorization is not None:
        owner = _by_key(connection, authorization, parts)
    else:
        check_origin(connection)
        owner = _by_session(connection, parts, token) or (LOCAL if open_to_all else "")
        if not owner:
            raise Refused("key-needed", headers={"www-authenticate": "Bearer"})
    connection.scope["state"]["owner"] = owner
    if not open_to_all:
        check_rate(parts.asked, owner)
    return owner


Owner = Annotated[str, Depends(owner_of)]


def check_rate(buckets: Buckets, name: str) -> None:
    """Refuse who asks too often, saying when to come again."""
    if wait := buckets.wait(name):
        raise Refused("too-many", "Too many requests", headers={"retry-after": str(math.ceil(wait))})


def owner_of_key(connection: HTTPConnection, parts: Parts, key: str) -> str | None:
    """Return whose key this is; None where it is nobody's, which is counted against the address it comes from."""
    address = connection.client.host if connection.client else ""
    if wait := parts.wrong.peek(address):
        raise Refused("too-many", "Too many wrong keys", headers={"retry-after": str(math.ceil(wait))})
    owner = parts.keyring.owner(key.strip())
    if owner is None:
        parts.wrong.wait(address)
    return owner


def _by_key(connection: HTTPConnection, authorization: str, parts: Parts) -> str:
    scheme, _, key = authorization.partition(" ")
    owner = owner_of_key(connection, parts, key if scheme.lower() == "bearer" else "")
    if owner is None:
        raise Refused("key-needed", "This key is not known", headers={"www-authenticate": "Bearer"})
    return owner


def _by_session(connection: HTTPConnection, parts: Parts, token: str) -> str | None:
    cookie = connection.cookies.get(COOKIE)
    owner = parts.sessions.owner(cookie) if cookie else None
    if cookie is None or owner is None or (owner != LOCAL and not parts.keyring.knows(owner)):
        return None
    if owner == LOCAL and not (parts.settings.loopback and parts.keyring.empty):
        return None
    if connection.scope["method"] not in SAFE and not parts.sessions.token_fits(cookie, token):
        raise Refused("not-from-here", f"A session's changes need its token, in {TOKEN_HEADER}")
    return owner
