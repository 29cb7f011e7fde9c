"""Faults as problem documents (RFC 9457), one entry in ``errors`` for each with a JSON pointer (RFC 6901).

The sentences are those that the command line says: they come with the faults from ``nesting``.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from http import HTTPStatus
from typing import Any, Final

from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.responses import Response

from nesting.errors import BadInput, CannotBeDone, Fault
from nesting.lengths import said

MEDIA_TYPE: Final = "application/problem+json"
_SURROGATE: Final = re.compile("[\ud800-\udfff]")


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of problem: its status, its title, and what its page says."""

    status: int
    title: str
    about: str


KINDS: Final[Mapping[str, Kind]] = {
    "bad-input": Kind(
        422,
        "What was handed in has faults",
        "Every fault is an entry in errors: pointer says where (RFC 6901, from the top of the request's body), detail "
        "what is wrong and what is accepted. Mend them all and send the request again.",
    ),
    "not-json": Kind(400, "The body is not JSON", "The body must be JSON (RFC 8259) in UTF-8."),
    "cannot-be-done": Kind(
        409,
        "The job cannot be done",
        "The project is understood, but no plan can exist: a part fits no stock, or the stock runs out. Each reason is "
        "an entry in errors. Change the project.",
    ),
    "failed": Kind(
        500,
        "The plan failed",
        "A bug of ours, or not enough memory. What was wrong stands in detail; the server's log has more.",
    ),
    "not-found": Kind(404, "There is no such thing", "The address names nothing, or nothing of yours."),
    "wrong-method": Kind(405, "This cannot be done here", "The address is right, the method is not; see Allow."),
    "not-ready": Kind(
        409, "The plan is not done", "Its papers exist once its state is done. Follow its events, or ask again later."
    ),
    "already-over": Kind(409, "The plan is over", "It is done, failed or cancelled, and that does not change."),
    "not-in-turn": Kind(
        409,
        "Not as the work stands",
        "A step is ticked once the piece it cuts exists, and unticked while what it made is whole; a piece is spoiled "
        "or measured while it is there. Each hindrance is an entry in errors.",
    ),
    "replaced": Kind(
        409,
        "The plan was made anew",
        "Another plan takes its place, or is about to; work is ticked there. detail has its address.",
    ),
    "rack": Kind(
        409,
        "Not as the rack is",
        "A piece that the change needs is not in the rack, or is another one by now; or its label is taken, or there "
        "is no room. Each hindrance is an entry in errors. Read the rack again, and decide anew.",
    ),
    "changed-meanwhile": Kind(
        412,
        "Somebody changed it meanwhile",
        "The ETag in If-Match is not that of the latest version. Read it again, and decide anew.",
    ),
    "version-needed": Kind(
        428,
        "Say which version you replace",
        "Replacing needs If-Match with the ETag that reading gave, so that nobody's change is lost.",
    ),
    "key-used": Kind(
        422,
        "The idempotency key was used for another request",
        "An Idempotency-Key belongs to one request; take a fresh one for another.",
    ),
    "too-large": Kind(413, "The body is too large", "See /v1/limits for what is taken."),
    "too-slow": Kind(408, "The body took too long", "See /v1/limits for how long a body may take."),
    "wrong-type": Kind(415, "This type is not read here", "Send application/json."),
    "key-needed": Kind(
        401, "A key is needed", "Send it as Authorization: Bearer KEY. Whoever runs this service makes keys."
    ),
    "not-from-here": Kind(
        403, "Not from another site", "A page of another site, or a form without its token, asked for a change."
    ),
    "form-stale": Kind(
        403, "The form's session has ended", "A form's token belongs to one session. Load the page and send it again."
    ),
    "wrong-host": Kind(
        421, "This host is not served here", "Without keys the service answers only to localhost, by that name."
    ),
    "too-many": Kind(
        429, "Too much at once", "A limit of your key is reached, see /v1/limits. Retry-After says when to come again."
    ),
    "full": Kind(409, "No room for more", "Your key keeps as much as it may, see /v1/limits. Delete something."),
    "busy": Kind(503, "Too busy", "The queue of all users is full. Retry-After says when to come again."),
    "storage": Kind(503, "The storage does not answer", "Nothing was lost; come again after Retry-After."),
    "bug": Kind(500, "A bug of ours", "Not a fault of yours. The request's id finds it in the server's log."),
}  # fmt: skip
"""Every kind of problem by the last word of its type, which is also the address of its page."""


