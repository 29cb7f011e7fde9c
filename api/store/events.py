"""What happened to each plan, numbered from 1: what a stream sends, and sends again."""

from __future__ import annotations

import json
import time
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, func, insert, select

from api.store.tables import events


@dataclass(frozen=True, slots=True)
class EventRow:
    """One event; ``data`` is a JSON object."""

    plan: str
    seq: int
    kind: str
    data: str


def append(connection: Connection, plan_id: str, kind: str, data: Mapping[str, Any]) -> EventRow:
    """Keep an event; whoever changed the plan's row in this transaction is alone with it."""
    latest = select(func.coalesce(func.max(events.c.seq), 0)).where(events.c.plan == plan_id)
    row = EventRow(plan_id, int(connection.execute(latest).scalar_one()) + 1, kind, json.dumps(data))
    connection.execute(
        insert(events).values(plan=row.plan, seq=row.seq, kind=row.kind, data=row.data, created=time.time())
    )
    return row


def after(connection: Connection, plan_id: str, seq: int, limit: int = 1_000) -> list[EventRow]:
    """Return a plan's events after one."""
    query = select(events.c.plan, events.c.seq, events.c.kind, events.c.data)
    query = query.where(events.c.plan == plan_id, events.c.seq > seq).order_by(events.c.seq).limit(limit)
    return [EventRow(**row._mapping) for row in connection.execute(query)]
