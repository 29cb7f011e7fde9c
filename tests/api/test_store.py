"""The tables on SQLite and on a real PostgreSQL: migrations, fences between servers, text of every kind."""

import json
import multiprocessing
import threading
import time

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import func, select, text

from api.bulletin import Bulletin
from api.jobs import Foreman
from api.store import drafts, erasing, events, files, keys, plans, projects, rack, ticks
from api.store.database import open_store
from api.store.tables import metadata
from nesting.errors import BadInput
from nesting.rack.piece import piece_from
from nesting.rack.rack import Change
from tests.api import phones
from tests.api.fakes import FakeEngine, until
from tests.malformed import BASE


@pytest.fixture(params=["sqlite", "postgresql"])
def both(request, tmp_path):
    """An open store of either kind, empty."""
    address = request.getfixturevalue("postgresql") if request.param == "postgresql" else None
    store = open_store(tmp_path, address)
    with store.writing() as connection:
        for table in reversed(metadata.sorted_tables):
            connection.execute(table.delete())
    yield store
    store.close()


def _asked(store, owner="ada", name="job", **more):
    with store.writing() as connection:
        project = projects.add(connection, owner, name, json.dumps(BASE))
        row, _ = plans.add(
            connection, owner=owner, project=project.id, document=project.document, version=1, seconds=1.0, seed=0,
            **more,
        )  # fmt: skip
    return row


def test_migrations_make_the_tables_that_the_code_expects(both):
    with both.writing() as connection:
        assert compare_metadata(MigrationContext.configure(connection), metadata) == []


def test_opening_again_changes_nothing(both, tmp_path):
    row = _asked(both)
    address = None if both.engine.dialect.name == "sqlite" else both.engine.url.render_as_string(hide_password=False)
    again = open_store(tmp_path, address and address.replace("+psycopg", ""))
    with again.reading() as connection:
        assert plans.find(connection, "ada", row.id) == row
    again.close()


def test_tables_of_a_later_version_are_left_alone(tmp_path):
    store = open_store(tmp_path)
    with store.writing() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    store.close()
    with pytest.raises(BadInput, match="later version"):
        open_store(tmp_path)


def test_a_life_of_a_plan(both):
    row = _asked(both, name="ورشة 🛠️ <b>'; DROP TABLE plans; --")
    with both.writing() as connection:
        assert plans.waiting(connection, time.time()) == [(row.id, "ada")]
        claimed, _ = plans.claim(connection, row.id, "first")
        assert plans.claim(connection, row.id, "second") is None
        assert plans.progress(connection, row.id, claimed.attempt, None, 10.0, "bounds", 0.1)
        assert plans.progress(connection, row.id, claimed.attempt + 1, 1.0, 1.0, "a former life", 0.1) is None
        assert plans.beat(connection, "first") == {row.id: (1, False)}
        assert plans.beat(connection, "second") == {}
        ended = {"cost": 20.0, "cost_bound": 10.0, "proven": False, "summary": "[]"}
        assert plans.finish(connection, row.id, claimed.attempt, plans.DONE, ended)
        files.keep(connection, row.id, {"plan.json": b"{}\x00\xff"})
        assert plans.finish(connection, row.id, claimed.attempt, plans.FAILED, {}) is None
        assert plans.cancel(connection, row.id) is None
    with both.reading() as connection:
        over = plans.find(connection, "ada", row.id)
        assert (over.state, over.cost, over.server) == ("done", 20.0, None)
        assert [event.kind for event in events.after(connection, row.id, 0)] == [
            "queued", "running", "progress", "done",
        ]  # fmt: skip
        assert files.find(connection, row.id, "plan.json").content == b"{}\x00\xff"
        assert plans.counts(connection) == {"done": 1}
    with both.writing() as connection:
        projects.remove(connection, row.project)
        assert files.names(connection, row.id) == []
        assert events.after(connection, row.id, 0) == []


def test_a_change_that_fails_leaves_nothing(both):
    row = _asked(both)

    def fail():
        with both.writing() as connection:
            plans.claim(connection, row.id, "first")
            raise RuntimeError

    with pytest.raises(RuntimeError):
        fail()
    with both.reading() as connection:
        assert plans.find(connection, "ada", row.id).state == "queued"
        assert len(events.after(connection, row.id, 0)) == 1


