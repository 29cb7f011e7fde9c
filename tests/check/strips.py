"""Sound plans as large as one likes: sheets ripped into strips."""

from __future__ import annotations

import json
import time
from typing import Any

from nesting.check import check_plan
from nesting.json_text import write_json
from nesting.plan import Plan, plan_from_json
from tests.check.by_hand import document


def strips(count: int) -> dict[str, Any]:
    """A sheet ripped into strips of 1 in by a blade of 1/8, one cut below the other: as deep as there are strips."""
    width = count * 1.125 - 0.125
    tree: Any = None
    for at_ in range(count - 1, -1, -1):
        part = {"id": f"A1.p{at_}", "x": 0, "y": at_ * 1.125, "length": 30, "width": 1, "role": "part", "part": "strip"}
        outline = {"id": f"A1.c{at_}" if at_ else "A1", "x": 0, "y": at_ * 1.125, "length": 30}
        outline |= {"width": width - at_ * 1.125, "role": "cut", "cut": "rip", "bevel": 0}
        tree = part if tree is None else outline | {"pieces": [part, tree]}
    names = [f"A1.c{at_}" if at_ else "A1" for at_ in range(count - 1)]
    step = {"layout": "A1", "station": "table saw", "cut": "rip", "bevel": 0, "setting": 1, "against": "low"}
    made = [f"A1.c{at_}" for at_ in range(1, count - 1)] + [f"A1.p{count - 1}"]
    job = {
        "project": {"name": "strips"},
        "saw": {"kerf": "1/8", "edge_trim": 0, "narrowest_rip": 0},
        "sheet": [{"name": "s", "length": 30, "width": width, "thickness": 1, "price": 1}],
        "part": [{"name": "strip", "length": 30, "width": 1, "thickness": 1, "quantity": count}],
    }
    return document() | {
        "project": "strips",
        "cost": 1,
        "cost_bound": 1,
        "buy": [{"stock": "s", "count": 1, "unit_price": 1, "cost": 1}],
        "layouts": [{"id": "A1", "stock": "s", "length": 30, "width": width, "thickness": 1, "tree": tree}],
        "parts": [{"name": "strip", "length": 30, "width": 1, "thickness": 1, "asked": count, "made": count}],
        "steps": [
            step | {"n": n + 1, "piece": name, "leans": None, "makes": [f"A1.p{n}", made[n]], "setup": 1}
            for n, name in enumerate(names)
        ],
        "setups": {"fence": 1, "stop": 0, "guide": 0, "tilt": 0, "total": 1, "bound": 1, "proven": True},
        "job": job,
    }


def sheets_of_strips(sheets: int, deep: int) -> Plan:
    """So many sheets, each ripped into ``deep`` strips, one cut below the other."""
    whole = strips(deep)
    text = write_json(whole)
    for number in range(2, sheets + 1):
        other = json.loads(text.replace('"A1', f'"A{number}'))
        whole["layouts"] += other["layouts"]
        whole["steps"] += [step | {"n": len(whole["steps"]) + n + 1} for n, step in enumerate(other["steps"])]
    whole |= {"cost": sheets, "cost_bound": sheets}
    whole["buy"][0] |= {"count": sheets, "cost": sheets}
    whole["parts"][0] |= {"asked": sheets * deep, "made": sheets * deep}
    whole["job"]["part"][0]["quantity"] = sheets * deep
    return plan_from_json(write_json(whole))


def seconds_of_checking(plan: Plan, times: int) -> float:
    """Return the fewest seconds of the processor that one check takes, of several."""
    taken = []
    for _ in range(times):
        begun = time.process_time()
        report = check_plan(plan)
        taken.append(time.process_time() - begun)
        assert report.faults == ()
    return min(taken)