class Refused(HTTPException):
    """A request that is answered with a problem."""

    def __init__(
        self,
        kind: str,
        detail: str = "",
        *,
        errors: Sequence[Mapping[str, str]] = (),
        headers: Mapping[str, str] | None = None,
    ) -> None:
        super().__init__(KINDS[kind].status, detail, dict(headers or {}))
        self.kind, self.errors = kind, tuple(errors)


def entry(fault: Fault) -> dict[str, str]:
    """Return a fault as an entry of ``errors``: ``detail`` as the command line says it, its pieces beside it.

    >>> entry(Fault("saw.kerf", "/saw/kerf", "is negative", "0 or more"))["detail"]
    'saw.kerf: is negative; accepted: 0 or more'
    """
    return {
        "pointer": fault.pointer, "detail": str(fault), "path": fault.path, "message": fault.message,
        "accepted": fault.accepted,
    }  # fmt: skip


def document(
    kind: str, detail: str = "", errors: Sequence[Mapping[str, str]] = (), instance: str | None = None
) -> dict[str, Any]:
    """Return a problem document.

    >>> document("not-found")["type"], document("not-found")["status"]
    ('/problems/not-found', 404)
    """
    about = KINDS[kind]
    made: dict[str, Any] = {"type": f"/problems/{kind}", "title": about.title, "status": about.status}
    if detail:
        made["detail"] = detail
    if instance is not None:
        made["instance"] = instance
    return made | {"errors": [dict(error) for error in errors]}


def bad_input(error: BadInput) -> Refused:
    """Return the refusal of faulty input, every fault in it."""
    count = len(error.faults)
    return Refused(
        "bad-input", "1 problem" if count == 1 else f"{count} problems", errors=[entry(fault) for fault in error.faults]
    )


def impossible(error: CannotBeDone) -> dict[str, Any]:
    """Return the problem of a job that cannot be done, every reason in it."""
    count = len(error.reasons)
    detail = "1 reason" if count == 1 else f"{count} reasons"
    return document("cannot-be-done", detail, [{"pointer": "", "detail": reason} for reason in error.reasons])


def answer(refused: Refused, instance: str) -> Response:
    """Return the response to a refused request; ``instance`` is the path that was asked for."""
    made = document(refused.kind, refused.detail, refused.errors, instance)
    return Response(as_json(made), refused.status_code, refused.headers, MEDIA_TYPE)


def of_framework(error: HTTPException | RequestValidationError) -> Refused:
    """Return what the framework itself refused (an unknown address, a wrong method, a bad parameter) as ours."""
    if isinstance(error, Refused):
        return error
    if isinstance(error, RequestValidationError):
        faults = [
            Fault(str(one["loc"][-1]), "", f"{said(one['input'])} is not taken here", str(one["msg"]).lower())
            for one in error.errors()
        ]
        return bad_input(BadInput(faults))
    return Refused(by_status(error.status_code), headers=error.headers)


def as_json(value: object) -> bytes:
    """Return JSON in UTF-8; halves of characters, which no UTF-8 holds, are replaced."""
    text = json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    return _SURROGATE.sub("\ufffd", text).encode()


def by_status(status: int) -> str:
    """Return the kind of problem for a status that the framework chose.

    >>> by_status(405), by_status(418)
    ('wrong-method', 'bad-input')
    """
    chosen = {400: "not-json", 404: "not-found", 405: "wrong-method", 413: "too-large", 408: "too-slow"}
    return chosen.get(status, "bug" if status >= HTTPStatus.INTERNAL_SERVER_ERROR else "bad-input")
