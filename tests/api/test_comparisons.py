"""Comparisons over HTTP: jobs like plans, with the faults of what is varied at their places."""

import base64
import json
import threading

import pytest

from api.limits import Limits
from api.runner import carry_out
from tests.malformed import BASE


def _ask(service, body, project=None):
    return service.client.post(f"{project or service.project()}/comparisons", json=body)


def test_a_comparison_is_a_job_like_a_plan(service):
    answer = _ask(service, {"cleat_height": [3, "3 1/4"], "seconds": 2, "seed": 1})
    assert answer.status_code == 202, answer.text
    shown = answer.json()
    assert (shown["kind"], shown["seconds"]) == ("comparison", 4.0)
    run = service.running(answer.headers["location"])
    assert service.engine.orders[0]["varied"] == {
        "cleat_height": ["3", "3 1/4"], "thickness": [], "kerf": [], "gap": [], "sheet": [], "each": 2.0,
    }  # fmt: skip
    told = {"kind": "progress", "elapsed": 0.1, "cost": None, "bound": None, "phase": "1 of 3: cleats 3 in: 60.00"}
    service.engine.say(run, told)
    papers = {"compare.json": base64.b64encode(b"{}").decode()}
    ended = {"kind": "done", "cost": None, "cost_bound": None, "proven": None, "summary": [], "files": papers}
    service.engine.say(run, ended)
    assert service.state(answer.headers["location"], "done")["files"] == ["compare.json"]
    assert service.client.get(f"{answer.headers['location']}/compare.json").json() == {}


def test_the_runner_compares_one_after_the_other():
    told = []
    varied = {"cleat_height": ["3", "4"], "each": 2.0}
    order = {"document": json.dumps(BASE), "seconds": 4.0, "seed": 0, "varied": varied}
    last = carry_out(json.dumps(order), threading.Event(), told.append)
    assert last["kind"] == "done", last
    found = json.loads(base64.b64decode(last["files"]["compare.json"]))
    assert [row["cleat_height"] for row in found["alternatives"]] == [3, 4]
    assert all(row["cost"] == 100 for row in found["alternatives"])
    assert told[0]["phase"].startswith("0 of ")
    assert told[-1]["phase"].startswith(f"{len(told) - 1} of {len(told) - 1}")


@pytest.mark.parametrize(
    ("body", "pointer", "words"),
    [
        ({"cleat_height": ["three"]}, "/cleat_height", "'three' is not a length"),
        ({"cleat_height": "3"}, "/cleat_height", "is not what belongs here; accepted: a list"),
        ({"cleat_height": [True]}, "/cleat_height", "is not what belongs here"),
        ({"sheet": ["nothing"]}, "/sheet", "nothing"),
        ({"height": ["3"]}, "/height", "is not a known key; did you mean cleat_height?"),
        ({"seconds": 0}, "/seconds", "0 is not a time"),
        ({"cleat_height": [3, 4], "seconds": 400}, "/seconds", "400 for each of 2; accepted: at most 600 in all"),
    ],
)
def test_what_cannot_be_compared(service, body, pointer, words):
    answer = _ask(service, body)
    assert answer.status_code == 422, answer.text
    (error,) = answer.json()["errors"]
    assert error["pointer"] == pointer
    assert words in error["detail"]


def test_too_many_alternatives(serving):
    service = serving(limits=Limits(alternatives=2))
    (error,) = _ask(service, {"cleat_height": [3, 4, 5]}).json()["errors"]
    assert error["detail"] == "3 alternatives are asked for; accepted: at most 2 here"
