"""The checker on a plan as it is really made: sound as it is, found out with any one value of it changed."""

from __future__ import annotations

import copy
import json
from collections.abc import Iterator
from typing import Any

import pytest
from pydantic import ValidationError

from nesting.check import check_plan
from nesting.make import plan_project
from nesting.plan import Plan, plan_to_json
from nesting.project.read import project_from_mapping

# The sheet leaves 47 1/2 x 23 1/2. No bar holds two of the cleats, all 30 in or longer. Three lone ones and the shelf
# would need 3 + 2 1/2 + 3 + 14 3/4 and three kerfs, 23 5/8: so two are bevelled from one blank, the third is alone.
# The doors are the offcut; the tags fit beside the shelf and leave a piece worth keeping there.
JOB: dict[str, Any] = {
    "project": {"name": "repair bay", "unit": "in", "fence_step": "1/32"},
    "saw": {"kerf": "1/8", "edge_trim": "1/4"},
    "sheet": [{"name": "ply", "length": 48, "width": 24, "thickness": "3/4", "price": 40}],
    "offcut": [{"name": "rest", "length": 20, "width": "10 1/8", "thickness": "3/4", "quantity": 1}],
    "part": [
        {"name": "shelf", "length": 30, "width": "14 3/4", "thickness": "3/4"},
        {"name": "door", "length": 20, "width": 5, "thickness": "3/4", "quantity": 2},
        {"name": "tag", "length": 7, "width": 3, "thickness": "3/4", "quantity": 2, "filler": True, "grain": "any"},
    ],
    "cleats": {"wall_height": 3, "holder_height": "2 1/2", "thickness": "3/4", "bevel": 45},
    "cleat": [
        {"name": "rail", "length": 46},
        {"name": "hanger", "length": 40, "kind": "holder"},
        {"name": "stub", "length": 30},
    ],
}
PROJECT = project_from_mapping(JOB)

FREE = {"bound_kind", "bound_text", "seed", "seconds", "warnings", "work"}
"""What the checker has no means to judge, or what is meant for the reader alone."""

CHOICES: dict[str, list[str | None]] = {
    "role": ["cut", "part", "offcut", "waste"],
    "cut": ["rip", "crosscut", None],
    "against": ["low", "high"],
    "leans": ["away", "toward", None],
    "station": ["table saw", "breakdown saw"],
    "part": ["shelf", "door", "tag", "rail", "hanger", "stub", None],
    "stock": ["ply", "rest"],
    "layout": ["A1", "B1"],
    "unit": ["mm"],
}

Path = tuple[str | int, ...]


@pytest.fixture(scope="module")
def sound() -> dict[str, Any]:
    document: dict[str, Any] = json.loads(plan_to_json(plan_project(PROJECT, seconds=2).plan))
    del document["job"]
    return document


def nodes(document: dict[str, Any]) -> list[dict[str, Any]]:
    found, todo = [], [layout["tree"] for layout in document["layouts"]]
    while todo:
        node = todo.pop()
        found.append(node)
        todo += node.get("pieces", [])
    return found


def is_faulty(document: dict[str, Any]) -> bool:
    try:
        return bool(check_plan(Plan.model_validate(document), PROJECT).faults)
    except ValidationError:
        return True


def leaves(value: Any, path: Path = ()) -> Iterator[tuple[Path, Any]]:
    if isinstance(value, dict | list):
        for key, below in value.items() if isinstance(value, dict) else enumerate(value):
            if (*path, key)[0] not in FREE:
                yield from leaves(below, (*path, key))
    else:
        yield path, value


def others(key: str | int, value: Any) -> list[Any]:
    if isinstance(value, bool):
        return [not value]
    if isinstance(value, int):
        return [value + 1, value - 1]
    if isinstance(value, float):
        return [value + 1 / 64, value - 1 / 64]
    return [other for other in CHOICES.get(str(key), [f"{value} other"]) if other != value]


def changes_nothing(sound: dict[str, Any], path: Path, value: Any, other: Any) -> bool:
    """Whether the plan is as good with the other value."""
    if path == ("setups", "bound"):
        return bool(other <= sound["setups"]["total"])  # a lower bound is taken on trust, if it fits ``proven``
    if path[-1] == "role":
        return {value, other} == {"offcut", "waste"}  # what is worth keeping is a matter of taste
    if path[0] == "steps" and path[-1] == "against":
        step = sound["steps"][path[1]]
        cut = next(node for node in nodes(sound) if node["id"] == step["piece"])
        sizes = {piece["width" if cut["cut"] == "rip" else "length"] for piece in cut["pieces"]}
        return not cut["bevel"] and len(cut["pieces"]) == 2 and len(sizes) == 1
    return False


def test_plan_of_every_kind_of_piece_has_no_fault(sound: dict[str, Any]) -> None:
    assert check_plan(Plan.model_validate(sound), PROJECT).faults == ()
    assert sound["proven"]
    bars = sorted(
        sorted({name for bar in node["pieces"] for name in (below.get("part") for below in below_of(bar)) if name})
        for node in nodes(sound)
        if node.get("bevel")
    )
    assert sorted(map(len, bars)) == [1, 2]  # a lone cleat, and a pair
    assert {row["name"]: row["made"] for row in sound["parts"]}["tag"] == 2
    assert {"cut", "part", "offcut", "waste"} == {node["role"] for node in nodes(sound)}
    assert sorted(line["stock"] for line in sound["buy"]) == ["ply", "rest"]


def below_of(node: dict[str, Any]) -> Iterator[dict[str, Any]]:
    yield node
    for piece in node.get("pieces", []):
        yield from below_of(piece)


def test_every_changed_value_of_a_made_plan_is_found(sound: dict[str, Any]) -> None:
    tried, wrong = 0, []
    for path, value in leaves(sound):
        for other in others(path[-1], value):
            if changes_nothing(sound, path, value, other):
                continue
            changed = copy.deepcopy(sound)
            place: Any = changed
            for key in path[:-1]:
                place = place[key]
            place[path[-1]] = other
            tried += 1
            if not is_faulty(changed):
                wrong.append((path, value, other))
    assert wrong == []
    assert tried > 500


def test_every_key_added_to_a_piece_is_found(sound: dict[str, Any]) -> None:
    """``turned`` says nothing of a piece that is no part."""
    missed = []
    for place, node in enumerate(nodes(sound)):
        waste = {key: node[key] for key in ("x", "y", "length", "width")} | {"id": f"{node['id']}9", "role": "waste"}
        added: dict[str, Any] = {"bevel": 45, "cut": "rip", "part": "tag", "pieces": [waste], "turned": True}
        for key, value in added.items():
            if key in node and node[key] not in (0, False):
                continue
            if key == "turned" and node["role"] != "part":
                continue
            changed = copy.deepcopy(sound)
            nodes(changed)[place][key] = value
            if not is_faulty(changed):
                missed.append((node["id"], key))
    assert missed == []


def test_a_cut_without_pieces_is_a_fault_and_no_crash(sound: dict[str, Any]) -> None:
    changed = copy.deepcopy(sound)
    changed["layouts"][0]["tree"]["pieces"] = []
    assert is_faulty(changed)
