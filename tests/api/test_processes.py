"""Real searches in real processes: done, impossible, cancelled, killed; ended in order, and nothing left behind."""

import json
import os
import signal
import sys
import threading

import pytest

from nesting.check import check_plan
from nesting.plan import plan_from_json
from tests.api.conftest import told
from tests.api.fakes import until
from tests.api.processes import Server, alive
from tests.hard_job import EASY, hard
from tests.leisure import LEISURE

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="looks at /proc")


@pytest.fixture(scope="module")
def served(tmp_path_factory):
    with Server(tmp_path_factory.mktemp("served") / "data", "--jobs", "2") as server:
        yield server


@pytest.fixture
def server(served):
    """The server once the searches of other tests are gone: one that has told its end is there a little longer."""
    until(lambda: not served.runners())
    return served


def test_a_plan_is_made_checked_and_told(server):
    plan = server.ask(server.project(EASY))
    shown = server.wait(plan, "done")
    assert (shown["cost"], shown["cost_bound"], shown["proven"]) == (60.0, 60.0, True)
    made = plan_from_json(server.client.get(f"{plan}/plan.json").text)
    assert check_plan(made).faults == ()
    assert shown["summary"]
    assert all(server.client.get(f"{plan}/{name}").status_code == 200 for name in shown["files"])
    heard = told(server.client.get(f"{plan}/events"))
    assert [heard[0][1], heard[1][1], heard[-1][1]] == ["queued", "running", "done"]


def test_a_job_that_cannot_be_done_says_why(server):
    too_long = {**EASY, "part": [{"name": "beam", "length": 200, "width": 9, "thickness": "3/4"}]}
    shown = server.wait(server.ask(server.project(too_long)), "failed")
    assert shown["problem"]["type"] == "/problems/cannot-be-done"
    (error,) = shown["problem"]["errors"]
    assert error["detail"].startswith("part 'beam', 200 × 9, fits no stock")


def test_cancelling_ends_the_search_long_before_its_time(server):
    plan = server.ask(server.project(hard()), 120)
    server.wait(plan, "running")
    runners = until(server.runners)
    assert server.client.delete(plan).json()["state"] == "cancelled"
    until(lambda: not alive(runners), LEISURE)  # 0.05 s where the machine is idle


def test_good_enough_gives_the_best_plan_so_far(server):
    plan = server.ask(server.project(hard(1)), 120)
    until(lambda: server.client.get(plan).json()["cost"], 90)
    assert server.client.post(f"{plan}/finish").status_code == 202
    shown = server.wait(plan, "done")
    assert shown["proven"] is False


def test_a_search_killed_is_begun_anew(server):
    project = server.project(hard())
    plan = server.ask(project, 60)
    server.wait(plan, "running")
    for runner in until(server.runners):
        os.kill(runner, signal.SIGKILL)
    until(lambda: server.client.get(plan).json()["attempt"] == 2)
    server.client.delete(plan)


@pytest.mark.parametrize("ending", [signal.SIGTERM, signal.SIGINT], ids=["asked", "ctrl-c"])
def test_an_ordered_end_leaves_nothing_running_and_loses_nothing(tmp_path, ending):
    data = tmp_path / "data"
    with Server(data, "--jobs", "1") as first:
        project = first.project(hard())
        plan = first.ask(project, 60)
        first.wait(plan, "running")
        until(first.runners)
        family = first.family()
        with first.client.stream("GET", f"{plan}/events"):  # somebody listens
            first.process.send_signal(ending)
            assert first.process.wait(60) == 0
        until(lambda: not alive(family), LEISURE)
    from contextlib import closing

    from api.store import plans
    from api.store.database import open_store

    with closing(open_store(data)) as store, store.reading() as connection:
        row = plans.find(connection, "local", plan.rpartition("/")[2])
    assert row is not None
    assert (row.state, row.deaths) == ("queued", 0)


def test_killed_outright_nothing_is_lost(tmp_path):
    """The server, then server and search together; ``benchmarks/kills.py`` does it fifty times at random moments."""
    data = tmp_path / "data"
    with Server(data, "--jobs", "1") as server:
        easy, hard_one = server.project(EASY), server.project(hard())
        finished = server.ask(easy)
        server.wait(finished, "done")
        paper = server.client.get(f"{finished}/plan.json").text
        plan = server.ask(hard_one, 60)
        server.wait(plan, "running")
        until(server.runners)
        family = server.family()
        server.kill()
    until(lambda: not alive(family))
    with Server(data, "--jobs", "1") as server:
        assert server.client.get(f"{finished}/plan.json").text == paper
        until(lambda: server.client.get(plan).json()["attempt"] == 2)
        runners = until(server.runners)
        family = server.family()
        for runner in runners:
            os.kill(runner, signal.SIGKILL)
        server.kill()
    until(lambda: not alive(family))
    with Server(data, "--jobs", "1") as server:
        assert [server.client.get(project).json() for project in (easy, hard_one)] == [EASY, hard()]
        assert server.client.get(f"{finished}/plan.json").text == paper
        until(lambda: server.client.get(plan).json()["attempt"] == 3)
        kinds = [kind for _, kind, _ in told(server.client.get(f"{finished}/events"))]
        assert (kinds[0], kinds[-1]) == ("queued", "done")


def test_a_runner_tells_the_latest_even_where_nothing_follows():
    """The first plan comes right after the first bound, and then nothing for long: it must be told all the same."""
    from api.runner import carry_out

    told, cancel = [], threading.Event()

    def tell(message):
        told.append(message)
        if message["cost"] is not None:
            cancel.set()

    last = carry_out(json.dumps({"document": json.dumps(hard(1)), "seconds": 100, "seed": 0}), cancel, tell)
    assert (last["kind"], last["proven"]) == ("done", False)
    assert told[-1]["cost"] == last["cost"]


def test_a_bug_ends_its_plan_alone():
    from api.runner import carry_out

    last = carry_out(json.dumps({"document": "{", "seconds": 1, "seed": 0}), threading.Event(), lambda _: None)
    assert last["kind"] == "failed"
    assert last["problem"]["detail"].startswith("This is a bug in cleatwright, not a fault of yours: BadInput: ")
    assert "Traceback" in last["traceback"]
