"""The checker on a sound plan and on that plan with one thing changed at a time."""

from __future__ import annotations

import copy
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from pydantic import ValidationError

from nesting.check import RULES, check_plan
from nesting.errors import BadInput
from nesting.plan import Plan
from tests.check.by_hand import document, plan_of, project

Path = tuple[str | int, ...]


def rules_broken(changed: dict[str, Any], **changes: Any) -> set[str]:
    report = check_plan(plan_of(changed), project(**changes) if changes else None)
    return {fault.rule for fault in report.faults}


def at(changed: Any, *path: str | int) -> Any:
    for key in path:
        changed = changed[key]
    return changed


def node(changed: dict[str, Any], id_: str) -> dict[str, Any]:
    todo = [layout["tree"] for layout in changed["layouts"]]
    while todo:
        one = todo.pop()
        if one["id"] == id_:
            return one
        todo += one.get("pieces", [])
    raise KeyError(id_)


def test_sound_plan_has_no_fault() -> None:
    report = check_plan(plan_of(document()))
    assert report.faults == ()
    assert report.notes == ()
    assert report.rules_checked == RULES
    assert check_plan(plan_of(document()), project()).faults == ()


# -- every value changed, one at a time

THE_JOB = project()
"""What is checked against; it stays as it is while the plan changes."""


def leaves(value: Any, path: Path = ()) -> Iterator[tuple[Path, Any]]:
    if isinstance(value, dict):
        for key, below in value.items():
            if (*path, key) != ("job",):
                yield from leaves(below, (*path, key))
    elif isinstance(value, list):
        for key, below in enumerate(value):
            yield from leaves(below, (*path, key))
    else:
        yield path, value


def others(path: Path, value: Any) -> list[Any]:
    """Return other values for a key; those that would leave the plan sound are left out."""
    key = path[-1]
    if isinstance(value, bool):
        return [not value]
    if isinstance(value, int | float):
        return [value + 0.001, value - 0.001, value + 1]
    choices: dict[str | int, list[str | None]] = {
        "unit": ["mm"],
        "role": ["cut", "part"] if value in ("waste", "offcut") else ["cut", "part", "offcut", "waste"],
        "cut": ["rip", "crosscut", None],
        "against": ["low", "high"],
        "leans": ["away", "toward", None],
        "station": ["table saw", "crosscut sled", "breakdown saw"],
        "part": ["rail", "shelf", "door", "nobody's"],
    }
    return [other for other in choices.get(key, [f"{value} other", ""]) if other != value]


def sound_all_the_same(path: Path, other: Any) -> bool:
    if path == ("cost_bound",):
        return isinstance(other, float) and abs(other - 33.5) < 0.005  # money is counted to half a cent
    if path[:1] == ("steps",) and path[-1] == "against":
        return path[1] in (5, 6)  # both pieces are 5 wide, so the setting is the same from either edge
    if path[-1] in ("unit_price", "cost") and isinstance(other, float):
        return other >= 0 and any(abs(other - money) < 0.005 for money in (0, 33.5))
    return False


MUTATIONS = [(path, other) for path, value in leaves(document()) for other in others(path, value)]


def changed_at(path: Path, other: Any) -> dict[str, Any]:
    changed = document()
    at(changed, *path[:-1])[path[-1]] = other
    return changed


def test_every_changed_value_is_found() -> None:
    assert len(MUTATIONS) > 900
    wrong = []
    for path, other in MUTATIONS:
        try:
            broken = bool(check_plan(Plan.model_validate(changed_at(path, other)), THE_JOB).faults)
        except ValidationError:
            broken = True
        if broken == sound_all_the_same(path, other):
            wrong.append((path, other, "false alarm" if broken else "missed"))
    assert wrong == []


def lists(value: Any, path: Path = ()) -> Iterator[tuple[Path, list[Any]]]:
    if isinstance(value, list):
        yield path, value
    for key, below in value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ():
        if (*path, key) != ("job",):
            yield from lists(below, (*path, key))


def test_every_list_shortened_doubled_or_out_of_order_is_found() -> None:
    missed = []
    for path, rows in lists(document()):
        for place in range(len(rows)):
            for what, change in (
                ("left out", lambda rows, place: rows.pop(place)),
                ("twice", lambda rows, place: rows.insert(place, copy.deepcopy(rows[place]))),
                (
                    "swapped",
                    lambda rows, place: rows.insert(place + 1, rows.pop(place)) if place + 1 < len(rows) else 0,
                ),
            ):
                changed = document()
                change(at(changed, *path), place)
                order_is_free = path in (("buy",), ("parts",), ("layouts",)) and what == "swapped"
                unlisted_is_owned = path == ("buy",) and rows[place].get("unit_price") == 0 and what == "left out"
                if changed == document() or order_is_free or unlisted_is_owned:
                    assert rules_broken(changed) == set()
                elif not rules_broken(changed):
                    missed.append((path, place, what))
    assert missed == []


