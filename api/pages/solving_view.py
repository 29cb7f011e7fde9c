"""A plan that is not done, in plain words: its place in the queue, how far the search is, why there is none.

Pure: the row of the plan and its events go in, what the page shows comes out.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Final

from api.pages.falling import Moment, draw_falling
from api.store import plans
from api.store.events import EventRow
from api.store.plans import PlanRow
from nesting.money import gap, money

_HEADINGS: Final = {
    plans.QUEUED: "Waiting for its turn",
    plans.RUNNING: "Looking for the cheapest plan",
    plans.DONE: "The plan is done",
    plans.FAILED: "There is no plan",
    plans.CANCELLED: "The search was cancelled",
}
_HEADINGS_OF_COMPARISON: Final = {
    plans.RUNNING: "Planning every alternative",
    plans.DONE: "The comparison is done",
    plans.FAILED: "There is no comparison",
    plans.CANCELLED: "The comparison was cancelled",
}
_HEADINGS_OF_REPLAN: Final = {
    plans.RUNNING: "Planning the rest anew",
    plans.FAILED: "The rest cannot be planned anew",
    plans.CANCELLED: "Planning anew was cancelled",
}


@dataclass(frozen=True, slots=True)
class Standing:
    """What is known of a search; texts are whole, empty where there is nothing to say."""

    state: str
    heading: str
    cost: str
    bound: str
    gap: str
    sentences: tuple[str, ...]
    faults: tuple[str, ...]
    drawing: str
    can_keep: bool
    can_cancel: bool

    @property
    def over(self) -> bool:
        """Whether nothing will change any more."""
        return self.state in plans.OVER


def standing(row: PlanRow, currency: str, ahead: int | None = None, events: Iterable[EventRow] = ()) -> Standing:
    """Return what the page of a plan that waits, is searched for, failed or was cancelled shows.

    ``ahead``: how many of the same person's plans wait before this one.
    """
    problem: Mapping[str, Any] = json.loads(row.problem) if row.problem else {}
    moments = _moments(events, row.attempt)
    runs = row.state == plans.RUNNING
    cost = money(row.cost, currency) if runs and row.cost is not None else ""
    bound = money(row.cost_bound, currency) if runs and row.cost_bound is not None else ""
    special: Mapping[str, str] = _HEADINGS_OF_COMPARISON if row.kind == plans.COMPARISON else {}
    if row.replaces is not None:
        special = _HEADINGS_OF_REPLAN
    return Standing(
        state=row.state,
        heading=special.get(row.state, _HEADINGS[row.state]),
        cost=cost,
        bound=bound,
        gap=gap(row.cost, row.cost_bound) if cost and bound and row.cost and row.cost_bound is not None else "",
        sentences=tuple(_sentences(row, cost, bound, ahead, problem)),
        faults=tuple(str(one["detail"]) for one in problem.get("errors", ())),
        drawing=draw_falling(moments, currency),
        can_keep=row.state == plans.RUNNING and row.cost is not None and not row.finish_early,
        can_cancel=row.state in (plans.QUEUED, plans.RUNNING),
    )


def _sentences(row: PlanRow, cost: str, bound: str, ahead: int | None, problem: Mapping[str, Any]) -> Iterable[str]:
    if row.state == plans.QUEUED:
        yield _place(ahead or 0)
        if row.attempt:
            yield "Its search was broken off and begins anew; nothing you did is lost."
    elif row.state == plans.RUNNING:
        yield from _running(row, cost, bound)
    elif row.state == plans.CANCELLED:
        yield "Nothing of it was kept. " + (
            "The plan before stands, with all that is ticked."
            if row.replaces is not None
            else "Your project is as it was; ask for a plan again whenever you like."
        )
    elif row.state == plans.FAILED:
        yield _why(problem)


def _running(row: PlanRow, cost: str, bound: str) -> Iterable[str]:
    if row.kind == plans.COMPARISON:
        done, _, latest = (row.phase or "").partition(": ")
        yield f"{done} done." if done else "Begun."
        if latest and latest != "begun":
            yield f"The latest: {latest}."
        return
    if row.replaces is not None:
        yield "What is cut already stays as it is. This takes a few seconds."
        return
    if row.finish_early:
        yield "The search was told to stop; the papers of the best plan so far are being made."
    elif not cost:
        yield "No whole plan yet." + (f" None can cost less than {bound}." if bound else "")
    elif row.cost == row.cost_bound:
        yield f"The best plan so far costs {cost}, and none can cost less. Its steps and papers are being made."
    else:
        assert row.cost is not None and row.cost_bound is not None  # noqa: S101, PT018
        yield (
            f"The best plan so far costs {cost}. None can cost less than {bound}, so at most "
            f"{gap(row.cost, row.cost_bound)} of it could still be saved."
        )
    yield f"It looks for {row.seconds:g} seconds at most, less where it can prove that nothing is cheaper."
    if row.phase:
        yield f"Just now: {row.phase}."


def _place(ahead: int) -> str:
    """Say where a plan stands in the queue.

    >>> _place(0), _place(2)
    ('It is the next of your plans to be begun.', '2 of your plans come before it.')
    """
    if not ahead:
        return "It is the next of your plans to be begun."
    return "1 of your plans comes before it." if ahead == 1 else f"{ahead} of your plans come before it."


def _why(problem: Mapping[str, Any]) -> str:
    kind = str(problem.get("type", "")).rpartition("/")[2]
    if kind == "cannot-be-done":
        return "The job as it is written cannot be done. Change the project where it says, and plan again."
    detail = str(problem.get("detail", "")).rstrip(".")
    why = f" {detail[0].upper()}{detail[1:]}." if detail else ""
    return f"Something went wrong that is not your fault.{why}"


def _moments(events: Iterable[EventRow], attempt: int) -> list[Moment]:
    """Return where the search stood, of its latest attempt alone."""
    found: list[Moment] = []
    for event in events:
        data = json.loads(event.data)
        if event.kind == plans.RUNNING and data.get("attempt", attempt) <= attempt:
            found.clear()
        elif event.kind == "progress" and data.get("cost_bound") is not None:
            found.append(Moment(float(data["elapsed"]), data.get("cost"), float(data["cost_bound"])))
    return found
