"""Judging one job planned, stopped anywhere, a piece spoiled, and planned anew: by the checkers and by its cost."""

from __future__ import annotations

import random
import time
from collections import Counter
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from nesting.check import check_plan, check_replan
from nesting.errors import BadInput, CannotBeDone
from nesting.make import plan_project
from nesting.plan import Plan, plan_from_json, plan_to_json
from nesting.progress.marks import measure, spoil, tick
from nesting.progress.record import Progress, begin
from nesting.progress.standing import Piece, standing
from nesting.project.model import Project
from nesting.project.read import project_from_mapping
from nesting.replan.again import replan

CENT = 0.005


@dataclass(frozen=True, slots=True)
class Verdict:
    """What came of one job: ``outcome`` in a word, faults, seconds of planning anew, what it cost more, and anew."""

    outcome: str
    faults: tuple[str, ...] = ()
    seconds: float = 0.0
    more: float = 0.0
    anew: float | None = None
    changed: int = 0


def judge(job: dict[str, Any], chance: random.Random, seconds: float, anew_seconds: float = 1.0) -> Verdict:
    """Plan a job, do some of its steps, lose a piece, plan anew, judge."""
    try:
        project = project_from_mapping(job)
        plan = plan_project(project, seconds=0.4, easier=False).plan
    except (CannotBeDone, BadInput):
        return Verdict("no plan")
    progress = stopped_anywhere(plan, chance)
    now = standing(plan, progress)
    there = [piece for piece in now.pieces if piece.of is None]
    parts = [piece for piece in there if piece.part is not None]
    lost = chance.choice(parts if parts and chance.random() < 0.7 else there)
    return judge_loss(project, plan, told(plan, progress, lost, chance), seconds, anew_seconds)


def stopped_anywhere(plan: Plan, chance: random.Random) -> Progress:
    """Tick steps up to a random one; now and then a few that come later but can be made, too."""
    count = chance.randint(0, len(plan.steps))
    progress = tick(plan, begin(plan), range(1, count + 1))
    for _ in range(chance.choice((0, 0, 3))):
        step = chance.randint(1, max(1, len(plan.steps)))
        try:
            progress = tick(plan, progress, [step])
        except BadInput:
            continue
    return progress


def told(plan: Plan, progress: Progress, lost: Piece, chance: random.Random) -> Progress:
    """Say of a piece that it is spoiled, wholly or but for a rest, or that it is smaller than drawn."""
    kind = chance.choice(("spoiled", "spoiled", "left", "measured"))
    if kind == "measured":
        short = chance.choice((1 / 16, 0.5, 2.0)) * (25.4 if plan.unit == "mm" else 1)
        length = max(lost.length - chance.choice((0.0, short)), lost.length / 2)
        return measure(plan, progress, lost.id, round(length, 4), round(max(lost.width - short, lost.width / 2), 4))
    rests = []
    if kind == "left":
        wide = chance.random() < 0.5
        share = chance.choice((0.5, 0.75))
        rests.append((round(lost.length * share, 3), lost.width if wide else round(lost.width * 0.8, 3)))
    return spoil(plan, progress, lost.id, rests)


def judge_loss(project: Project, plan: Plan, progress: Progress, seconds: float, anew_seconds: float = 1.0) -> Verdict:
    """Plan anew after a loss and judge what comes of it."""
    lost = standing(plan, progress).lost
    anew = bought_anew(project, plan, lost, anew_seconds)
    begun = time.perf_counter()
    try:
        found = replan(project, plan, progress, seconds)
    except CannotBeDone as error:
        took = time.perf_counter() - begun
        return Verdict("cannot", tuple(error.reasons) if anew is not None else (), took, anew=anew)
    took = time.perf_counter() - begun
    if not found.changed:
        return Verdict("nothing lost", ("something was lost",) if lost else (), took)
    again = plan_from_json(plan_to_json(found.plan))
    faults = [str(fault) for fault in (*check_plan(again).faults, *check_replan(again, plan, progress).faults)]
    faults += _by_hand(plan, again, progress, found.progress)
    more = again.cost - plan.cost
    if anew is not None and more > anew + CENT:
        faults.append(f"costs {more:g} more, the missing parts by themselves {anew:g}")
    outcome = "bought" if more > CENT else "fits"
    changed = 0 if found.replaces is None else found.replaces.changed_steps
    return Verdict(outcome, tuple(faults), took, more, anew, changed)


def _by_hand(plan: Plan, again: Plan, progress: Progress, carried: Progress) -> list[str]:
    """Count finished parts before and after: nothing of the checker is used."""
    faults = []
    before, after = standing(plan, progress), standing(again, carried)
    at_once = Counter(layout.tree.part for layout in again.layouts if layout.tree.part is not None)
    if before.made - after.made or after.made - before.made - at_once:  # a rest just as large as a part needs no cut
        faults.append(f"made before {dict(before.made)}, after {dict(after.made)}")
    if after.lost:
        faults.append(f"still lost after planning anew: {dict(after.lost)}")
    for piece in before.pieces:
        if piece.part is not None and not any(one.id == piece.id and one.part == piece.part for one in after.pieces):
            faults.append(f"{piece.id} was {piece.part!r} and is gone")
    return faults


def bought_anew(project: Project, plan: Plan, lost: Counter[str], seconds: float) -> float | None:
    """Return what the lost parts alone would cost from the store, None where it does not have them.

    Holders and rows of a wall are asked for as bare parts and cleats.
    """
    rows = {row.name: row for row in plan.parts}
    head = project_mapping(project)
    used = Counter(layout.stock for layout in plan.layouts)
    stocks = [stock for kind in ("sheet", "board") for stock in head.get(kind, ())]
    left = []
    for stock in stocks:
        limit = stock.get("available")
        if limit is None or limit > used[stock["name"]]:
            left.append(stock if limit is None else stock | {"available": limit - used[stock["name"]]})
    names = {id(stock) for stock in left}
    asked = {part.name: part for part in project.part}
    cleats = {cleat.name: cleat for cleat in project.cleat}
    bare: dict[str, Any] = {key: head[key] for key in ("project", "saw", "cleats") if key in head}
    bare["sheet"] = [stock for stock in left if id(stock) in names]
    if not lost:
        return 0.0
    for name, count in lost.items():
        row = rows[name]
        if name in cleats or name.endswith(": cleat") or name.startswith("row "):
            kind = cleats[name].kind if name in cleats else "holder" if name.endswith(": cleat") else "wall"
            length = cleats[name].length if name in cleats else Fraction(repr(row.length))
            bare.setdefault("cleat", []).append({"name": name, "kind": kind, "length": length, "quantity": count})
        else:
            part = asked.get(name)
            sizes = (part.length, part.width) if part else (Fraction(repr(row.length)), Fraction(repr(row.width)))
            thickness = part.thickness if part else Fraction(repr(row.thickness))
            more = {"grain": part.grain if part else "length", "quantity": count, "thickness": thickness}
            bare.setdefault("part", []).append({"name": name, "length": sizes[0], "width": sizes[1]} | more)
    try:
        return plan_project(project_from_mapping(bare), seconds=seconds, easier=False).plan.cost
    except (CannotBeDone, BadInput):
        return None


def project_mapping(project: Project) -> dict[str, Any]:
    """Return a project as a mapping."""
    from nesting.project.read import project_to_mapping

    return dict(project_to_mapping(project))
