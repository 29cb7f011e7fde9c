"""Plans as jobs: asked for once, looked at, finished early, cancelled; the queue refuses politely."""

import json

import pytest

from api import jobs
from api.limits import Limits
from tests.api.fakes import done, progress, until
from tests.malformed import changed


def test_a_plan_from_asking_to_papers(service):
    project = service.project()
    answer = service.client.post(f"{project}/plans", json={"seconds": 7.5, "seed": 3})
    assert answer.status_code == 202
    shown = answer.json()
    assert shown["state"] in ("queued", "running")
    assert answer.headers["location"] == f"/v1/plans/{shown['id']}"
    plan = answer.headers["location"]
    run = service.running(plan)
    assert {key: service.engine.orders[0][key] for key in ("seconds", "seed")} == {"seconds": 7.5, "seed": 3}
    assert json.loads(service.engine.orders[0]["document"]) == service.client.get(project).json()
    service.engine.say(run, progress(cost=20.0, bound=10.0))
    shown = until(lambda: (now := service.client.get(plan).json())["cost"] and now)
    assert (shown["state"], shown["cost"], shown["cost_bound"], shown["proven"]) == ("running", 20.0, 10.0, None)
    assert service.client.get(f"{plan}/plan.json").json()["type"] == "/problems/not-ready"
    service.engine.say(run, done())
    shown = service.state(plan, "done")
    assert (shown["cost"], shown["cost_bound"], shown["proven"]) == (12.5, 12.5, True)
    assert {"plan.json", "steps.csv", "buy.csv", "layouts/A1.svg"} <= set(shown["files"])
    assert service.client.get(f"{project}/plans").json()["plans"] == [shown]


def test_the_plan_is_for_the_project_as_it_was(serving):
    service = serving(jobs=1)
    project = service.project()
    service.running(service.plan(project))
    waiting = service.plan(project)
    tag = service.client.get(project).headers["etag"]
    assert service.client.put(project, json=changed(part__0__length="30"), headers={"if-match": tag}).status_code == 200
    shown = service.client.get(waiting).json()
    assert (shown["state"], shown["project_version"], shown["ahead"]) == ("queued", 1, 0)
    service.engine.say(service.engine.begun[0], done())
    service.running(waiting)
    assert json.loads(service.engine.orders[1]["document"])["part"][0]["length"] == "24"


def test_the_same_request_sent_twice_makes_one_plan(service):
    project = service.project()
    first = service.plan(project, **{"idempotency-key": "once"})
    assert service.plan(project, **{"idempotency-key": "once"}) == first
    assert service.plan(project, **{"idempotency-key": "twice"}) != first
    answer = service.client.post(f"{project}/plans", json={"seconds": 9}, headers={"idempotency-key": "once"})
    assert (answer.status_code, answer.json()["type"]) == (422, "/problems/key-used")
    for key in ("", " ", "é".encode(), "x" * 201):
        answer = service.client.post(f"{project}/plans", headers={"idempotency-key": key})
        assert (answer.status_code, answer.json()["type"]) == (422, "/problems/bad-input")


@pytest.mark.parametrize("state", ["queued", "running"])
def test_cancelling_takes_effect_at_once(serving, state, monkeypatch):
    """Whoever works on it is woken: by the next look at the tables alone it would take ten minutes."""
    monkeypatch.setattr(jobs, "BEAT", 600.0)
    service = serving(jobs=1)
    project = service.project()
    plan = service.plan(project)
    run = service.running(plan)
    if state == "queued":
        plan = service.plan(project)
    answer = service.client.delete(plan)
    assert (answer.status_code, answer.json()["state"]) == (200, "cancelled")
    if state == "running":
        until(lambda: service.engine.killed == [run])
    service.engine.say(run, done())  # too late
    assert service.client.delete(plan).json()["state"] == "cancelled"
    assert service.client.get(f"{plan}/plan.json").status_code == 409
    assert service.client.post(f"{plan}/finish").json()["type"] == "/problems/already-over"


def test_what_is_done_cannot_be_cancelled(serving):
    service = serving(at_once=True)
    plan = service.plan()
    service.state(plan, "done")
    answer = service.client.delete(plan)
    assert (answer.status_code, answer.json()["type"]) == (409, "/problems/already-over")
    assert service.client.get(f"{plan}/plan.json").status_code == 200


