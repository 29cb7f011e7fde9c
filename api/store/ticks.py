"""What was done at the saw: one row a step ticked, so that two phones ticking at once lose none; one a piece lost."""

from __future__ import annotations

import json
import time
from collections.abc import Iterable
from dataclasses import dataclass

from sqlalchemy import Connection, delete, func, insert, select
from sqlalchemy.dialects import postgresql, sqlite

from api.store.tables import measures, plans, spoils, ticks

Sides = tuple[float, float]
"""Length and width."""


@dataclass(frozen=True, slots=True)
class SpoilRow:
    """A piece lost, and the sizes that remain of it."""

    piece: str
    left: tuple[Sides, ...]
    note: str


@dataclass(frozen=True, slots=True)
class MeasureRow:
    """A piece and the size it was found to have."""

    piece: str
    length: float
    width: float


def hold(connection: Connection, plan_id: str) -> None:
    """Let nobody else change a plan's progress until this transaction ends: what is read stays true.

    PostgreSQL locks the plan's row, but not against the look that an insert naming the plan takes at it (FOR NO KEY
    UPDATE): an insert that had to wait for the holder, who may wait for the row inserted, would be a deadlock. SQLite
    has one writer at a time and needs no lock.
    """
    connection.execute(select(plans.c.id).where(plans.c.id == plan_id).with_for_update(key_share=True))


def done(connection: Connection, plan_id: str) -> tuple[int, ...]:
    """Return the numbers of the steps ticked, in working order."""
    query = select(ticks.c.step).where(ticks.c.plan == plan_id).order_by(ticks.c.step)
    return tuple(int(step) for step in connection.execute(query).scalars())


def tick(connection: Connection, plan_id: str, steps: Iterable[int]) -> None:
    """Tick steps; one that is ticked already stays as it is."""
    rows = [{"plan": plan_id, "step": step, "created": time.time()} for step in steps]
    if rows:
        statement = postgresql.insert if connection.dialect.name == "postgresql" else sqlite.insert
        connection.execute(statement(ticks).on_conflict_do_nothing(), rows)


def untick(connection: Connection, plan_id: str, steps: Iterable[int]) -> None:
    """Take ticks away; one that is not there is no fault."""
    connection.execute(delete(ticks).where(ticks.c.plan == plan_id, ticks.c.step.in_(list(steps))))


def spoiled(connection: Connection, plan_id: str) -> tuple[SpoilRow, ...]:
    """Return the pieces spoiled, in order of telling."""
    query = select(spoils.c.piece, spoils.c.left, spoils.c.note).where(spoils.c.plan == plan_id)
    return tuple(
        SpoilRow(str(piece), tuple((length, width) for length, width in json.loads(left)), str(note))
        for piece, left, note in connection.execute(query.order_by(spoils.c.created, spoils.c.piece))
    )


def spoil(connection: Connection, plan_id: str, row: SpoilRow) -> None:
    """Note a piece as spoiled; what was measured of it counts no more."""
    forget(connection, plan_id, row.piece)
    values = {"piece": row.piece, "left": json.dumps(row.left), "note": row.note}
    connection.execute(insert(spoils).values(plan=plan_id, created=time.time(), **values))


def measured(connection: Connection, plan_id: str) -> tuple[MeasureRow, ...]:
    """Return the pieces measured, in order of telling."""
    query = select(measures.c.piece, measures.c.length, measures.c.width).where(measures.c.plan == plan_id)
    rows = connection.execute(query.order_by(measures.c.created, measures.c.piece))
    return tuple(MeasureRow(str(piece), float(length), float(width)) for piece, length, width in rows)


def measure(connection: Connection, plan_id: str, row: MeasureRow) -> None:
    """Note the size of a piece, in place of what was measured before."""
    connection.execute(delete(measures).where(measures.c.plan == plan_id, measures.c.piece == row.piece))
    values = {"piece": row.piece, "length": row.length, "width": row.width}
    connection.execute(insert(measures).values(plan=plan_id, created=time.time(), **values))


def forget(connection: Connection, plan_id: str, piece: str) -> None:
    """Forget that a piece was spoiled or measured."""
    for table in (spoils, measures):
        connection.execute(delete(table).where(table.c.plan == plan_id, table.c.piece == piece))


def count(connection: Connection) -> tuple[int, int]:
    """Return how many steps are ticked and how many pieces spoiled, in all plans."""
    ticked, lost = (
        int(connection.execute(select(func.count()).select_from(table)).scalar_one()) for table in (ticks, spoils)
    )
    return ticked, lost