# -- the job changed under a plan: one rule each


@pytest.mark.parametrize(
    ("changes", "rule"),
    [
        ({"project": {"name": "another"}}, "project"),
        ({"project": {"unit": "mm"}}, "unit"),
        ({"project": {"fence_step": "1/10"}}, "bevel"),
        ({"saw": {"kerf": "3/32"}}, "kerf"),
        ({"saw": {"kerf": 0}}, "kerf"),
        ({"saw": {"edge_trim": "9/32"}}, "edge-trim"),
        ({"sheet": {0: {"edge_trim": "5/16"}}}, "edge-trim"),
        ({"saw": {"max_stages": 2}}, "stages"),
        ({"saw": {"first_cut": "crosscut"}}, "first-cut"),
        ({"saw": {"rip_capacity": 19}}, "saw"),
        ({"saw": {"crosscut_capacity": 19}}, "saw"),
        ({"saw": {"breakdown_saw": False}}, "saw"),
        ({"saw": {"narrowest_rip": "2 1/2"}}, "saw"),
        ({"saw": {"shortest_against_fence": 21}}, "saw"),
        ({"saw": {"blade_leans": "right"}}, "saw"),
        ({"saw": {"sled_shares_table": False}}, "setups"),
        ({"cleats": {"bevel": 44}}, "bevel"),
        ({"cleats": {"wall_height": "3 1/32"}}, "sizes"),
        ({"cleats": {"wall_height": "2 7/8"}}, "sizes"),
        ({"sheet": {0: {"price": 33}}}, "money"),
        ({"sheet": {0: {"width": 21}}}, "stock"),
        ({"sheet": {0: {"thickness": "25/32"}}}, "stock"),
        ({"sheet": {0: {"name": "plywood"}}}, "stock"),
        ({"offcut": {0: {"quantity": 1}}}, "stock"),
        ({"part": {0: {"grain": "width"}}}, "grain"),
        ({"part": {0: {"name": "plank"}}}, "demand"),
        ({"part": {0: {"length": "20 1/32"}}}, "sizes"),
        ({"part": {1: {"quantity": 3}}}, "demand"),
        ({"part": {1: {"quantity": 5}}}, "demand"),
        ({"part": {2: {"filler": False}}}, "demand"),
        ({"cleat": {0: {"length": 19}}}, "sizes"),
        ({"cleat": {0: {"quantity": 2}}}, "demand"),
    ],
)
def test_a_plan_for_another_job(changes: dict[str, Any], rule: str) -> None:
    assert rule in RULES
    assert rule in rules_broken(document(), **changes)


@pytest.mark.parametrize(
    "changes",
    [
        {"saw": {"edge_trim": "1/8"}},  # trimmed more than needed
        {"saw": {"max_stages": 3}},
        {"saw": {"max_stages": 3, "first_cut": "rip"}},
        {"saw": {"narrowest_rip": "2 1/4", "shortest_against_fence": 20, "crosscut_capacity": "19 1/2"}},
        {"saw": {"rip_capacity": "19 1/2"}},
        {"saw": {"blade_leans": "right", "fence_side": "left"}},
        {"cleats": {"wall_height": "2 31/32"}},  # one rounding less than one fence step
        {"part": {0: {"grain": "any"}}},
        {"sheet": {0: {"available": 5}}},
    ],
)
def test_a_job_that_asks_for_less(changes: dict[str, Any]) -> None:
    if "edge_trim" in changes.get("saw", {}):
        assert "edge-trim" not in rules_broken(document(), **changes)
    elif "wall_height" in changes.get("cleats", {}):
        assert "sizes" not in rules_broken(document(), **changes)
    else:
        assert rules_broken(document(), **changes) == set()


# -- changes that take several keys


def test_trim_that_a_part_reaches_into() -> None:
    """An owned sheet without trim: the same plan is sound, whatever the saw's trim is."""
    for own, sound in ((0, True), ("5/16", False)):
        assert ("edge-trim" not in rules_broken(document(), sheet={0: {"edge_trim": own}})) is sound