def test_good_enough_ends_the_search_with_what_it_has(service):
    plan = service.plan()
    run = service.running(plan)
    assert service.client.post(f"{plan}/finish").status_code == 202
    until(lambda: service.engine.finished == [run])
    service.engine.say(run, done(proven=False))
    assert service.state(plan, "done")["proven"] is False


def test_a_job_that_cannot_be_done_says_every_reason(service):
    from api.problems import impossible
    from nesting.errors import CannotBeDone

    plan = service.plan()
    problem = impossible(CannotBeDone(["part 'a' fits no stock", "part 'b' fits no stock"]))
    service.engine.say(service.running(plan), {"kind": "failed", "problem": problem})
    shown = service.state(plan, "failed")
    assert shown["problem"]["type"] == "/problems/cannot-be-done"
    assert shown["problem"]["errors"] == [
        {"pointer": "", "detail": "part 'a' fits no stock"},
        {"pointer": "", "detail": "part 'b' fits no stock"},
    ]


@pytest.mark.parametrize(
    ("body", "pointer", "words"),
    [
        ({"seconds": 0}, "/seconds", "0 is not a time; accepted: more than 0 and at most 600"),
        ({"seconds": 601}, "/seconds", "601 is not a time"),
        ({"seconds": "10"}, "/seconds", "'10' is not a time"),
        ({"seconds": True}, "/seconds", "true is not a time"),
        ({"seconds": 1e-999}, "/seconds", "is not a time"),
        ({"seed": -1}, "/seed", "-1 is not a seed"),
        ({"seed": 1.5}, "/seed", "1.5 is not a seed"),
        ({"secs": 1}, "/secs", "is not a known key; did you mean seconds?"),
        ([], "", "an object is expected, not a list"),
    ],
)
def test_an_order_with_faults(service, body, pointer, words):
    answer = service.client.post(f"{service.project()}/plans", json=body)
    assert answer.status_code == 422
    (error,) = answer.json()["errors"]
    assert error["pointer"] == pointer
    assert words in error["detail"]


@pytest.mark.parametrize("text", ['{"seconds": NaN}', '{"seconds": 1e999}', '{"seconds": 1E+400000}'])
def test_numbers_that_are_none(service, text):
    headers = {"content-type": "application/json"}
    answer = service.client.post(f"{service.project()}/plans", content=text, headers=headers)
    assert (answer.status_code, answer.json()["errors"][0]["pointer"]) == (422, "/seconds")


def test_an_empty_order_asks_for_the_usual(service):
    answer = service.client.post(f"{service.project()}/plans")
    assert (answer.status_code, answer.json()["seconds"], answer.json()["seed"]) == (202, 10.0, 0)


def test_the_queue_refuses_politely(serving):
    service = serving(jobs=1, limits=Limits(queued_per_key=2, plans_per_key=4))
    project = service.project()
    running = service.plan(project)
    service.running(running)
    waiting = [service.plan(project) for _ in range(2)]
    answer = service.client.post(f"{project}/plans")
    assert (answer.status_code, answer.headers["retry-after"]) == (429, "10")
    assert answer.json()["detail"] == "2 of your plans wait already"
    assert service.client.delete(waiting[0]).status_code == 200
    service.plan(project)
    answer = service.client.post(f"{project}/plans")
    assert (answer.status_code, answer.json()["detail"]) == (409, "at most 4 plans")


def test_the_whole_queue_is_full(serving):
    service = serving(jobs=1, limits=Limits(queued=1))
    project = service.project()
    service.running(service.plan(project))
    service.plan(project)
    answer = service.client.post(f"{project}/plans")
    assert (answer.status_code, answer.headers["retry-after"]) == (503, "10")


def test_too_many_projects_or_pieces(serving):
    service = serving(limits=Limits(projects_per_key=1, pieces=10))
    service.project()
    answer = service.client.post("/v1/projects", json=changed())
    assert (answer.status_code, answer.json()["type"]) == (409, "/problems/full")
    answer = service.client.post("/v1/projects", json=changed(part__0__quantity=8))
    (error,) = answer.json()["errors"]
    assert error["pointer"] == "/part"
    assert error["detail"] == "part: 13 pieces are asked for in all; accepted: at most 10 here"


def test_limits_are_told(service):
    service.plan()
    shown = service.client.get("/v1/limits").json()
    assert shown["limits"]["seconds"] == 600
    assert (shown["in_use"]["projects"], shown["in_use"]["plans"], shown["in_use"]["searches_at_once"]) == (1, 1, 2)
