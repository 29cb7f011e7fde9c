"""Drafts: the project form as it was typed, kept at once, faults and all; the project follows where there is none."""

from __future__ import annotations

import time
from dataclasses import dataclass
from typing import Final

from sqlalchemy import Connection, Row, delete, func, insert, select, update

from api.store.ids import fresh_id
from api.store.tables import drafts

LONGEST_NAME: Final = 120


@dataclass(frozen=True, slots=True)
class DraftRow:
    """A draft as it is kept: ``version`` is that of the project beside it, 0 while there is none.

    ``revision`` counts what was typed from 1; ``tab`` says which open page typed last; ``faults`` how many it has.
    """

    project: str
    owner: str
    name: str
    typed: str
    version: int
    faults: int
    tab: str
    revision: int
    created: float
    changed: float


def _row(row: Row[tuple[object, ...]]) -> DraftRow:
    return DraftRow(**row._mapping)


def find(connection: Connection, owner: str, project_id: str) -> DraftRow | None:
    """Return somebody's draft; None where there is none of that id."""
    found = connection.execute(select(drafts).where(drafts.c.project == project_id, drafts.c.owner == owner)).first()
    return None if found is None else _row(found)


def add(connection: Connection, owner: str, name: str, typed: str, tab: str = "", faults: int = 0) -> DraftRow:
    """Keep a draft of a project that is none yet."""
    now = time.time()
    return put(connection, DraftRow(fresh_id(now), owner, name, typed, 0, faults, tab, 0, now, now))


def put(connection: Connection, row: DraftRow) -> DraftRow:
    """Keep a draft in place of the one before, counted up."""
    kept = DraftRow(
        row.project, row.owner, row.name[:LONGEST_NAME], row.typed, row.version, row.faults, row.tab,
        row.revision + 1, row.created, time.time(),
    )  # fmt: skip
    values = {name: getattr(kept, name) for name in DraftRow.__slots__}
    if row.revision:
        connection.execute(update(drafts).where(drafts.c.project == row.project).values(**values))
    else:
        connection.execute(insert(drafts).values(**values))
    return kept


def waiting(connection: Connection, owner: str, limit: int) -> list[DraftRow]:
    """Return somebody's drafts that are no projects yet, the latest changed first."""
    query = select(drafts).where(drafts.c.owner == owner, drafts.c.version == 0)
    return [_row(row) for row in connection.execute(query.order_by(drafts.c.changed.desc()).limit(limit))]


def count(connection: Connection, owner: str) -> int:
    """Return how many drafts of somebody are no projects yet."""
    query = select(func.count()).select_from(drafts).where(drafts.c.owner == owner, drafts.c.version == 0)
    return int(connection.execute(query).scalar_one())


def remove(connection: Connection, project_id: str) -> None:
    """Forget a draft."""
    connection.execute(delete(drafts).where(drafts.c.project == project_id))