def test_turned_part_on_grain_and_without() -> None:
    changed = document()
    for id_ in ("B1.1", "B1.2", "B2.1", "B2.2"):
        node(changed, id_)["turned"] = True
    door = {"length": 5, "width": 20}
    changed["parts"][1] |= door
    assert rules_broken(changed, part={1: door}) == {"grain"}
    assert rules_broken(changed, part={1: door}, offcut={0: {"grain": False}}) == set()
    assert rules_broken(changed, part={1: door | {"grain": "width"}}) == set()
    assert rules_broken(changed, part={1: door | {"grain": "any"}}) == set()


def leaning_toward(changed: dict[str, Any]) -> dict[str, Any]:
    changed["steps"][9] |= {"leans": "toward", "setting": 3}  # the tall face at the fence
    return changed


def test_blade_leaning_toward_the_fence() -> None:
    assert rules_broken(leaning_toward(document()), saw={"fence_side": "left"}) == set()
    assert rules_broken(leaning_toward(document())) == {"saw"}


def test_bevel_setting_off_the_grid() -> None:
    """From the high edge the short face would be 2.2607: the right cut, but no mark of the fence."""
    changed = document()
    changed["steps"][9] |= {"against": "high", "setting": 2.260723305}
    assert rules_broken(changed) == {"steps"}


def warning(code: str, where: str) -> dict[str, str]:
    return {"code": code, "text": "Take care.", "where": where}


@pytest.mark.parametrize(
    ("where", "told"),
    [
        ("step 10", True),
        ("steps 3, 9-11", True),
        ("A1", True),
        ("10", True),
        ("step 9", False),
        ("B1", False),
        ("", False),
    ],
)
def test_a_warning_allows_a_narrow_rip_where_it_names_it(where: str, told: bool) -> None:
    changed = document()
    changed["warnings"] = [warning("narrow_rip", where)]
    assert (rules_broken(changed, saw={"narrowest_rip": "2 1/2"}) == set()) is told


def test_a_warning_of_another_kind_allows_nothing() -> None:
    changed = document()
    changed["warnings"] = [warning("outfeed_support", "step 10")]
    assert rules_broken(changed, saw={"narrowest_rip": "2 1/2"}) == {"saw"}


def at_fence(changed: dict[str, Any]) -> dict[str, Any]:
    """Crosscut the shelf's strip against the fence: its edge there is 13 15/16, the setting 20 or 19 3/8."""
    changed["steps"][7] |= {"station": "table saw"}
    for step, setup in zip(changed["steps"][7:], (7, 8, 9, 10), strict=True):
        step["setup"] = setup
    changed["setups"] |= {"fence": 6, "stop": 3}
    return changed


def test_crosscut_against_the_fence_needs_a_wide_piece() -> None:
    assert rules_broken(at_fence(document())) == {"saw"}
    changed = at_fence(document())
    changed["steps"][7] |= {"against": "high", "setting": 19.375}
    assert rules_broken(changed) == {"saw"}


def test_pieces_that_overlap() -> None:
    """A tree whose sizes are wrong in a way that only outlines show has more faults; overlap is one of them."""
    changed = document()
    node(changed, "B1.2")["y"] = 4.0
    assert {"overlap", "kerf"} <= rules_broken(changed)


def test_piece_off_its_stock() -> None:
    changed = document()
    node(changed, "B1.2")["y"] = 6.0
    assert "overlap" in rules_broken(changed)


def test_cut_below_a_part() -> None:
    changed = document()
    changed_part = node(changed, "B1.1")
    changed_part |= {"cut": "rip", "bevel": 0, "pieces": [dict(changed_part, id="B1.3")]}
    assert "roles" in rules_broken(changed)


def test_step_before_its_piece_exists() -> None:
    changed = document()
    changed["steps"][0], changed["steps"][1] = changed["steps"][1] | {"n": 1}, changed["steps"][0] | {"n": 2}
    assert "steps" in rules_broken(changed)


def test_unproven_plan_is_sound() -> None:
    changed = document() | {"cost_bound": 20, "proven": False}
    assert rules_broken(changed) == set()
    assert rules_broken(changed | {"proven": True}) == {"bound"}


