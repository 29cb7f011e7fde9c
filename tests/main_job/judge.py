"""Judging one random job: what came of it, or every fault found; used by the tests and by the long run."""

from __future__ import annotations

import json
import time
from collections import Counter
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from nesting.demand import Group
from nesting.errors import CannotBeDone
from nesting.make import plan_project
from nesting.project.model import Project
from nesting.project.read import project_from_mapping
from nesting.solve.cutting import cut_group, homeless
from nesting.solve.grid import Rules
from nesting.solve.stop import Stop
from tests.main_job.stage_count import strict_stages
from tests.oracle.brute_force import cheapest

NEAR = 1e-6


@dataclass(frozen=True)
class Verdict:
    """``outcome``: "proven", "open" or "refused"; ``faults`` in words; seconds it took."""

    outcome: str
    faults: tuple[str, ...]
    seconds: float


def judge_project(mapping: dict[str, Any], seconds: float) -> Verdict:
    """Plan a project, which checks itself, and look once more at what is told apart from the trees."""
    project = project_from_mapping(mapping)
    begun = time.perf_counter()
    try:
        plan = plan_project(project, seconds=seconds).plan
    except CannotBeDone as refusal:
        told = tuple(refusal.reasons)
        faults = () if told and all(told) else ("refused without a reason",)
        return Verdict("refused", faults, time.perf_counter() - begun)
    took = time.perf_counter() - begun
    document = json.loads(plan.model_dump_json(by_alias=True))
    return Verdict("proven" if plan.proven else "open", tuple(_faults(project, document)), took)


def _faults(project: Project, plan: dict[str, Any]) -> list[str]:
    faults = []
    fillers = {part.name for part in project.part if part.filler}
    for row in plan["parts"]:
        wanted = row["made"] <= row["asked"] if row["name"] in fillers else row["made"] == row["asked"]
        if not wanted:
            faults.append(f"{row['made']} of {row['name']} for {row['asked']}")
    used = Counter(layout["stock"] for layout in plan["layouts"])
    price = sum(Fraction(stock.price) * used[stock.name] for stock in project.stocks)
    if abs(plan["cost"] - float(price)) > NEAR or plan["cost_bound"] > plan["cost"] + NEAR:
        faults.append(f"cost {plan['cost']}, bound {plan['cost_bound']}, stock for {float(price)}")
    if plan["proven"] and abs(plan["cost"] - plan["cost_bound"]) > NEAR:
        faults.append("said to be proven above the bound")
    saw = project.saw
    for layout in plan["layouts"]:
        stock = next(stock for stock in project.stocks if stock.name == layout["stock"])
        depth, first = strict_stages(layout, float(project.trim(stock)))
        if saw.max_stages is not None and depth > saw.max_stages:
            faults.append(f"{layout['id']}: {depth} stages of {saw.max_stages}")
        if saw.first_cut != "any" and first not in (None, saw.first_cut):
            faults.append(f"{layout['id']}: first cut is a {first}")
    return faults


def judge_tiny(job: tuple[Group, Rules], seconds: float) -> Verdict:
    """Compare the cost of a tiny group with the cheapest of all ways to cut it."""
    group, rules = job
    least = cheapest(group, rules.kerf, rules.step, rules.angle, rules.first_cut, rules.max_stages)
    begun = time.perf_counter()
    cost, proven = None, True
    if not homeless(group, rules):
        letters = {stock.name: letter for stock, letter in zip(group.stocks, "ABC", strict=False)}
        found = cut_group(group, rules, "in", letters, Stop.after(seconds), 0)
        if found.candidates:
            cost, proven = found.cost, found.proven
    took = time.perf_counter() - begun
    faults = []
    if cost != least:
        faults.append(f"cost {cost}, least of all {least}")
    if not proven:
        faults.append("not proven")
    outcome = "refused" if cost is None else "proven" if proven else "open"
    return Verdict(outcome, tuple(faults), took)
