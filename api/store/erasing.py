"""Forgetting somebody: every row that is theirs, in whatever table."""

from __future__ import annotations

from sqlalchemy import Connection, delete

from api.store.tables import metadata


def erase(connection: Connection, owner: str) -> int:
    """Delete all that belongs to an owner, with what hangs on it; return how many rows bore their name.

    A table has an ``owner`` or hangs on one that has, by a foreign key that deletes along.
    """
    count = 0
    for table in reversed(metadata.sorted_tables):
        if "owner" in table.c:
            count += connection.execute(delete(table).where(table.c.owner == owner)).rowcount
    return count
