"""A plan made anew: once however often it is asked for, from what is left, in a process like any search."""

import json
import threading

import pytest

from api.runner import carry_out
from nesting.check import check_plan
from nesting.plan import plan_from_json
from tests.api.fakes import until
from tests.api.test_progress import planned, two_cuts
from tests.malformed import BASE


@pytest.fixture(scope="module")
def cut():
    """What a real search says of a small job."""
    order = json.dumps({"document": json.dumps(BASE), "seconds": 5.0, "seed": 0})
    return carry_out(order, threading.Event(), lambda _message: None)


def finished(service, message):
    """A finished plan with these papers, its steps all ticked, and its plan file."""
    plan = service.plan()
    service.engine.say(service.running(plan), message)
    service.state(plan, "done")
    document = plan_from_json(service.client.get(f"{plan}/plan.json").text)
    for step in document.steps:
        assert service.client.put(f"{plan}/steps/{step.n}/done").status_code == 204
    return plan, document


def carried_out_by(service, plan):
    """Let the search of a plan happen here and now."""
    run = service.running(plan)
    order = service.engine.orders[service.engine.begun.index(run)]
    message = carry_out(json.dumps(order), threading.Event(), lambda _message: None)
    service.engine.say(run, message)
    return until(lambda: (now := service.client.get(plan).json())["state"] in ("done", "failed") and now)


def test_a_lost_part_is_cut_from_what_is_left_for_no_new_money(service, cut):
    plan, before = finished(service, cut)
    parts = [node.id for layout in before.layouts for node in layout.tree.walk() if node.part == "shelf"]
    whole = service.client.get("/v1/rack").json()["pieces"]
    assert whole
    service.client.post(f"{plan}/measured", json={"piece": parts[1], "length": 24, "width": 9})
    service.client.post(f"{plan}/spoiled", json={"piece": parts[0], "note": "tear-out"})
    assert service.client.get("/v1/rack").json()["pieces"] == []  # the job goes on
    answer = service.client.post(f"{plan}/replan")
    assert answer.status_code == 202, answer.text
    new = answer.headers["location"]
    assert (answer.json()["replaces"], answer.json()["seconds"]) == (plan.rpartition("/")[2], 3.0)
    shown = carried_out_by(service, new)
    assert shown["state"] == "done", shown
    after = plan_from_json(service.client.get(f"{new}/plan.json").text)
    assert after.replaces is not None
    assert (shown["cost"], shown["summary"]) == (before.cost, [after.replaces.text])
    assert check_plan(after).faults == ()
    assert service.client.get(plan).json()["replaced_by"] == shown["id"]
    progress = service.client.get(f"{new}/progress").json()
    assert progress["done"] == list(range(1, after.replaces.done_steps + 1))
    assert [one["piece"] for one in progress["measured"]] == [parts[1]]
    for step in after.steps[after.replaces.done_steps :]:
        assert service.client.put(f"{new}/steps/{step.n}/done").status_code == 204
    assert service.client.get("/v1/rack").json()["pieces"] != []
    settled = service.client.delete(f"{new}/steps/1/done")
    assert (settled.status_code, settled.json()["type"]) == (409, "/problems/not-in-turn")


def test_it_is_asked_for_once_however_often_it_is_tapped(service):
    plan = planned(service, two_cuts())
    service.client.put(f"{plan}/steps/1/done")
    nothing = service.client.post(f"{plan}/replan")
    assert (nothing.status_code, nothing.json()["detail"]) == (409, "Nothing is lost: the plan stands as it is")
    service.client.post(f"{plan}/spoiled", json={"piece": "A1.1"})
    answers = []

    def tap():
        answers.append(service.client.post(f"{plan}/replan", json={"seconds": 1, "seed": 4}).headers["location"])

    taps = [threading.Thread(target=tap) for _ in range(4)]
    for one in taps:
        one.start()
    for one in taps:
        one.join()
    assert len(set(answers)) == 1
    run = service.running(answers[0])
    order = service.engine.orders[service.engine.begun.index(run)]
    assert (order["seconds"], order["seed"]) == (1.0, 4)
    assert json.loads(order["replan"]["progress"])["spoiled"][0]["piece"] == "A1.1"
    assert plan_from_json(order["replan"]["plan"]).steps[0].n == 1


def test_meanwhile_no_tick_goes_to_the_old_plan_and_after_a_failure_it_may_again(service):
    plan = planned(service, two_cuts())
    service.client.put(f"{plan}/steps/1/done")
    service.client.post(f"{plan}/spoiled", json={"piece": "A1.1"})
    new = service.client.post(f"{plan}/replan").headers["location"]
    for answer in (
        service.client.put(f"{plan}/steps/2/done"),
        service.client.delete(f"{plan}/steps/1/done"),
        service.client.post(f"{plan}/spoiled", json={"piece": "A1.2"}),
        service.client.delete(f"{plan}/marks/A1.1"),
    ):
        assert (answer.status_code, answer.json()["type"]) == (409, "/problems/replaced")
        assert new in answer.json()["detail"]
    assert service.client.delete(new).status_code == 200
    assert service.client.put(f"{plan}/steps/2/done").status_code == 204
    again = service.client.post(f"{plan}/replan").headers["location"]
    assert again != new


def test_what_cannot_be_made_again_is_told_reason_by_reason(service, cut):
    job = {**BASE, "sheet": [{**sheet, "available": 1} for sheet in BASE["sheet"]]}
    order = json.dumps({"document": json.dumps(job), "seconds": 5.0, "seed": 0})
    plan, before = finished(service, carry_out(order, threading.Event(), lambda _message: None))
    for layout in before.layouts:
        for node in layout.tree.walk():
            if node.role in ("part", "offcut"):
                service.client.post(f"{plan}/spoiled", json={"piece": node.id})
    shown = carried_out_by(service, service.client.post(f"{plan}/replan").headers["location"])
    assert (shown["state"], shown["problem"]["type"]) == ("failed", "/problems/cannot-be-done")
    assert shown["problem"]["errors"]


def test_an_order_with_faults_is_told(service):
    plan = planned(service, two_cuts())
    answer = service.client.post(f"{plan}/replan", json={"seconds": 0, "rack": True})
    assert answer.status_code == 422
    assert [one["pointer"] for one in answer.json()["errors"]] == ["/rack", "/seconds"]
    assert service.client.post("/v1/plans/01JF2Q8ZC4T1V5W9XA3B7D6E0K/replan").status_code == 404
