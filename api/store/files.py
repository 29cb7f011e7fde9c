"""The papers of a finished plan: each a name and its bytes, made once."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass

from sqlalchemy import Connection, insert, select

from api.store.tables import files


@dataclass(frozen=True, slots=True)
class FileRow:
    """A paper with its checksum (SHA-256)."""

    name: str
    sha256: str
    content: bytes


def keep(connection: Connection, plan_id: str, papers: Mapping[str, bytes]) -> None:
    """Keep the papers of a plan."""
    connection.execute(
        insert(files),
        [
            {"plan": plan_id, "name": name, "sha256": hashlib.sha256(content).hexdigest(), "content": content}
            for name, content in papers.items()
        ],
    )


def names(connection: Connection, plan_id: str) -> list[str]:
    """Return the names of a plan's papers in order."""
    query = select(files.c.name).where(files.c.plan == plan_id).order_by(files.c.name)
    return [str(name) for name in connection.execute(query).scalars()]


def find(connection: Connection, plan_id: str, name: str) -> FileRow | None:
    """Return one paper; None where there is none of that name."""
    query = select(files.c.name, files.c.sha256, files.c.content)
    found = connection.execute(query.where(files.c.plan == plan_id, files.c.name == name)).first()
    return None if found is None else FileRow(**found._mapping)


def every(connection: Connection, plan_id: str) -> list[FileRow]:
    """Return all papers of a plan by name."""
    query = select(files.c.name, files.c.sha256, files.c.content).where(files.c.plan == plan_id)
    return [FileRow(**row._mapping) for row in connection.execute(query.order_by(files.c.name))]
