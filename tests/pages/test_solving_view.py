"""A search in words: its place in the queue, cost, bound and gap, why there is no plan."""

from __future__ import annotations

import json

import pytest

from api.pages.falling import Moment, draw_falling
from api.pages.solving_view import standing
from api.store import plans
from api.store.events import EventRow
from api.store.plans import PlanRow


def row(state: str, **more) -> PlanRow:
    usual = dict.fromkeys(PlanRow.__slots__) | {
        "id": "0" * 26, "seconds": 10.0, "state": state, "finish_early": False, "attempt": 1, "kind": plans.PLAN,
    }  # fmt: skip
    return PlanRow(**(usual | more))


def event(kind: str, **data) -> EventRow:
    return EventRow("0" * 26, 1, kind, json.dumps(data))


@pytest.mark.parametrize(
    ("ahead", "words"),
    [
        (0, "It is the next of your plans to be begun."),
        (1, "1 of your plans comes before"),
        (3, "3 of your plans come"),
    ],
)
def test_a_waiting_plan_says_its_place(ahead, words):
    shown = standing(row(plans.QUEUED, attempt=0), "USD", ahead)
    assert words in shown.sentences[0]
    assert (shown.can_keep, shown.can_cancel, shown.over) == (False, True, False)


def test_a_search_that_was_broken_off_says_that_nothing_is_lost():
    assert "begins anew" in standing(row(plans.QUEUED, attempt=2), "USD", 0).sentences[1]


def test_a_running_search_says_cost_bound_and_gap():
    shown = standing(row(plans.RUNNING, cost=200.0, cost_bound=150.0, phase="improving"), "EUR")
    assert (shown.cost, shown.bound, shown.gap) == ("200.00 EUR", "150.00 EUR", "25.0 %")
    assert shown.can_keep
    assert "at most 25.0 % of it could still be saved" in shown.sentences[0]
    assert "improving" in shown.sentences[-1]


def test_without_a_plan_yet_there_is_nothing_to_keep():
    shown = standing(row(plans.RUNNING, cost_bound=150.0), "EUR")
    assert not shown.can_keep
    assert shown.sentences[0] == "No whole plan yet. None can cost less than 150.00 EUR."
    assert standing(row(plans.RUNNING), "EUR").sentences[0] == "No whole plan yet."


def test_a_search_told_to_stop_is_not_told_again():
    shown = standing(row(plans.RUNNING, cost=2.0, cost_bound=1.0, finish_early=True), "EUR")
    assert not shown.can_keep
    assert "told to stop" in shown.sentences[0]


def test_what_is_proven_while_papers_are_made_is_said():
    assert "none can cost less" in standing(row(plans.RUNNING, cost=2.0, cost_bound=2.0), "EUR").sentences[0]


def test_every_fault_of_a_job_that_cannot_be_done_is_told():
    problem = {"type": "/problems/cannot-be-done", "errors": [{"detail": "one"}, {"detail": "two"}]}
    shown = standing(row(plans.FAILED, problem=json.dumps(problem), cost=3.0, cost_bound=2.0), "USD")
    assert (shown.cost, shown.bound, shown.gap) == ("", "", "")
    assert shown.faults == ("one", "two")
    assert "Change the project" in shown.sentences[0]
    assert shown.over


def test_a_bug_is_not_blamed_on_the_person():
    problem = {"type": "/problems/failed", "detail": "out of memory", "errors": []}
    said = standing(row(plans.FAILED, problem=json.dumps(problem)), "USD").sentences[0]
    assert said == "Something went wrong that is not your fault. Out of memory."


def test_a_comparison_says_how_many_are_planned():
    shown = standing(row(plans.RUNNING, kind=plans.COMPARISON, phase="2 of 3: 4 in: 188.50"), "USD")
    assert shown.sentences == ("2 of 3 done.", "The latest: 4 in: 188.50.")
    assert standing(row(plans.RUNNING, kind=plans.COMPARISON), "USD").sentences == ("Begun.",)
    assert standing(row(plans.DONE, kind=plans.COMPARISON), "USD").heading == "The comparison is done"


def test_the_drawing_forgets_what_a_former_attempt_found():
    told = [
        event("progress", elapsed=1.0, cost=999.0, cost_bound=1.0),
        event("queued"),
        event("running", attempt=2),
        event("progress", elapsed=1.0, cost=200.0, cost_bound=150.0),
    ]
    shown = standing(row(plans.RUNNING, attempt=2, cost=200.0, cost_bound=150.0), "USD", None, told)
    assert "999.00" not in shown.drawing
    assert "Cost 200.00 USD, bound 150.00 USD" in shown.drawing


def test_what_is_not_known_is_hatched_and_nothing_where_all_is():
    open_ = draw_falling([Moment(1.0, 200.0, 150.0), Moment(2.0, 180.0, 160.0)], "USD")
    assert open_.count("<path") == 2
    assert "<path" not in draw_falling([Moment(1.0, 200.0, 200.0)], "USD")
