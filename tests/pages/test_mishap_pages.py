"""Telling of pieces that are lost or came out another size, and taking it back."""

from __future__ import annotations

import pytest

from api.pages.mishap_view import mishaps
from api.problems import impossible
from nesting.errors import CannotBeDone
from nesting.plan import Plan
from nesting.plan_replaces import ReplacesDocument
from nesting.progress.record import Measured, Progress, Spoiled
from tests.pages.bench import done, rack_plan
from tests.pages.walking import Page, seen, sent


@pytest.fixture
def begun(service):
    """A finished plan of which the first step is ticked; its id."""
    address = service.plan()
    service.engine.say(service.running(address), done(rack_plan()))
    service.state(address, "done")
    assert service.client.put(f"{address}/steps/1/done").status_code == 204
    return address.rpartition("/")[2]


def tell(service, plan: str, kind: str, **fields: str):
    token = seen(service.client, f"/plans/{plan}/mishaps").values["token"]
    return sent(service.client, f"/plans/{plan}/mishaps/{kind}", {"token": token} | fields)


def options(page: Page) -> list[str]:
    """Return the pieces that the first list of a page offers."""
    values = [one["value"] for one in page.of("option")]
    return values[: len(values) // 2]


def test_a_spoiled_piece_and_its_rest_are_kept_and_what_is_missing_is_said(service, begun):
    rest = {"length.0": " 12 1/2 in", "width.0": "5", "length.2": "100 mm", "width.2": "2"}
    answer = tell(service, begun, "spoiled", piece="A1.2", note=" the fence\n moved ", **rest)
    assert (answer.status_code, answer.headers["location"]) == (303, f"/plans/{begun}/mishaps")
    kept = service.client.get(f"/v1/plans/{begun}/progress").json()["spoiled"]
    assert kept[0]["piece"] == "A1.2"
    assert kept[0]["left"][0] == [12.5, 5.0]
    assert kept[0]["note"] == "the fence moved"
    page = seen(service.client, f"/plans/{begun}/mishaps")
    assert "Missing now: 1 × shelf." in page.words
    assert "Spoiled, 12\xa01/2 × 5 and" in page.words
    assert options(page) == ["A1.1"]
    assert "Something went wrong at this job" in seen(service.client, f"/plans/{begun}/saw").words


def test_a_lost_leftover_changes_nothing(service, begun):
    for step in (2, 3):
        service.client.put(f"/v1/plans/{begun}/steps/{step}/done")
    tell(service, begun, "spoiled", piece="A1.2.2")
    page = seen(service.client, f"/plans/{begun}/mishaps")
    assert "the plan stands as it is" in page.words
    assert f"/plans/{begun}/replan" not in [form["action"] for form in page.of("form") if "action" in form]


def test_what_was_told_can_be_taken_back(service, begun):
    tell(service, begun, "spoiled", piece="A1.2")
    assert tell(service, begun, "back", piece="A1.2").status_code == 303
    assert service.client.get(f"/v1/plans/{begun}/progress").json()["spoiled"] == []
    assert tell(service, begun, "back", piece="A1.2").status_code == 422


def test_every_fault_is_told_and_what_was_typed_stays(service, begun):
    answer = tell(service, begun, "spoiled", piece="A1.2", **{"length.0": "three", "width.0": "", "note": "saw it"})
    assert answer.status_code == 422
    page = Page(answer.text)
    assert page.values["length.0"] == "three"
    assert page.values["note"] == "saw it"
    assert "'three'" in page.words
    faults = page.words.partition("What went wrong?")[2].partition("A piece is spoiled")[0]
    assert len([line for line in faults.splitlines() if line.strip()]) == 2


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"piece": "A1.1.1"}, "is not there yet"),
        ({"piece": "A1"}, "is not there any more"),
        ({"piece": "<b>"}, "is no piece of the plan"),
        ({"piece": "A1.1", "length.0": "31", "width.0": "5"}, "cannot be left"),
    ],
)
def test_what_cannot_be_is_refused_in_words(service, begun, fields, words):
    answer = tell(service, begun, "spoiled", **fields)
    assert answer.status_code == 422
    assert words in Page(answer.text).words
    assert "<b>" not in answer.text


def test_a_measured_piece_says_whether_it_will_do(service, begun):
    tell(service, begun, "measured", piece="A1.1", length="30", width="10 1/16")
    assert "measured 30 × 10\xa01/16 in: that will do" in seen(service.client, f"/plans/{begun}/mishaps").words.lower()
    tell(service, begun, "measured", piece="A1.1", length="30", width="9")
    page = seen(service.client, f"/plans/{begun}/mishaps")
    assert "too small, so it counts as lost" in page.words
    assert "1 × end, 1 × shelf" in page.words
    answer = tell(service, begun, "measured", piece="A1.1", length="", width="9")
    assert answer.status_code == 422
    assert "open" in next(one for one in Page(answer.text).of("details"))


