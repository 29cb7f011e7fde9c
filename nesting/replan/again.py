"""Planning anew: from a plan and the record of what was done and lost to the plan of what is left, checked."""

from __future__ import annotations

import threading
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from nesting.errors import BadInput, Bug, CannotBeDone, Fault
from nesting.json_text import write_json
from nesting.plan import Plan, plan_from_json
from nesting.plan_replaces import ReplacesDocument
from nesting.progress.marks import agreed
from nesting.progress.record import Progress, begin, progress_from_json
from nesting.project.model import Project
from nesting.project.read import project_from_mapping
from nesting.replan.bench import bench
from nesting.replan.remains import remains
from nesting.replan.wanted import catalogue
from nesting.replan.words import NOTHING

SECONDS = 2.0


@dataclass(frozen=True, slots=True)
class Replanned:
    """What came of planning anew.

    ``plan`` is checked, like any other and against the plan before it; where nothing was lost it is that plan itself
    and ``changed`` is false. ``sentence`` says what changed, ``replaces`` the same in data, ``progress`` is the record
    that belongs to the new plan: its first steps are done.
    """

    plan: Plan
    sentence: str
    progress: Progress
    changed: bool
    replaces: ReplacesDocument | None


def replan(
    project: Project | None,
    plan: Plan | Mapping[str, Any],
    progress: Progress | Mapping[str, Any],
    seconds: float = SECONDS,
    seed: int = 0,
    cancel: threading.Event | None = None,
) -> Replanned:
    """Return a checked plan that makes up for what is lost: least new money, least change, then few settings.

    ``plan`` and ``progress`` are those of ``plan.json`` and ``progress.json``, as models or as plain data; without a
    ``project`` it is the job that the plan holds. All that is on the plan's buying list counts as bought. Raises
    :class:`~nesting.errors.BadInput` where the record does not agree with the plan, or the plan holds no job or is not
    sound; :class:`~nesting.errors.CannotBeDone` with every reason where what is lost cannot be made again; and
    :class:`~nesting.errors.Bug` where the new plan fails its check.
    """
    from nesting.check import check_plan, check_replan

    plan = plan if isinstance(plan, Plan) else plan_from_json(write_json(dict(plan)))
    progress = progress if isinstance(progress, Progress) else progress_from_json(write_json(dict(progress)))
    project = _job(plan) if project is None else project
    unsound = check_plan(plan, project).faults
    if unsound:
        raise BadInput([Fault("plan", "", f"is not sound: {fault}", "a plan that `check` passes") for fault in unsound])
    progress = agreed(plan, progress)
    start = bench(project, plan, progress)
    if not start.lost:
        return Replanned(plan, NOTHING, progress, changed=False, replaces=None)
    from nesting.replan.attempt import Shop
    from nesting.replan.choose import ways
    from nesting.replan.finish import Loss, finish
    from nesting.solve.grid import Rules
    from nesting.solve.stop import Stop

    stop = Stop.after(seconds, cancel)
    spoiled = {one.piece for one in progress.spoiled}
    grown, left = remains(start, frozenset(start.lost.keys() - spoiled))
    saw = project.saw
    rules = Rules(saw.kerf, project.project.fence_step, project.cleats.bevel, saw.first_cut, saw.max_stages)
    shop = Shop(start, grown, catalogue(start), rules, seed)
    loss = Loss(
        left,
        {piece: "spoiled" if piece in spoiled else "measured" for piece in start.lost},
        {one.piece: one.note for one in progress.spoiled if one.note},
    )
    reasons: list[str] = []
    for way in ways(shop, stop):
        if way.reasons:
            reasons += way.reasons if way.store else ()
            continue
        try:
            made = finish(shop, way, loss, stop, seconds)
        except CannotBeDone as error:
            reasons += error.reasons
            continue
        faults = (*check_plan(made.plan).faults, *check_replan(made.plan, plan, progress).faults)
        if faults:
            raise Bug("the new plan fails its check:\n" + "\n".join(map(str, faults)))
        carried = begin(made.plan).model_copy(
            update={"measured": tuple(one for one in progress.measured if one.piece not in start.lost)}
        )
        return Replanned(made.plan, made.replaces.text, carried, changed=True, replaces=made.replaces)
    raise CannotBeDone(list(dict.fromkeys(reasons)))


def _job(plan: Plan) -> Project:
    """Return the project that a plan holds; raises :class:`BadInput` where it holds none."""
    if plan.job is None:
        raise BadInput([Fault("plan", "/job", "holds no job, so nobody knows what to plan anew", "a plan of our own")])
    return project_from_mapping(dict(plan.job))
