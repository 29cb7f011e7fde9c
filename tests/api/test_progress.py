"""Steps ticked and unticked: idempotent, in an order that can be worked, none lost between two phones."""

import base64
import json
import threading

import pytest

from nesting.plan import plan_from_json
from nesting.progress.record import begin, progress_from_json
from tests.api.fakes import done
from tests.paper.sample_plan import sample_plan


def two_cuts():
    """A plan of two steps, the second of which cuts what the first makes: 30 in ripped, one half crosscut."""
    document = json.loads(sample_plan().model_dump_json(by_alias=True, exclude_none=True))
    half = document["layouts"][0]["tree"]["pieces"][1]
    half |= {"role": "cut", "cut": "crosscut", "pieces": [
        {"id": "A1.2.1", "x": 0, "y": 5.125, "length": 12, "width": 5, "role": "part", "part": "block"},
        {"id": "A1.2.2", "x": 12.125, "y": 5.125, "length": 17.875, "width": 5, "role": "offcut"},
    ]}  # fmt: skip
    del half["part"]
    first = document["steps"][0]
    second = {**first, "n": 2, "piece": "A1.2", "cut": "crosscut", "setting": 12, "makes": ["A1.2.1", "A1.2.2"]}
    shelf = {**document["parts"][0], "asked": 1, "made": 1}
    block = {**shelf, "name": "block", "length": 12}
    return {**document, "steps": [first, {**second, "setup": 2}], "parts": [shelf, block]}


def planned(service, document=None):
    """A finished plan of the service with this plan file."""
    plan = service.plan()
    message = done()
    if document is not None:
        message["files"]["plan.json"] = base64.b64encode(json.dumps(document).encode()).decode()
    service.engine.say(service.running(plan), message)
    service.state(plan, "done")
    return plan


def ticked(service, plan):
    return service.client.get(f"{plan}/progress").json()["done"]


def test_a_tick_is_kept_and_given_back_as_a_progress_file_holds_it(service):
    plan = planned(service, two_cuts())
    empty = service.client.get(f"{plan}/progress").json()
    assert {key: empty[key] for key in ("schema", "done", "spoiled", "measured")} == {
        "schema": "cleatwright/progress/1", "done": [], "spoiled": [], "measured": [],
    }  # fmt: skip
    document = plan_from_json(service.client.get(f"{plan}/plan.json").text)
    assert progress_from_json(json.dumps(empty)) == begin(document)
    for _ in range(2):
        assert service.client.put(f"{plan}/steps/1/done").status_code == 204
        assert service.client.get(f"{plan}/progress").json() == {**empty, "done": [1]}
    for _ in range(2):
        assert service.client.delete(f"{plan}/steps/1/done").status_code == 204
        assert service.client.get(f"{plan}/progress").json() == empty


def test_what_does_not_exist_is_not_cut_and_what_is_cut_up_is_not_taken_back(service):
    plan = planned(service, two_cuts())
    early = service.client.put(f"{plan}/steps/2/done")
    assert (early.status_code, early.json()["type"]) == (409, "/problems/not-in-turn")
    assert "step 1" in json.dumps(early.json())
    assert ticked(service, plan) == []
    for step in (1, 2):
        assert service.client.put(f"{plan}/steps/{step}/done").status_code == 204
    late = service.client.delete(f"{plan}/steps/1/done")
    assert (late.status_code, late.json()["type"]) == (409, "/problems/not-in-turn")
    assert ticked(service, plan) == [1, 2]
    for step in (2, 1):
        assert service.client.delete(f"{plan}/steps/{step}/done").status_code == 204
    assert ticked(service, plan) == []


def test_a_step_that_is_none_is_not_found(service):
    plan = planned(service, two_cuts())
    for step in ("0", "3", "-1", "one", "1.0", "9" * 30, "%31%00"):
        for method in ("put", "delete"):
            answer = getattr(service.client, method)(f"{plan}/steps/{step}/done")
            assert (answer.status_code, answer.json()["type"]) == (404, "/problems/not-found"), step