def test_many_threads_number_events_without_gap(both):
    row = _asked(both)
    with both.writing() as connection:
        plans.claim(connection, row.id, "first")

    def tell():
        for _ in range(5):
            with both.writing() as connection:
                plans.progress(connection, row.id, 1, 1.0, 1.0, "improving", 0.1)

    threads = [threading.Thread(target=tell) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with both.reading() as connection:
        assert [event.seq for event in events.after(connection, row.id, 0)] == list(range(1, 23))


def test_two_servers_share_the_work(both):
    asked = [_asked(both).id for _ in range(12)]
    engines = [FakeEngine(at_once=True), FakeEngine(at_once=True)]
    foremen = [Foreman(both, engine, Bulletin(), f"server {at}", 2, lambda: 9) for at, engine in enumerate(engines)]
    for foreman in foremen:
        foreman.start()

    def all_done():
        with both.reading() as connection:
            return plans.counts(connection) == {"done": len(asked)}

    until(all_done)
    for foreman in foremen:
        foreman.stop()
    assert sorted(run.plan for engine in engines for run in engine.begun) == sorted(asked)


def test_secrets_stay_the_same(both):
    with both.writing() as connection:
        assert keys.secret(connection, "sessions", "one") == "one"
        assert keys.secret(connection, "sessions", "two") == "one"


def test_the_whole_service_on_postgresql(postgresql, tmp_path):
    from starlette.testclient import TestClient

    from api.app import build
    from api.settings import Settings
    from tests.api.conftest import told

    store = open_store(tmp_path, postgresql)
    app = build(Settings(data=tmp_path, database_url=postgresql), store, FakeEngine(at_once=True))
    with TestClient(app, base_url="http://localhost") as client:
        project = client.post("/v1/projects", json=BASE).headers["location"]
        headers = {"idempotency-key": "once"}
        plan = client.post(f"{project}/plans", headers=headers).headers["location"]
        assert client.post(f"{project}/plans", headers=headers).headers["location"] == plan
        until(lambda: client.get(plan).json()["state"] == "done")
        assert [kind for _, kind, _ in told(client.get(f"{plan}/events"))] == ["queued", "running", "done"]
        assert client.get(f"{plan}/plan.zip").status_code == 200
        assert client.delete(project).status_code == 204
        assert client.get(plan).status_code == 404
    store.close()


def test_two_processes_ticking_at_once_lose_no_tick(both, tmp_path):
    row = _asked(both)
    sqlite = both.engine.dialect.name == "sqlite"
    address = None if sqlite else both.engine.url.render_as_string(hide_password=False).replace("+psycopg", "")
    spawn = multiprocessing.get_context("spawn")
    halves = (list(range(1, 41)), list(range(60, 20, -1)))
    two = [spawn.Process(target=phones.tick_all, args=(str(tmp_path), address, row.id, steps)) for steps in halves]
    for phone in two:
        phone.start()
    for phone in two:
        phone.join()
    assert [phone.exitcode for phone in two] == [0, 0]
    with both.reading() as connection:
        assert ticks.done(connection, row.id) == tuple(range(1, 61))


def test_many_who_change_one_rack_at_once_lose_nothing_and_share_no_label(both):
    def add():
        for _ in range(6):
            with both.writing() as connection:
                numbers = rack.hold(connection, "ada")
                piece = piece_from({"length": 31, "width": 9, "thickness": "1/2"}, numbers)
                rack.keep(connection, "ada", Change("", given=(piece,)), numbers)

    threads = [threading.Thread(target=add) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with both.reading() as connection:
        assert list(rack.pieces(connection, "ada")) == [f"R-{n}" for n in range(1, 25)]
        assert len(rack.changes(connection, "ada")) == 24
        assert (rack.count(connection, "ada"), rack.count(connection, "bo")) == (24, 0)


def test_a_rack_remembers_the_latest_changes_alone(both, monkeypatch):
    monkeypatch.setattr(rack, "MOST_REMEMBERED", 3)
    with both.writing() as connection:
        numbers = rack.hold(connection, "ada")
        for n in range(5):
            piece = piece_from({"length": 31, "width": 9, "thickness": "1/2", "note": "ورشة 🛠️"}, numbers)
            rack.keep(connection, "ada", Change(f"change {n}", given=(piece,)), numbers)
    with both.writing() as connection:
        assert [row.change.words for row in rack.changes(connection, "ada")] == ["change 4", "change 3", "change 2"]
        assert [rack.undo(connection, "ada").words for _ in range(3)] == ["change 4", "change 3", "change 2"]
        with pytest.raises(BadInput, match="nothing to take back"):
            rack.undo(connection, "ada")
        assert list(rack.pieces(connection, "ada")) == ["R-1", "R-2"]


def test_somebody_is_erased_from_every_table_and_nobody_else(both):
    """Each table names its owner or hangs on one that does, else rows of the erased would stay."""
    for owner in ("ada", "bo"):
        row = _asked(both, owner)
        with both.writing() as connection:
            files.keep(connection, row.id, {"plan.json": b"{}"})
            ticks.tick(connection, row.id, (1, 2))
            ticks.spoil(connection, row.id, ticks.SpoilRow("A1", (), ""))
            ticks.measure(connection, row.id, ticks.MeasureRow("A2", 1.0, 1.0))
            drafts.add(connection, owner, "draft", "{}")
            numbers = rack.hold(connection, owner)
            piece = piece_from({"length": 31, "width": 9, "thickness": "1/2"}, numbers)
            rack.keep(connection, owner, Change("", given=(piece,)), numbers)
    kept_for_all = {"keys", "secrets"}
    with both.writing() as connection:
        before = {table.name: _rows(connection, table) for table in metadata.sorted_tables}
        assert {name for name, count in before.items() if not count} <= kept_for_all
        assert erasing.erase(connection, "ada") == 6
        after = {table.name: _rows(connection, table) for table in metadata.sorted_tables}
    assert {name: 2 * count for name, count in after.items()} == before


def _rows(connection, table):
    return connection.execute(select(func.count()).select_from(table)).scalar_one()
