"""What happens to a plan, as server-sent events (WHATWG HTML, section 9.2), with replay on Last-Event-ID."""

from __future__ import annotations

import asyncio
import re
from collections.abc import AsyncIterator
from typing import Annotated, Any, Final

from fastapi import APIRouter, Header, Response
from fastapi.sse import format_sse_event
from starlette.concurrency import run_in_threadpool
from starlette.responses import StreamingResponse

from api.access import Owner, Parts, ServiceParts
from api.problems import Refused
from api.routes.plans import found
from api.shapes import ALWAYS, problems
from api.store import events, plans
from api.store.events import EventRow

router = APIRouter(tags=["plans"])

LOOK_AGAIN: Final = 3.0
"""Seconds of silence after which the table is read: another server may be at work on the plan."""
KEEP_ALIVE: Final = 5
"""Such looks in vain after which a comment keeps the connection open."""
RETRY_MILLISECONDS: Final = 2_000
_NUMBER: Final = re.compile(r"[0-9]{1,9}")
_STREAM: Final[dict[str, Any]] = {
    "description": "Events queued, running, progress (elapsed, cost, cost_bound, phase), and one of done, failed, "
    "cancelled, after which the stream ends. Each bears an id; data is JSON.",
    "content": {
        "text/event-stream": {
            "schema": {
                "type": "object",
                "properties": {
                    "id": {"type": "string", "pattern": "^[0-9]+$"},
                    "event": {"enum": ["queued", "running", "progress", *plans.OVER]},
                    "data": {"type": "string", "contentMediaType": "application/json"},
                    "retry": {"type": "integer"},
                },
            }
        }
    },
}


@router.get(
    "/v1/plans/{plan}/events",
    operation_id="followPlan",
    response_class=StreamingResponse,
    responses={**ALWAYS, **problems(404), 200: _STREAM, 204: {"description": "All has been told; do not come again"}},
)
def follow(
    plan: str,
    owner: Owner,
    parts: ServiceParts,
    last_event_id: Annotated[str | None, Header(description="Id of the last event that was heard.")] = None,
) -> Response:
    """Follow a plan from its beginning, or from the event after the last one heard."""
    row = found(parts, owner, plan)
    last = int(last_event_id) if last_event_id and _NUMBER.fullmatch(last_event_id) else 0
    with parts.store.reading() as connection:
        rest = events.after(connection, row.id, last, 1)
    if row.state in plans.OVER and not rest:
        return Response(status_code=204)
    if parts.bulletin.streams >= parts.settings.limits.streams:
        raise Refused("busy", "Too many streams are open", headers={"retry-after": "5"})
    return StreamingResponse(  # not the framework's own kind of answer: that one cannot be a 204
        _told(parts, row.id, last), headers={"x-accel-buffering": "no"}, media_type="text/event-stream"
    )


async def _told(parts: Parts, plan_id: str, last: int) -> AsyncIterator[bytes]:
    """Yield a plan's events after one: those in the table, then as they come, until it is over."""
    yield b"retry: %d\n\n" % RETRY_MILLISECONDS
    silence = 0
    with parts.bulletin.listening(plan_id) as queue:
        while True:
            rows = await run_in_threadpool(_after, parts, plan_id, last)
            for row in rows:
                yield _written(row)
                last = row.seq
                if row.kind in plans.OVER:
                    return
            silence = 0 if rows else silence + 1
            if silence and silence % KEEP_ALIVE == 0:
                if not await run_in_threadpool(_is_there, parts, plan_id):  # deleted with its project
                    return
                yield b": still there\n\n"
            while True:
                try:
                    row_or_end = await asyncio.wait_for(queue.get(), LOOK_AGAIN)
                except TimeoutError:
                    break
                if row_or_end is None:  # the server ends; the client comes again to the next one
                    return
                if row_or_end.seq <= last:
                    continue
                if row_or_end.seq > last + 1:  # one was missed: the table has it
                    break
                yield _written(row_or_end)
                last, silence = row_or_end.seq, 0
                if row_or_end.kind in plans.OVER:
                    return


def _after(parts: Parts, plan_id: str, last: int) -> list[EventRow]:
    with parts.store.reading() as connection:
        return events.after(connection, plan_id, last)


def _is_there(parts: Parts, plan_id: str) -> bool:
    return bool(_after(parts, plan_id, 0))


def _written(row: EventRow) -> bytes:
    return format_sse_event(data_str=row.data, event=row.kind, id=str(row.seq))