def test_a_spoiled_piece_is_kept_with_what_remains_of_it_and_can_be_taken_back(service):
    plan = planned(service, two_cuts())
    service.client.put(f"{plan}/steps/1/done")
    answer = service.client.post(f"{plan}/spoiled", json={"piece": "A1.2", "left": [["20 1/2", 4]], "note": "knot"})
    assert answer.status_code == 200, answer.text
    lost = [{"piece": "A1.2", "left": [[20.5, 4.0]], "note": "knot"}]
    assert service.client.get(f"{plan}/progress").json()["spoiled"] == answer.json()["spoiled"] == lost
    refused = [
        service.client.put(f"{plan}/steps/2/done"),  # its piece is lost
        service.client.delete(f"{plan}/steps/1/done"),  # a lost piece rests on it
        service.client.post(f"{plan}/spoiled", json={"piece": "A1.2"}),  # twice
        service.client.post(f"{plan}/spoiled", json={"piece": "A1.2.1"}),  # not there yet
        service.client.post(f"{plan}/spoiled", json={"piece": "Z9"}),
        service.client.delete(f"{plan}/marks/A1.1"),
    ]
    assert {(one.status_code, one.json()["type"]) for one in refused} == {(409, "/problems/not-in-turn")}
    assert all(one.json()["errors"] for one in refused)
    assert service.client.delete(f"{plan}/marks/A1.2").json()["spoiled"] == []
    assert service.client.put(f"{plan}/steps/2/done").status_code == 204


def test_a_measured_piece_is_kept_the_latest_measure_counts(service):
    plan = planned(service, two_cuts())
    service.client.put(f"{plan}/steps/1/done")
    for width in ("4 15/16", "4 3/4"):
        answer = service.client.post(f"{plan}/measured", json={"piece": "A1.2", "length": 30, "width": width})
        assert answer.status_code == 200, answer.text
    assert answer.json()["measured"] == [{"piece": "A1.2", "length": 30.0, "width": 4.75}]
    assert service.client.put(f"{plan}/steps/2/done").status_code == 409  # too small: as good as lost
    spoiled = service.client.post(f"{plan}/spoiled", json={"piece": "A1.2"}).json()
    assert (spoiled["measured"], [one["piece"] for one in spoiled["spoiled"]]) == ([], ["A1.2"])


@pytest.mark.parametrize(
    ("body", "pointers"),
    [
        ([], [""]),
        ({"left": 5, "notes": 1}, ["/notes", "/piece", "/left"]),
        ({"piece": "", "left": [[1], ["x", -2]], "note": "a\0b"}, [
            "/piece", "/left/0", "/left/1/0", "/left/1/1", "/note",
        ]),
        ({"piece": "\ud800", "left": [[1, 1]] * 21}, ["/piece", "/left"]),
    ],
)  # fmt: skip
def test_every_fault_of_a_spoiled_piece_is_told(service, body, pointers):
    plan = planned(service, two_cuts())
    headers = {"content-type": "application/json"}
    answer = service.client.post(f"{plan}/spoiled", content=json.dumps(body), headers=headers)
    assert answer.status_code == 422
    assert [one["pointer"] for one in answer.json()["errors"]] == pointers


def test_every_fault_of_a_measure_is_told(service):
    plan = planned(service, two_cuts())
    answer = service.client.post(f"{plan}/measured", json={"piece": 4, "length": "long"})
    assert answer.status_code == 422
    assert [one["pointer"] for one in answer.json()["errors"]] == ["/width", "/piece", "/length"]


def test_only_a_finished_plan_of_ones_own_is_worked_on(service):
    plan = service.plan()
    answer = service.client.put(f"{plan}/steps/1/done")
    assert (answer.status_code, answer.json()["type"]) == (409, "/problems/not-ready")
    assert service.client.get(f"{plan}/progress").status_code == 409
    nowhere = "/v1/plans/01JF2Q8ZC4T1V5W9XA3B7D6E0K"
    assert service.client.put(f"{nowhere}/steps/1/done").status_code == 404
    comparison = service.client.post(f"{service.project()}/comparisons", json={"kerf": ["1/8", "3/32"]})
    assert service.client.get(f"{comparison.headers['location']}/progress").status_code == 404


def test_ticks_go_with_the_project(service):
    project = service.project()
    plan = service.plan(project)
    service.engine.say(service.running(plan), done())
    service.state(plan, "done")
    assert service.client.put(f"{plan}/steps/1/done").status_code == 204
    assert service.client.delete(project).status_code == 204
    assert service.client.get(f"{plan}/progress").status_code == 404


def test_two_phones_ticking_at_once_lose_no_tick(service):
    ids = tuple(f"A{n}" for n in range(1, 25))
    plan = planned(service, json.loads(sample_plan(ids).model_dump_json(by_alias=True, exclude_none=True)))
    answers = []

    def phone(steps):
        for step in steps:
            answers.append(service.client.put(f"{plan}/steps/{step}/done").status_code)

    phones = [threading.Thread(target=phone, args=(steps,)) for steps in (range(1, 19), range(24, 6, -1))]
    for one in phones:
        one.start()
    for one in phones:
        one.join()
    assert set(answers) == {204}
    assert ticked(service, plan) == list(range(1, 25))
