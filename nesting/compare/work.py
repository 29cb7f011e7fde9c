"""One piece of a comparison as text in and text out, so that any process on any machine can carry it out.

A task is a JSON object: a project to plan, with seconds and seed; or sweet spots for the solver to confirm. Its
answer is one too: the plan, or the reasons why there is none.
"""

from __future__ import annotations

import json
import threading
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from nesting.errors import BadInput, Bug, CannotBeDone
from nesting.plan import Plan, plan_from_json, plan_to_json
from nesting.project.model import Project
from nesting.project.read import project_from_mapping, project_to_mapping
from nesting.trade.bevel import Bevel
from nesting.yield_curve import SweetSpot, Yield


@dataclass(frozen=True, slots=True)
class Answer:
    """What came of planning one project: a plan, or the reasons against it; ``early``: it was asked to stop."""

    plan: Plan | None
    reasons: tuple[str, ...] = ()
    early: bool = False


def plan_task(project: Project, seconds: float, seed: int) -> str:
    """Return the task of planning a project."""
    return json.dumps({"plan": project_to_mapping(project), "seconds": seconds, "seed": seed})


def confirm_task(sheet: Yield, spots: tuple[SweetSpot, ...]) -> str:
    """Return the task of confirming sweet spots by the solver."""
    rule = sheet.rule
    lengths = (sheet.width, sheet.trim, rule.thickness, rule.kerf, rule.angle, rule.step)
    return json.dumps(
        {"confirm": [str(value) for value in lengths], "spots": [[spot.count, str(spot.tallest)] for spot in spots]}
    )


def carry_out(task: str, cancel: threading.Event) -> str:
    """Carry out a task and return its answer; what the job lacks is part of the answer, a bug is raised."""
    data = json.loads(task)
    if "confirm" in data:
        return json.dumps({"confirmed": list(_confirmed(data, cancel))})
    return json.dumps(_planned(data, cancel))


def _planned(data: dict[str, Any], cancel: threading.Event) -> dict[str, Any]:
    from nesting.make import plan_project

    try:
        project = project_from_mapping(data["plan"])
        made = plan_project(project, seconds=data["seconds"], seed=data["seed"], cancel=cancel, easier=False)
    except (CannotBeDone, BadInput) as error:
        reasons = error.reasons if isinstance(error, CannotBeDone) else tuple(map(str, error.faults))
        return {"reasons": list(reasons), "early": cancel.is_set()}
    return {"plan": plan_to_json(made.plan), "early": cancel.is_set() and not made.plan.proven}


def _confirmed(data: dict[str, Any], cancel: threading.Event) -> list[bool]:
    from nesting.compare.confirm import fits_one_sheet

    width, trim, *rule = map(Fraction, data["confirm"])
    sheet = Yield(width, trim, Bevel(*rule))
    found = []
    for count, text in data["spots"]:
        tallest = Fraction(text)
        if cancel.is_set():
            break
        at, above = (fits_one_sheet(sheet, height, count) for height in (tallest, tallest + sheet.rule.step))
        found.append(at is True and above is False)
    return found


def answer_of(text: str) -> Answer:
    """Return the answer to :func:`plan_task`."""
    data = json.loads(text)
    if "bug" in data:
        raise Bug(data["bug"])
    plan = plan_from_json(data["plan"]) if "plan" in data else None
    return Answer(plan, tuple(data.get("reasons", ())), bool(data["early"]))


def confirmed_of(text: str) -> tuple[bool, ...]:
    """Return the answer to :func:`confirm_task`: for each sweet spot in turn; fewer where it was stopped."""
    return tuple(json.loads(text)["confirmed"])
