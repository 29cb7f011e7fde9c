"""The foreman: turns, deaths, silence of other servers, ends; and that nothing is lost whatever dies."""

import json
import time

import pytest
from sqlalchemy import update

from api import jobs
from api.bulletin import Bulletin
from api.jobs import Foreman
from api.store import files, plans, projects
from api.store.tables import plans as table
from tests.api.fakes import FakeEngine, done, progress, until
from tests.malformed import BASE


class Workshop:
    """A store with one project an owner, and foremen over it."""

    def __init__(self, store):
        self.store = store
        self.foremen = []

    def ask(self, owner="ada", seconds=10.0):
        with self.store.writing() as connection:
            project = projects.add(connection, owner, "job", json.dumps(BASE))
            row, _ = plans.add(
                connection, owner=owner, project=project.id, document=project.document, version=1, seconds=seconds,
                seed=0,
            )  # fmt: skip
        return row.id

    def foreman(self, server="first", size=1, each=9, **options):
        engine = FakeEngine(**options)
        foreman = Foreman(self.store, engine, Bulletin(), server, size, lambda: each)
        self.foremen.append(foreman)
        foreman.start()
        return foreman, engine

    def row(self, plan, owner="ada"):
        with self.store.reading() as connection:
            return plans.find(connection, owner, plan)

    def until_state(self, plan, state, owner="ada"):
        return until(lambda: (row := self.row(plan, owner)).state == state and row)

    def change(self, plan, **values):
        with self.store.writing() as connection:
            connection.execute(update(table).where(table.c.id == plan).values(**values))


@pytest.fixture
def workshop(store, monkeypatch):
    monkeypatch.setattr(jobs, "BEAT", 0.05)
    made = Workshop(store)
    yield made
    for foreman in made.foremen:
        foreman.stop()


def test_owners_take_turns(workshop):
    asked = [workshop.ask("ada") for _ in range(3)] + [workshop.ask("bo") for _ in range(2)]
    _, engine = workshop.foreman(at_once=True)
    until(lambda: len(engine.begun) == 5)
    order = [run.plan for run in engine.begun]
    assert order == [asked[0], asked[3], asked[1], asked[4], asked[2]]


def test_a_place_is_kept_for_somebody_else(workshop):
    for _ in range(3):
        workshop.ask("ada")
    foreman, engine = workshop.foreman(size=2, each=1)
    until(lambda: len(engine.begun) == 1)
    late = workshop.ask("bo")
    foreman.wake()
    until(lambda: len(engine.begun) == 2)
    assert engine.begun[1].plan == late


def test_a_search_that_dies_is_begun_anew(workshop):
    plan = workshop.ask()
    _, engine = workshop.foreman()
    until(lambda: engine.begun)
    engine.say(engine.begun[0], progress())
    engine.say(engine.begun[0], {"kind": "gone", "reason": "it was killed"})
    until(lambda: len(engine.begun) == 2)
    row = workshop.row(plan)
    assert (row.state, row.attempt, row.deaths, row.cost) == ("running", 2, 1, None)
    engine.say(engine.begun[0], done(cost=99.0))  # the dead speak: not heard
    engine.say(engine.begun[1], done())
    assert workshop.until_state(plan, "done").cost == 12.5
    with workshop.store.reading() as connection:
        assert "plan.json" in files.names(connection, plan)


def test_a_search_that_always_dies_is_given_up(workshop, monkeypatch):
    monkeypatch.setattr(jobs, "MOST_DEATHS", 2)
    plan = workshop.ask()
    _, engine = workshop.foreman()
    for count in (1, 2):
        until(lambda count=count: len(engine.begun) == count)
        engine.say(engine.begun[-1], {"kind": "gone", "reason": "it was killed"})
    row = workshop.until_state(plan, "failed")
    assert json.loads(row.problem)["detail"] == "its search died 2 times; the last time it was killed"


def test_a_server_takes_up_what_its_former_life_left(workshop):
    plan = workshop.ask()
    with workshop.store.writing() as connection:
        plans.claim(connection, plan, "first")
    _, engine = workshop.foreman("first")
    until(lambda: engine.begun)
    assert (engine.begun[0].plan, engine.begun[0].attempt) == (plan, 2)


def test_another_servers_work_is_left_alone_until_it_falls_silent(workshop):
    plan = workshop.ask()
    with workshop.store.writing() as connection:
        plans.claim(connection, plan, "second")
    _, engine = workshop.foreman("first")
    time.sleep(0.3)
    assert engine.begun == []
    workshop.change(plan, heartbeat=time.time() - jobs.SILENT - 1)
    until(lambda: engine.begun)
    row = workshop.row(plan)
    assert (row.state, row.server, row.attempt) == ("running", "first", 2)


def test_two_servers_never_work_on_one_plan(workshop):
    asked = [workshop.ask() for _ in range(20)]
    _, one = workshop.foreman("first", at_once=True, size=2)
    _, two = workshop.foreman("second", at_once=True, size=2)
    for plan in asked:
        workshop.until_state(plan, "done")
    assert sorted(run.plan for run in one.begun + two.begun) == sorted(asked)


def test_a_plan_cancelled_elsewhere_stops_here(workshop):
    plan = workshop.ask()
    _, engine = workshop.foreman()
    until(lambda: engine.begun)
    with workshop.store.writing() as connection:
        plans.cancel(connection, plan)
    until(lambda: engine.killed == engine.begun)


def test_a_wish_to_finish_reaches_the_search_from_elsewhere(workshop):
    plan = workshop.ask()
    _, engine = workshop.foreman()
    until(lambda: engine.begun)
    with workshop.store.writing() as connection:
        assert plans.finish_early(connection, plan)
    until(lambda: engine.finished == engine.begun)


def test_a_search_far_beyond_its_time_is_ended(workshop, monkeypatch):
    monkeypatch.setattr(jobs, "_OVERTIME", 0.0)
    plan = workshop.ask(seconds=0.05)
    _, engine = workshop.foreman()
    row = workshop.until_state(plan, "failed")
    assert engine.killed == engine.begun
    assert "longer" in json.loads(row.problem)["detail"]


def test_an_ordered_end_lets_plans_wait_for_the_next_start(workshop):
    plan = workshop.ask()
    foreman, engine = workshop.foreman()
    until(lambda: engine.begun)
    foreman.stop()
    row = workshop.row(plan)
    assert (row.state, row.deaths, row.server, engine.closed) == ("queued", 0, None, True)
    assert not foreman.alive


def test_news_that_could_not_be_kept_is_kept_later(workshop, monkeypatch):
    from sqlalchemy.exc import OperationalError

    plan = workshop.ask()
    foreman, engine = workshop.foreman()
    until(lambda: engine.begun)
    keep, failures = files.keep, []

    def full(*arguments):
        if len(failures) < 2:
            failures.append(1)
            raise OperationalError("INSERT", {}, Exception("database or disk is full"))
        keep(*arguments)

    monkeypatch.setattr(files, "keep", full)
    monkeypatch.setattr(jobs, "_PAUSE_AFTER_TROUBLE", 0.01)
    engine.say(engine.begun[0], done())
    workshop.until_state(plan, "done")
    assert len(failures) == 2
    assert foreman.alive


def test_a_claim_that_was_not_begun_waits_again(workshop):
    """The storage failed between the claim and the start: the row is ours, the search is not."""
    _, engine = workshop.foreman("first")
    plan = workshop.ask()
    workshop.change(plan, state="running", server="first", attempt=7, heartbeat=time.time())
    until(lambda: engine.begun)
    assert (engine.begun[0].plan, engine.begun[0].attempt) == (plan, 8)