def test_lone_cleat() -> None:
    """A strip 3 in wide gives one cleat; 3 + 3/4 - 0.1768 - 3 = 0.573 on its tall face is left, and has to be drawn."""
    changed = document()
    gap = 0.176776695
    strip = {"id": "B1", "x": 0, "y": 0, "length": 20, "width": 10.125}
    lone = {"id": "B1.1", "x": 0, "y": 0, "length": 20, "width": 3, "role": "cut", "cut": "rip", "bevel": 45}
    tall = {"id": "B1.3", "x": 0, "y": 0, "length": 20, "width": 3, "role": "part", "part": "spare rail"}
    left = {"id": "B1.4", "x": 0, "y": 2.25 + gap, "length": 20, "width": 0.75 - gap, "role": "waste"}
    lone["pieces"] = [tall, left]
    rest = {"id": "B1.2", "x": 0, "y": 3.125, "length": 20, "width": 7, "role": "offcut"}
    changed["layouts"][1]["tree"] = strip | {"role": "cut", "cut": "rip", "bevel": 0, "pieces": [lone, rest]}
    changed["job"]["part"][1]["quantity"] = 2
    changed["job"]["cleat"].append({"name": "spare rail", "length": 20})
    changed["parts"][1] |= {"asked": 2, "made": 2}
    spare = {"name": "spare rail", "length": 20, "width": 3, "thickness": 0.75, "asked": 1, "made": 1}
    changed["parts"].append(spare)
    rip = changed["steps"][5]
    rip |= {"setting": 3, "setup": 7}
    other = changed["steps"].pop(6) | {"setup": 6}
    changed["steps"].insert(5, other)
    for n, step in enumerate(changed["steps"], start=1):
        step["n"] = n
        step["setup"] += n > 7
    bevel = changed["steps"][9]
    changed["steps"].insert(10, bevel | {"n": 11, "layout": "B1", "piece": "B1.1", "makes": ["B1.3", "B1.4"]})
    changed["steps"][11]["n"] = 12
    changed["setups"] |= {"fence": 6, "total": 11, "bound": 11}
    assert rules_broken(changed) == set()
    lone["pieces"] = [tall]
    changed["steps"][10]["makes"] = ["B1.3"]
    assert rules_broken(changed) == {"bevel", "steps"}


# -- without the project


def test_a_plan_without_its_project_is_checked_against_itself() -> None:
    changed = document()
    del changed["job"]
    report = check_plan(plan_of(changed))
    assert report.faults == ()
    assert len(report.notes) == 2
    assert set(report.rules_checked) < set(RULES)


ALONE: list[tuple[Callable[[dict[str, Any]], Any], str]] = [
    (lambda plan: plan.update(cost=30), "money"),
    (lambda plan: plan["buy"][0].update(count=2, cost=67), "money"),
    (lambda plan: plan["parts"].pop(), "demand"),
    (lambda plan: plan["parts"].append(plan["parts"][0]), "demand"),
    (lambda plan: plan["parts"][1].update(made=3), "demand"),
    (lambda plan: plan["parts"][1].update(asked=3), "demand"),
    (lambda plan: node(plan, "B1.2").update(y=5.1), "kerf"),
    (lambda plan: node(plan, "A1.12").update(width=3.02), "bevel"),
    (lambda plan: node(plan, "B2.1").update(part="rail"), "sizes"),
    (lambda plan: plan["parts"][5].update(width=3.5), "sizes"),
    (lambda plan: plan["steps"][8].update(setting=13), "steps"),
    (lambda plan: plan["setups"].update(stop=5, total=11), "setups"),
]


@pytest.mark.parametrize(("change", "rule"), ALONE)
def test_faults_found_without_the_project(change: Callable[[dict[str, Any]], Any], rule: str) -> None:
    changed = document()
    del changed["job"]
    change(changed)
    assert rule in rules_broken(changed)


def test_a_plan_of_one_uncut_piece_needs_no_kerf() -> None:
    changed = document() | {"buy": [], "cost": 0, "cost_bound": 0, "steps": []}
    del changed["job"]
    whole = {"id": "A1", "x": 0, "y": 0, "length": 20, "width": 13.875, "role": "part", "part": "shelf"}
    changed["layouts"] = [
        {"id": "A1", "stock": "owned", "length": 20, "width": 13.875, "thickness": 0.75, "tree": whole}
    ]
    changed["parts"] = changed["parts"][:1]
    changed["setups"] = {"fence": 0, "stop": 0, "guide": 0, "tilt": 0, "total": 0, "bound": 0, "proven": True}
    assert rules_broken(changed) == set()
    whole |= {"width": 14, "role": "cut", "cut": "rip", "pieces": [dict(whole, id="A1.1")]}
    changed["layouts"][0]["width"] = 14
    whole.pop("part")
    report = check_plan(plan_of(changed))
    assert len(report.notes) == 3  # the only cut eats its rest, so the kerf is not known


def test_a_job_that_cannot_be_read() -> None:
    changed = document() | {"job": {"project": {"name": "x"}}}
    with pytest.raises(BadInput):
        check_plan(plan_of(changed))
