"""Who waits for whom on PostgreSQL: two changes at once are made one after the other, never each waiting for the other.

SQLite has one writer at a time. PostgreSQL ends a deadlock by refusing one of the two changes.
"""

from __future__ import annotations

import contextlib
import json
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from sqlalchemy import Connection, text
from sqlalchemy.exc import OperationalError

from api.store import plans, projects, rack, ticks
from api.store.database import Store, open_store
from api.store.plans import PlanRow
from nesting.rack.piece import piece_from
from nesting.rack.rack import Change, Numbers
from tests.api.fakes import until
from tests.malformed import BASE

Act = Callable[[Connection], object]


@pytest.fixture
def real(postgresql: str, tmp_path: Path) -> Iterator[Store]:
    with contextlib.closing(open_store(tmp_path, postgresql)) as store:
        yield store


def _plan(store: Store) -> PlanRow:
    with store.writing() as connection:
        return _add(connection, projects.add(connection, "ada", "job", json.dumps(BASE)).id)


def _add(connection: Connection, project: str, replaces: str | None = None) -> PlanRow:
    return plans.add(
        connection, owner="ada", project=project, document="{}", version=1, seconds=1.0, seed=0, replaces=replaces
    )[0]


def _both(store: Store, first: Act, then: Act, other: Act) -> None:
    """Do ``first`` and ``then`` in one transaction; in between ``other`` begins in another and comes to wait for it."""
    with ThreadPoolExecutor(1) as threads:
        with store.writing() as connection:
            first(connection)
            waiting = threads.submit(_alone, store, other)
            until(lambda: _waits(store) or waiting.done())
            then(connection)
        waiting.result()


def _alone(store: Store, act: Act, patience: str = "0") -> None:
    with store.writing() as connection:
        connection.execute(text(f"SET LOCAL lock_timeout = '{patience}'"))
        act(connection)


def _waits(store: Store) -> bool:
    with store.reading() as connection:
        return bool(connection.execute(text("SELECT count(*) FROM pg_locks WHERE NOT granted")).scalar_one())


def test_holding_a_plan_keeps_holders_out_but_no_insert_that_names_it(real: Store) -> None:
    """The insert looks whether its plan is there; the holder may wait for the row inserted: a deadlock, else."""
    row = _plan(real)
    with real.writing() as holder:
        ticks.hold(holder, row.id)
        _alone(real, lambda other: ticks.tick(other, row.id, (30,)), patience="300ms")
        with pytest.raises(OperationalError, match="lock timeout"):
            _alone(real, lambda other: ticks.hold(other, row.id), patience="300ms")
        ticks.tick(holder, row.id, (30, 31))
    with real.reading() as connection:
        assert ticks.done(connection, row.id) == (30, 31)


def test_a_project_deleted_while_its_plan_is_made_anew_takes_both_along(real: Store) -> None:
    row = _plan(real)
    _both(
        real,
        first=lambda connection: ticks.hold(connection, row.id),
        then=lambda connection: _add(connection, row.project, replaces=row.id),
        other=lambda connection: projects.remove(connection, row.project),
    )
    with real.reading() as connection:
        assert projects.find(connection, "ada", row.project) is None
        assert plans.page(connection, row.project, "", 9) == []


def test_a_rack_forgotten_while_a_piece_is_taken_is_empty(real: Store) -> None:
    with real.writing() as connection:
        numbers = rack.hold(connection, "ada")
        piece = piece_from({"length": 31, "width": 9, "thickness": "1/2"}, numbers)
        rack.keep(connection, "ada", Change("added", given=(piece,)), numbers)

    held: list[Numbers] = []
    _both(
        real,
        first=lambda connection: held.append(rack.hold(connection, "ada")),
        then=lambda connection: rack.keep(connection, "ada", Change("took", taken=(piece,)), held[0]),
        other=lambda connection: rack.remove(connection, "ada"),
    )
    with real.reading() as connection:
        assert rack.pieces(connection, "ada") == {}
        assert rack.changes(connection, "ada") == []
