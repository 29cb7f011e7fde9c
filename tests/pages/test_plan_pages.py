"""The pages of a plan, from its place in the queue to the ticks of its cuts."""

from __future__ import annotations

import json

import pytest

from api.keys import new_key
from api.problems import impossible
from nesting.errors import CannotBeDone
from tests.api import fakes
from tests.pages.bench import done, rack_plan
from tests.pages.walking import HTML, Page, seen, sent

NASTY = "<script>alert(1)</script>"


@pytest.fixture
def planned(service):
    """A finished plan by hand; its id."""
    address = service.plan()
    service.engine.say(service.running(address), done(rack_plan(NASTY)))
    service.state(address, "done")
    return address.rpartition("/")[2]


def press(service, page: Page, action: str, **more):
    """Send the form of a page that leads to an address."""
    assert action in [form.get("action") for form in page.of("form")]
    return sent(service.client, action, {"token": page.values["token"]}, **more)


def test_a_plan_that_waits_says_so_and_looks_again_without_a_script(serving):
    service = serving(jobs=1)
    service.running(service.plan())
    waiting = service.plan().rpartition("/")[2]
    page = seen(service.client, f"/plans/{waiting}")
    assert "Waiting for its turn" in page.words
    assert "the next of your plans" in page.words
    assert {"http-equiv": "refresh", "content": "2"} in page.of("meta")


def test_a_running_search_shows_what_it_has_and_can_be_stopped(service):
    address = service.plan()
    plan = address.rpartition("/")[2]
    run = service.running(address)
    assert [one for one in seen(service.client, f"/plans/{plan}").of("button") if "disabled" in one]
    service.engine.say(run, fakes.progress(200.0, 150.0))
    fakes.until(lambda: service.client.get(address).json()["cost"] == 200.0)
    page = seen(service.client, f"/plans/{plan}")
    for words in ("200.00 USD", "150.00 USD", "25.0 %", "Hatched: not known yet"):
        assert words in page.words
    answer = press(service, page, f"/plans/{plan}/keep")
    assert (answer.status_code, answer.headers["location"]) == (303, f"/plans/{plan}")
    fakes.until(lambda: run in service.engine.finished)
    assert "told to stop" in seen(service.client, f"/plans/{plan}").words


def test_a_search_can_be_given_up_and_pressing_twice_is_no_fault(service):
    address = service.plan()
    plan = address.rpartition("/")[2]
    service.running(address)
    page = seen(service.client, f"/plans/{plan}")
    for _ in range(2):
        assert press(service, page, f"/plans/{plan}/cancel").status_code == 303
    page = seen(service.client, f"/plans/{plan}")
    assert "was cancelled" in page.words
    assert not [one for one in page.of("meta") if "http-equiv" in one]


def test_the_part_for_the_script_opens_the_page_anew_once_all_is_over(service):
    address = service.plan()
    part = f"/plans/{address.rpartition('/')[2]}/standing"
    run = service.running(address)
    answer = service.client.get(part, headers=HTML)
    assert "hx-refresh" not in answer.headers
    assert "<html" not in answer.text
    service.engine.say(run, done(rack_plan()))
    service.state(address, "done")
    assert service.client.get(part, headers=HTML).headers["hx-refresh"] == "true"


def test_a_job_that_cannot_be_done_tells_every_reason(service):
    address = service.plan()
    problem = impossible(CannotBeDone(["A fits nothing", NASTY]))
    service.engine.say(service.running(address), {"kind": "failed", "problem": problem})
    service.state(address, "failed")
    page = seen(service.client, f"/plans/{address.rpartition('/')[2]}")
    assert "There is no plan" in page.words
    assert "A fits nothing" in page.words
    assert NASTY not in page.text
    assert NASTY in page.words


def test_the_plan_begins_with_what_to_buy_and_shows_all_there_is(service, planned):
    page = seen(service.client, f"/plans/{planned}")
    order = [
        "What to buy",
        "How sure that is",
        "Look out for",
        "How it is cut",
        "The work, setting by setting",
        "Take it",
    ]
    places = [page.words.index(words) for words in order]
    assert places == sorted(places)
    assert "The wall" not in page.words
    assert NASTY not in page.text
    for image in page.of("img"):
        assert service.client.get(image["src"]).headers["content-type"] == "image/svg+xml"
        assert image["alt"]
    for link in page.of("a"):
        if link["href"].startswith("/v1/"):
            assert service.client.get(link["href"]).status_code == 200
    assert len(page.ids) == len(set(page.ids))


def test_the_saw_opens_at_the_first_cut_not_done(service, planned):
    page = seen(service.client, f"/plans/{planned}/saw")
    assert "Setting 1 of 3" in page.words
    assert press(service, page, f"/plans/{planned}/steps/1/tick").headers["location"].endswith("setting=1#step-1")
    page = seen(service.client, f"/plans/{planned}/saw")
    assert "Setting 2 of 3" in page.words
    assert "1 of 4 cuts done" in page.words
    assert NASTY not in page.text


