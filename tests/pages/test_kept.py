"""What the start page lists of projects and plans."""

from __future__ import annotations

from api.pages.kept_view import MOST_PLANS, sorted_out
from api.store import plans
from api.store.plans import PlanRow
from api.store.projects import ProjectRow
from tests.pages.bench import done, rack_plan
from tests.pages.walking import seen


def plan(number: int, state: str = plans.DONE, **more) -> PlanRow:
    usual = dict.fromkeys(PlanRow.__slots__) | {
        "id": f"{number:026}", "project": "p", "state": state, "kind": plans.PLAN, "version": 1, "cost": 173.0,
    }  # fmt: skip
    return PlanRow(**(usual | more))


def words(*made: PlanRow, version: int = 1) -> list[str]:
    (found,) = sorted_out([ProjectRow("p", "local", "bay", "{}", version, 0.0, 0.0)], made)
    return [one.words for one in found.plans]


def test_every_state_has_its_words_the_latest_first():
    rows = [plan(1, plans.FAILED), plan(2, plans.CANCELLED), plan(3, plans.QUEUED), plan(4, plans.RUNNING)]
    assert words(*rows) == [
        "Plan is being looked for",
        "Plan waits its turn",
        "Plan was given up",
        "Plan cannot be done",
    ]
    assert words(plan(1, proven=True)) == ["Plan for 173.00, proven cheapest"]
    assert words(plan(1, kind=plans.COMPARISON)) == ["Comparison side by side"]


def test_a_plan_of_an_older_version_says_so():
    assert words(plan(1), version=2) == ["Plan for 173.00, of the project as it was before"]


def test_many_plans_are_told_in_short():
    (found,) = sorted_out([ProjectRow("p", "local", "bay", "{}", 1, 0.0, 0.0)], [plan(n) for n in range(9)])
    assert (len(found.plans), found.more) == (MOST_PLANS, 5)


def test_the_start_page_leads_to_what_is_kept(service):
    address = service.plan()
    service.engine.say(service.running(address), done(rack_plan()))
    service.state(address, "done")
    page = seen(service.client, "/")
    links = [one.get("href") for one in page.of("a")]
    assert address.removeprefix("/v1") in links
    assert "Plan for 12.50, proven cheapest" in page.words
    assert "/rack" in links