def test_the_pieces_of_the_step_one_comes_from_are_offered_first():
    plan = rack_plan()
    progress = Progress(done=(1, 2))
    assert [choice.piece for choice in mishaps(plan, progress).choices] == ["A1.1.1", "A1.1.2", "A1.2"]
    assert next(iter(mishaps(plan, progress, 2).choices)).piece == "A1.1.1"
    assert [choice.piece for choice in mishaps(plan, Progress(done=(1, 3)), 3).choices] == ["A1.2.1", "A1.2.2", "A1.1"]


def test_what_is_told_is_told_in_words():
    progress = Progress(
        done=(1, 2),
        spoiled=(Spoiled(piece="A1.1.1", left=((3.0, 2.5), (4.0, 1.0))),),
        measured=(Measured(piece="A1.2", length=30.0, width=10.0625),),
    )
    told = mishaps(rack_plan(), progress).told
    assert told[0].words == "spoiled, 3 × 2\xa01/2 and 4 × 1 in of it are left"
    assert told[1].words.endswith("that will do")
    assert [choice.piece for choice in mishaps(rack_plan(), progress).choices] == ["A1.1.2", "A1.2"]


def test_the_rest_is_planned_anew_and_the_old_plan_points_there(service, begun):
    token = seen(service.client, f"/plans/{begun}/mishaps").values["token"]
    answer = sent(service.client, f"/plans/{begun}/replan", {"token": token})
    assert answer.status_code == 422
    assert "Nothing is lost" in Page(answer.text).words
    tell(service, begun, "spoiled", piece="A1.2")
    answer = sent(service.client, f"/plans/{begun}/replan", {"token": token})
    assert answer.status_code == 303
    new = answer.headers["location"]
    service.running(f"/v1{new}")
    page = seen(service.client, new)
    assert "Planning the rest anew" in page.words
    assert not [one for one in page.of("form") if one.get("action", "").endswith("/keep")]
    assert "nothing is ticked here meanwhile" in seen(service.client, f"/plans/{begun}").words
    answer = sent(service.client, f"/plans/{begun}/steps/2/tick", {"token": token})
    assert answer.status_code == 409
    assert "A newer plan takes the place of this one" in Page(answer.text).words
    back = sent(service.client, f"/plans/{begun}/mishaps/back", {"token": token, "piece": "A1.2"})
    assert back.status_code == 422
    text = "Less is left <b> than before."
    service.engine.say(service.running(f"/v1{new}"), done(anew(text)) | {"measured": []})
    service.state(f"/v1{new}", "done")
    page = seen(service.client, new)
    assert text in page.words
    assert text not in page.text
    assert "12.50 EUR of it is bought already; nothing more is to be bought." in page.words
    assert f"/plans/{begun}" in [one.get("href") for one in page.of("a")]
    old = seen(service.client, f"/plans/{begun}/saw")
    assert "takes the place of this one" in old.words
    assert not [one for one in old.of("form") if "steps" in one.get("action", "")]


def test_planning_anew_that_fails_leads_back(service, begun):
    tell(service, begun, "spoiled", piece="A1.2")
    token = seen(service.client, f"/plans/{begun}/mishaps").values["token"]
    new = sent(service.client, f"/plans/{begun}/replan", {"token": token}).headers["location"]
    service.engine.say(service.running(f"/v1{new}"), {"kind": "failed", "problem": impossible(CannotBeDone(["no"]))})
    service.state(f"/v1{new}", "failed")
    page = seen(service.client, new)
    assert "cannot be planned anew" in page.words
    assert f"/plans/{begun}/mishaps" in [one.get("href") for one in page.of("a")]
    assert "tap when it is cut" in seen(service.client, f"/plans/{begun}/saw").words


def anew(text: str) -> Plan:
    """Return a plan that says of itself that it was made anew after the first step."""
    replaces = {
        "number": 1, "plan": "0" * 32, "cost": 12.5, "more": 0.0, "text": text, "done": [1], "done_steps": 1,
        "lost": [], "open_steps": 3, "changed_steps": 1, "new_steps": 0, "layouts": [],
    }  # fmt: skip
    return rack_plan().model_copy(update={"replaces": ReplacesDocument.model_validate(replaces)})