def test_ticks_are_kept_for_another_phone_and_can_be_taken_back(service, planned):
    for step in (1, 2, 3, 4):
        assert press(service, seen(service.client, f"/plans/{planned}/saw"), f"/plans/{planned}/steps/{step}/tick")
    service.client.cookies.clear()
    page = seen(service.client, f"/plans/{planned}/saw")
    assert "All 4 cuts are done" in page.words
    assert "Setting 3 of 3" in page.words
    press(service, page, f"/plans/{planned}/steps/4/untick")
    assert service.client.get(f"/v1/plans/{planned}/progress").json()["done"] == [1, 2, 3]


def test_a_tick_out_of_turn_is_not_shown_as_kept(service, planned):
    page = seen(service.client, f"/plans/{planned}/saw?setting=3")
    assert not [one for one in page.of("form") if one.get("action", "").endswith("tick")]
    assert "2 cuts come before it, cut 1 first" in page.words
    token = seen(service.client, f"/plans/{planned}/saw").values["token"]
    answer = sent(service.client, f"/plans/{planned}/steps/4/tick", {"token": token})
    assert answer.status_code == 409
    assert "step 4: its piece A1.1.2 is not there yet; first steps 1, 2" in Page(answer.text).words
    assert "0 of 4" in Page(answer.text).words


def test_the_script_gets_the_part_that_changed_and_nothing_where_nothing_did(service, planned):
    path = f"/plans/{planned}/saw"
    page = seen(service.client, path)
    asks = next(one["hx-get"] for one in page.of("div") if "hx-get" in one)
    ask = HTML | {"hx-request": "true"}
    assert service.client.get(asks, headers=ask).status_code == 204
    answer = press(service, page, f"/plans/{planned}/steps/1/tick", headers=ask)
    assert answer.status_code == 200
    assert answer.text.lstrip().startswith('<div id="work"')
    assert 'aria-pressed="true"' in answer.text
    assert "1 of 4 cuts done" in service.client.get(asks, headers=ask).text


@pytest.mark.parametrize("setting", ["9", "0", "-1", "x", "1" * 30, "١"])
def test_a_setting_that_is_none_is_told_on_a_page(service, planned, setting):
    seen(service.client, f"/plans/{planned}/saw?setting={setting}", 404)


def test_there_is_no_saw_before_there_is_a_plan(service):
    plan = service.plan().rpartition("/")[2]
    seen(service.client, f"/plans/{plan}/saw", 409)
    seen(service.client, f"/plans/{'0' * 26}/saw", 404)


def test_another_persons_plan_is_not_there(serving, store):
    keys = [new_key(store, name) for name in ("ada", "ben")]
    service = serving(host="0.0.0.0", base="https://bench.example")  # noqa: S104
    service.client.headers["authorization"] = f"Bearer {keys[0]}"
    plan = service.plan().rpartition("/")[2]
    del service.client.headers["authorization"]
    page = seen(service.client, f"/plans/{plan}", 401)
    assert sent(service.client, "/sign-in", {"key": keys[1], "to": page.values["to"]}).status_code == 303
    for path in (f"/plans/{plan}", f"/plans/{plan}/saw", f"/plans/{plan}/standing", f"/compare/{plan}"):
        seen(service.client, path, 404)


def test_a_comparison_is_shown_side_by_side(service, planned):
    project = service.client.get(f"/v1/plans/{planned}").json()["project"]
    order = {"cleat_height": ["3", "4"], "seconds": 1}
    answer = service.client.post(f"/v1/projects/{project}/comparisons", json=order)
    address = f"/compare/{answer.json()['id']}"
    run = service.running(address)
    page = seen(service.client, address)
    assert "Planning every alternative" in page.words
    assert not [one for one in page.of("form") if one.get("action", "").endswith("/keep")]
    service.engine.say(run, compared_by_hand())
    service.state(answer.headers["location"], "done")
    page = seen(service.client, address)
    assert "Both cost 3.00 USD." in page.words
    assert [one["src"] for one in page.of("img")] == [f"/v1{address.replace('compare', 'plans')}/yield.svg"]
    assert service.client.get(f"{address}/standing", headers=HTML).headers["hx-refresh"] == "true"
    moved = service.client.get(address.replace("compare", "plans"), headers=HTML, follow_redirects=False)
    assert moved.headers["location"] == address
    moved = service.client.get(f"/compare/{planned}", headers=HTML, follow_redirects=False)
    assert moved.headers["location"] == f"/plans/{planned}"


def compared_by_hand():
    import base64

    from tests.pages.test_result_view import comparison

    papers = {"compare.json": json.dumps(comparison()), "yield.svg": "<svg/>", "compare.csv": "a"}
    files = {name: base64.b64encode(text.encode()).decode() for name, text in papers.items()}
    return {"kind": "done", "cost": None, "cost_bound": None, "proven": None, "summary": [], "files": files}
