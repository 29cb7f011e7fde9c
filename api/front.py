"""The outermost layer: an id, a log line and a count for each request; headers; nothing thrown gets past it."""

from __future__ import annotations

import re
import secrets
import time
from typing import Any, Final

import structlog
from starlette.datastructures import MutableHeaders
from starlette.requests import HTTPConnection
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.limits import Limits
from api.metrics import Metrics
from api.pages.errors import for_people, told
from api.problems import Refused
from api.security import HEADERS, drained, limited

STREAM: Final = "/events"
"""What ends so has no end, and so no head alone."""
MOST_DRAINED: Final = 8
"""Times the largest body: so much of one that is too large is taken and thrown away for a browser, which would
otherwise show that the connection broke, and not why."""
_REQUEST_ID: Final = re.compile(r"[A-Za-z0-9_-]{8,64}")


class Front:
    """An ASGI layer around the whole application."""

    def __init__(self, app: ASGIApp, limits: Limits, metrics: Metrics) -> None:
        self.app, self.limits, self.metrics = app, limits, metrics
        self._log: Any = structlog.get_logger("requests")

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request, whatever becomes of it."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        if scope["method"] == "HEAD" and not scope["path"].endswith(STREAM):  # the server leaves the body away
            scope = {**scope, "method": "GET"}
        given = HTTPConnection(scope).headers.get("x-request-id", "")
        request_id = given if _REQUEST_ID.fullmatch(given) else secrets.token_hex(8)
        begun, status = time.perf_counter(), 0
        scope.setdefault("state", {})["request_id"] = request_id

        async def send_with_headers(message: Message) -> None:
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
                headers = MutableHeaders(scope=message)
                headers["x-request-id"] = request_id
                for name, value in HEADERS.items():
                    headers.setdefault(name, value)
                self._count(scope, status, time.perf_counter() - begun)
            await send(message)

        with structlog.contextvars.bound_contextvars(request_id=request_id):
            try:
                await self.app(scope, limited(scope, receive, self.limits), send_with_headers)
            except Refused as refused:
                if not status:
                    if refused.kind == "too-large" and for_people(HTTPConnection(scope)):
                        await drained(receive, MOST_DRAINED * self.limits.body_bytes)
                    await told(refused, HTTPConnection(scope))(scope, receive, send_with_headers)
            except Exception:
                self._log.exception("request_failed", method=scope["method"], path=scope["path"])
                if not status:
                    bug = Refused("bug", f"The log has it under the request id {request_id}")
                    await told(bug, HTTPConnection(scope))(scope, receive, send_with_headers)
            self._log.info(
                "request",
                method=scope["method"],
                path=scope["path"],
                status=status,
                seconds=round(time.perf_counter() - begun, 4),
                owner=scope["state"].get("owner"),
                job_id=scope.get("path_params", {}).get("plan"),
            )

    def _count(self, scope: Scope, status: int, seconds: float) -> None:
        method = scope["method"] if scope["method"] in ("GET", "HEAD", "POST", "PUT", "DELETE") else "other"
        self.metrics.request(method, getattr(scope.get("route"), "path", "none"), status, seconds)
