"""Keys as they are kept (by their hash alone), and this installation's own secrets."""

from __future__ import annotations

import time
from dataclasses import dataclass

from sqlalchemy import Connection, delete, func, insert, select

from api.store.ids import fresh_id
from api.store.tables import keys, secrets


@dataclass(frozen=True, slots=True)
class KeyRow:
    """A key's name and hash."""

    id: str
    name: str
    hash: str
    created: float


def add(connection: Connection, name: str, hashed: str) -> KeyRow:
    """Keep a key; the database refuses a name that is taken."""
    row = KeyRow(fresh_id(), name, hashed, time.time())
    connection.execute(insert(keys).values(id=row.id, name=row.name, hash=row.hash, created=row.created))
    return row


def by_name(connection: Connection, name: str) -> KeyRow | None:
    """Return the key of a name."""
    found = connection.execute(select(keys).where(keys.c.name == name)).first()
    return None if found is None else KeyRow(**found._mapping)


def every(connection: Connection) -> list[KeyRow]:
    """Return all keys by name."""
    return [KeyRow(**row._mapping) for row in connection.execute(select(keys).order_by(keys.c.name))]


def count(connection: Connection) -> int:
    """Return how many keys there are."""
    return int(connection.execute(select(func.count()).select_from(keys)).scalar_one())


def remove(connection: Connection, name: str) -> bool:
    """Forget a key; what was made with it stays. False where there is none of that name."""
    return connection.execute(delete(keys).where(keys.c.name == name)).rowcount == 1


def secret(connection: Connection, name: str, fresh: str) -> str:
    """Return a secret of this installation; ``fresh`` becomes it where there is none yet."""
    found = connection.execute(select(secrets.c.value).where(secrets.c.name == name)).scalar()
    if found is not None:
        return str(found)
    connection.execute(insert(secrets).values(name=name, value=fresh))
    return fresh
