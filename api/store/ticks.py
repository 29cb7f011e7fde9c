"""Steps carried out: one row a tick, so that two phones ticking at once lose none."""

from __future__ import annotations

import time
from collections.abc import Iterable

from sqlalchemy import Connection, delete, select
from sqlalchemy.dialects import postgresql, sqlite

from api.store.tables import plans, ticks


def hold(connection: Connection, plan_id: str) -> None:
    """Let nobody else change a plan's progress until this transaction ends: what is read stays true.

    PostgreSQL locks the plan's row; SQLite has one writer at a time and needs no lock.
    """
    connection.execute(select(plans.c.id).where(plans.c.id == plan_id).with_for_update())


def done(connection: Connection, plan_id: str) -> tuple[int, ...]:
    """Return the numbers of the steps ticked, in working order."""
    query = select(ticks.c.step).where(ticks.c.plan == plan_id).order_by(ticks.c.step)
    return tuple(int(step) for step in connection.execute(query).scalars())


def tick(connection: Connection, plan_id: str, steps: Iterable[int]) -> None:
    """Tick steps; one that is ticked already stays as it is."""
    rows = [{"plan": plan_id, "step": step, "created": time.time()} for step in steps]
    if rows:
        insert = postgresql.insert if connection.dialect.name == "postgresql" else sqlite.insert
        connection.execute(insert(ticks).on_conflict_do_nothing(), rows)


def untick(connection: Connection, plan_id: str, steps: Iterable[int]) -> None:
    """Take ticks away; one that is not there is no fault."""
    connection.execute(delete(ticks).where(ticks.c.plan == plan_id, ticks.c.step.in_(list(steps))))
