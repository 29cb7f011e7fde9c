"""A real cluster on this machine: a worker killed in mid-run loses nothing; plans are those planned alone."""

import os
import signal
import sys
import threading
import time
from pathlib import Path

import pytest

from nesting.compare import cluster as module
from nesting.compare.alternatives import Asked
from nesting.compare.cluster import cluster
from nesting.compare.comparison import compare
from nesting.errors import BadInput, Bug
from nesting.make import plan_project
from nesting.plan import plan_to_json
from tests.compare import acts
from tests.compare.small import small_job

ROOT = str(Path(__file__).resolve().parents[2])


@pytest.fixture(scope="module")
def running():
    """A scheduler and two workers of one thread, each a process of its own; yields the scheduler's address."""
    import dask
    from distributed import LocalCluster

    before = os.environ.get("PYTHONPATH")
    os.environ["PYTHONPATH"] = os.pathsep.join([ROOT, *([before] if before else [])])
    quiet = {"distributed.admin.tick.limit": "60s", "distributed.nanny.environ": {"PYTHONPATH": ROOT}}
    with (
        dask.config.set(quiet),
        LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None, silence_logs=50) as local,
    ):
        yield local.scheduler_address
    if before is None:
        del os.environ["PYTHONPATH"]
    else:
        os.environ["PYTHONPATH"] = before


def _number(mark: Path) -> int:
    for _ in range(1200):
        if mark.exists() and mark.read_text():
            return int(mark.read_text())
        time.sleep(0.05)
    raise AssertionError("the task never began")


def test_a_worker_killed_in_mid_run_loses_nothing(running, tmp_path):
    mark = tmp_path / "mark"
    heard = {}
    with cluster(running) as one:
        threading.Thread(target=lambda: os.kill(_number(mark), signal.SIGKILL)).start()
        answers = one.run([str(mark)], threading.Event(), act=acts.hold_once)
        assert answers == ["answered"]
        assert one.run(["a", "b", "c"], threading.Event(), heard.__setitem__, act=acts.shout) == ["A", "B", "C"]
    assert heard == {0: "A", 1: "B", 2: "C"}


def test_plans_are_those_planned_alone(running):
    with cluster(running) as one:
        made = compare(small_job(), Asked(cleat_height=("3", "3 1/2")), seconds=20, run=one.run)
    for row in made.rows:
        alone = plan_project(row.alternative.project, seconds=20, seed=0)
        assert plan_to_json(row.plan) == plan_to_json(alone.plan)


def test_stopping_and_errors(running, tmp_path):
    cancel, marks = threading.Event(), [tmp_path / f"{n}" for n in range(3)]
    with cluster(running) as one:

        def stop():
            while sum(mark.exists() for mark in marks) < 2:
                time.sleep(0.05)
            cancel.set()

        threading.Thread(target=stop).start()
        answers = one.run([str(mark) for mark in marks], cancel, act=acts.until_stopped)
        assert sorted(answers, key=str) == [None, "stopped in time", "stopped in time"]
        with pytest.raises(Bug, match="no bread"):
            one.run(["bread"], threading.Event(), act=acts.fail)


def test_no_cluster_there_and_no_library(monkeypatch):
    monkeypatch.setattr(module, "START_SECONDS", 0.3)
    with pytest.raises(BadInput, match=r"no scheduler answers at tcp://127\.0\.0\.1:9"), cluster("tcp://127.0.0.1:9"):
        pass
    for address in ("", "localhost", "http://a:1", "tcp://a", "tcp://a:b"):
        with pytest.raises(BadInput, match="not the address of a scheduler"), cluster(address):
            pass
    monkeypatch.setattr(module.importlib.util, "find_spec", lambda name: None)
    with pytest.raises(BadInput, match=r"pip install 'cleatwright\[cluster\]'"), cluster("tcp://127.0.0.1:9"):
        pass
    assert "distributed" in sys.modules  # it is there; only its absence was told
