"""Searches on a dask cluster of this machine: progress, papers, and ends asked for."""

from queue import SimpleQueue

import pytest

from api.engines import News, Run
from tests.api.fakes import until
from tests.hard_job import EASY, hard

pytest.importorskip("distributed")


@pytest.fixture(scope="module")
def cluster():
    from api.engines.cluster import Cluster

    engine = Cluster(SimpleQueue(), "local", 1)
    yield engine
    engine.close()


def _order(document, seconds):
    import json

    return json.dumps({"document": json.dumps(document), "seconds": seconds, "seed": 0})


def _next(cluster, run, *kinds) -> News:
    def look():
        while not cluster.news.empty():
            news = cluster.news.get()
            if news is not None and news.run == run and news.message["kind"] in kinds:
                return news
        return None

    return until(look, 90)


def test_a_plan_is_made_and_told(cluster):
    run = Run("easy", 1)
    cluster.begin(run, _order(EASY, 2.0))
    message = _next(cluster, run, "done", "failed", "gone").message
    assert (message["kind"], message["cost"], message["proven"]) == ("done", 60.0, True)
    assert "plan.json" in message["files"]


def test_a_search_ends_when_it_is_asked_to(cluster):
    run = Run("hard", 1)
    cluster.begin(run, _order(hard(1), 300.0))
    _next(cluster, run, "progress")
    cluster.finish(run)
    assert _next(cluster, run, "done", "failed").message["kind"] == "done"


def test_no_scheduler_no_service():
    from api.engines import cluster as module
    from nesting.errors import BadInput

    module_seconds, module._START_SECONDS = module._START_SECONDS, 1
    try:
        with pytest.raises(BadInput, match="no scheduler answers at"):
            module.Cluster(SimpleQueue(), "tcp://127.0.0.1:1", 1)
    finally:
        module._START_SECONDS = module_seconds
