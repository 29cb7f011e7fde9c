"""Where the tables live: SQLite in a folder, or PostgreSQL; how a transaction begins; migrations."""

from __future__ import annotations

import contextlib
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

from sqlalchemy import Connection, Engine, create_engine, event, text
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError, SQLAlchemyError

from nesting.errors import BadInput, Fault

FILE: Final = "cleatwright.sqlite3"
_BUSY_SECONDS: Final = 10
_MIGRATING: Final = 0x636C6561  # "clea": the advisory lock of a migration
ACCEPTED: Final = "an address such as postgresql://user@host/database, or nothing for SQLite in the data folder"


class Store:
    """A database with our tables, up to date; short transactions, one writer at a time where it is SQLite."""

    def __init__(self, engine: Engine) -> None:
        self.engine = engine
        self._turn = threading.Lock() if engine.dialect.name == "sqlite" else contextlib.nullcontext()

    @contextlib.contextmanager
    def reading(self) -> Iterator[Connection]:
        """Give a connection to read by."""
        with self.engine.connect() as connection:
            yield connection

    @contextlib.contextmanager
    def writing(self) -> Iterator[Connection]:
        """Give a connection whose work is kept as a whole, or not at all where an error leaves the block."""
        with self._turn, self.engine.connect() as plain:
            connection = plain.execution_options(writes=True)
            with connection.begin():
                yield connection

    def close(self) -> None:
        """Close every connection."""
        self.engine.dispose()


def open_store(data: Path, database_url: str | None = None) -> Store:
    """Open the database, making or migrating its tables.

    Raises :class:`~nesting.errors.BadInput` where the address is none, no server answers there, its driver is not
    installed, or the tables were made by a later version; ``OSError`` where the data folder cannot be made.
    """
    data.mkdir(parents=True, exist_ok=True, mode=0o700)
    engine = engine_for(data, database_url)
    try:
        with engine.connect() as connection:
            _migrate(connection)
    except SQLAlchemyError as error:
        engine.dispose()
        said = str(getattr(error, "orig", None) or error).strip().splitlines()
        raise _refused(f"the database cannot be used: {said[0] if said else type(error).__name__}") from None
    except BadInput:
        engine.dispose()
        raise
    return Store(engine)


def engine_for(data: Path, database_url: str | None = None) -> Engine:
    """Return the engine of a database, nothing opened yet; raises :class:`~nesting.errors.BadInput`."""
    if database_url is None:
        made = create_engine(
            URL.create("sqlite", database=str(data / FILE)),
            connect_args={"timeout": _BUSY_SECONDS, "check_same_thread": False},
            pool_size=10,
            max_overflow=40,
        )
        event.listen(made, "connect", _prepare_sqlite)
        event.listen(made, "begin", _begin_sqlite)
        return made
    try:
        url = make_url(database_url)
    except ArgumentError:
        raise _refused("is not the address of a database") from None
    if url.drivername not in ("postgres", "postgresql", "postgresql+psycopg"):
        raise _refused(f"{url.drivername!r} is no database this can use")
    try:
        return create_engine(
            url.set(drivername="postgresql+psycopg"), pool_size=10, max_overflow=40, pool_pre_ping=True
        )
    except ModuleNotFoundError:
        raise _refused("PostgreSQL needs its driver: pip install 'cleatwright[postgresql]'") from None


def _refused(message: str) -> BadInput:
    return BadInput([Fault("DATABASE_URL", "", message, ACCEPTED)])


def _prepare_sqlite(raw: Any, _record: object) -> None:
    raw.isolation_level = None  # transactions begin where we say, not where the driver guesses
    cursor = raw.cursor()
    for pragma in (
        f"busy_timeout = {_BUSY_SECONDS * 1000}",
        "journal_mode = WAL",
        "synchronous = NORMAL",
        "foreign_keys = ON",
    ):
        cursor.execute(f"PRAGMA {pragma}")
    cursor.close()


def _begin_sqlite(connection: Connection) -> None:
    writes = connection.get_execution_options().get("writes", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")  # a reader turned writer could be refused


def _migrate(connection: Connection) -> None:
    from alembic import command
    from alembic.util import CommandError

    from api.store.migrations import config

    postgres = connection.dialect.name == "postgresql"
    writing = connection.execution_options(writes=True)
    with writing.begin():
        if postgres:  # two servers that start at once take turns
            writing.execute(text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": _MIGRATING})
        try:
            command.upgrade(config(writing), "head")
        except CommandError:
            raise _refused("its tables were made by a later version of this program") from None
