"""Projects: documents as they were handed in, counted up at each change."""

from __future__ import annotations

import time
from dataclasses import dataclass

from sqlalchemy import Connection, Row, delete, func, insert, select, update

from api.store.ids import fresh_id
from api.store.tables import drafts, plans, projects


@dataclass(frozen=True, slots=True)
class ProjectRow:
    """A project as it is kept; ``version`` counts its documents from 1."""

    id: str
    owner: str
    name: str
    document: str
    version: int
    created: float
    changed: float


def _row(row: Row[tuple[object, ...]]) -> ProjectRow:
    return ProjectRow(**row._mapping)


def add(connection: Connection, owner: str, name: str, document: str, project_id: str | None = None) -> ProjectRow:
    """Keep a new project, under the id of its draft where it has one."""
    now = time.time()
    row = ProjectRow(project_id or fresh_id(now), owner, name, document, 1, now, now)
    connection.execute(insert(projects).values({name: getattr(row, name) for name in ProjectRow.__slots__}))
    return row


def find(connection: Connection, owner: str, project_id: str) -> ProjectRow | None:
    """Return somebody's project; None where there is none of that id."""
    found = connection.execute(select(projects).where(projects.c.id == project_id, projects.c.owner == owner)).first()
    return None if found is None else _row(found)


def page(connection: Connection, owner: str, after: str, limit: int) -> list[ProjectRow]:
    """Return somebody's projects in order of making, those after an id."""
    query = select(projects).where(projects.c.owner == owner, projects.c.id > after)
    return [_row(row) for row in connection.execute(query.order_by(projects.c.id).limit(limit))]


def latest(connection: Connection, owner: str, limit: int) -> list[ProjectRow]:
    """Return somebody's projects, the latest changed first."""
    query = select(projects).where(projects.c.owner == owner)
    return [_row(row) for row in connection.execute(query.order_by(projects.c.changed.desc()).limit(limit))]


def count(connection: Connection, owner: str) -> int:
    """Return how many projects somebody keeps."""
    query = select(func.count()).select_from(projects).where(projects.c.owner == owner)
    return int(connection.execute(query).scalar_one())


def replace(connection: Connection, project_id: str, version: int, name: str, document: str) -> bool:
    """Put a new document in place of one; False where that version is no longer the latest."""
    done = connection.execute(
        update(projects)
        .where(projects.c.id == project_id, projects.c.version == version)
        .values(name=name, document=document, version=version + 1, changed=time.time())
    )
    return done.rowcount == 1


def remove(connection: Connection, project_id: str) -> None:
    """Forget a project, its draft, its plans and their papers.

    Plans go before the project, in the order in which whoever makes a plan anew locks them; one made meanwhile goes
    along with the project.
    """
    connection.execute(delete(drafts).where(drafts.c.project == project_id))
    connection.execute(delete(plans).where(plans.c.project == project_id))
    connection.execute(delete(projects).where(projects.c.id == project_id))
