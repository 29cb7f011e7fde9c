"""Events of a plan: all of them with ids, again from any of them, ending with the plan."""

import pytest

from api.limits import Limits
from api.routes import events
from tests.api.conftest import told
from tests.api.fakes import done, progress, until


@pytest.fixture
def finished(service):
    """A plan that is over, with progress on the way."""
    plan = service.plan()
    run = service.running(plan)
    for cost in (30.0, 20.0):
        service.engine.say(run, progress(cost=cost))
    service.engine.say(run, done())
    service.state(plan, "done")
    return plan


def test_all_that_happened_is_told_in_order(service, finished):
    answer = service.client.get(f"{finished}/events")
    assert answer.headers["content-type"].startswith("text/event-stream")
    heard = told(answer)
    assert [(id_, kind) for id_, kind, _ in heard] == [
        ("1", "queued"), ("2", "running"), ("3", "progress"), ("4", "progress"), ("5", "done"),
    ]  # fmt: skip
    assert heard[3][2] == {
        "state": "running", "elapsed": 0.5, "cost": 20.0, "cost_bound": 10.0, "phase": "improving",
    }  # fmt: skip
    assert heard[4][2] == {"state": "done", "cost": 12.5, "cost_bound": 12.5, "proven": True}


@pytest.mark.parametrize(("last", "rest"), [("0", 5), ("3", 2), ("four", 5), ("-1", 5), ("", 5)])
def test_a_stream_goes_on_after_the_last_event_heard(service, finished, last, rest):
    heard = told(service.client.get(f"{finished}/events", headers={"last-event-id": last}))
    assert [id_ for id_, _, _ in heard] == ["1", "2", "3", "4", "5"][-rest:]


def test_who_has_heard_all_is_told_not_to_come_again(service, finished):
    assert service.client.get(f"{finished}/events", headers={"last-event-id": "5"}).status_code == 204


def test_news_comes_while_one_listens(service):
    plan = service.plan()
    run = service.running(plan)
    heard = []

    def listen():
        heard.append(told(service.client.get(f"{plan}/events")))

    import threading

    thread = threading.Thread(target=listen)
    thread.start()
    until(lambda: service.parts.bulletin.streams == 1)
    for cost in (30.0, 20.0):
        service.engine.say(run, progress(cost=cost))
    until(lambda: service.client.get(plan).json()["cost"] == 20.0)
    service.client.delete(plan)
    thread.join(20)
    assert [kind for _, kind, _ in heard[0]] == ["queued", "running", "progress", "progress", "cancelled"]
    assert service.parts.bulletin.streams == 0


def test_what_another_server_writes_is_found_in_the_table(service, monkeypatch):
    """Events that were not posted here, as from another server on the same database."""
    import threading

    from api.store import plans

    monkeypatch.setattr(events, "LOOK_AGAIN", 0.05)
    plan = service.plan()
    run = service.running(plan)
    heard = []
    thread = threading.Thread(target=lambda: heard.append(told(service.client.get(f"{plan}/events"))))
    thread.start()
    until(lambda: service.parts.bulletin.streams == 1)
    with service.parts.store.writing() as connection:
        plans.progress(connection, run.plan, run.attempt, 20.0, 10.0, "elsewhere", 1.0)
    with service.parts.store.writing() as connection:
        plans.cancel(connection, run.plan)
    thread.join(20)
    assert [kind for _, kind, _ in heard[0]] == ["queued", "running", "progress", "cancelled"]


def test_streams_end_when_the_server_does(service):
    import threading

    plan = service.plan()
    service.running(plan)
    heard = []
    thread = threading.Thread(target=lambda: heard.append(told(service.client.get(f"{plan}/events"))))
    thread.start()
    until(lambda: service.parts.bulletin.streams == 1)
    service.parts.bulletin.close()
    thread.join(20)
    assert [kind for _, kind, _ in heard[0]] == ["queued", "running"]


def test_streams_have_a_limit(serving):
    import threading

    service = serving(limits=Limits(streams=1))
    plan = service.plan()
    service.running(plan)
    thread = threading.Thread(target=lambda: service.client.get(f"{plan}/events"))
    thread.start()
    until(lambda: service.parts.bulletin.streams == 1)
    answer = service.client.get(f"{plan}/events")
    assert (answer.status_code, answer.headers["retry-after"]) == (503, "5")
    service.client.delete(plan)
    thread.join(20)
