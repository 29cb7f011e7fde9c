"""Jobs whose answers are known by hand, through the whole way: project, plan, check."""

from __future__ import annotations

import json
from typing import Any

import pytest

from nesting.make import Made, plan_project
from nesting.project.read import project_from_mapping


def _plan(seconds: float = 10.0, **tables: Any) -> Made:
    project = {"project": {"name": "known"}, "saw": {"kerf": "1/8", "edge_trim": 0}, **tables}
    return plan_project(project_from_mapping(project), seconds=seconds)


def _sheet(**keys: Any) -> dict[str, Any]:
    return {"name": "ply", "length": 96, "width": 48, "thickness": "23/32", "price": 60, **keys}


def _cleats(count: int, length: str | int, height: int = 3) -> dict[str, Any]:
    return {
        "sheet": [_sheet()],
        "cleats": {"wall_height": height, "thickness": "23/32", "bevel": 45},
        "cleat": [{"name": "cleat", "length": length, "quantity": count}],
    }


@pytest.mark.parametrize(
    ("count", "height", "sheets"),
    [
        (16, 3, 1),  # 8 blanks of 5 15/32 in and 7 kerfs: 44 5/8 in of 48
        (17, 3, 1),  # and a lone cleat of 3 in with its kerf: 47 3/4 in
        (18, 3, 2),  # 9 blanks and 8 kerfs: 50 7/32 in
        (12, 4, 1),  # 6 blanks of 7 15/32 in and 5 kerfs: 45 7/16 in
        (13, 4, 2),  # a lone cleat of 4 in more: 49 9/16 in
    ],
)
def test_cleats_as_long_as_the_sheet(count: int, height: int, sheets: int) -> None:
    plan = _plan(**_cleats(count, 96, height)).plan
    assert (len(plan.layouts), plan.cost, plan.cost_bound, plan.proven) == (sheets, 60 * sheets, 60 * sheets, True)
    assert [(part.asked, part.made) for part in plan.parts] == [(count, count)]


def test_two_cleats_a_bar_double_the_number() -> None:
    plan = _plan(**_cleats(32, "47 7/8")).plan
    assert (len(plan.layouts), plan.proven) == (1, True)


def test_a_kerf_stands_between_two_halves_and_the_warning_names_the_size_that_would_fit() -> None:
    plan = _plan(**_cleats(17, 48)).plan
    assert len(plan.layouts) == 1  # one a bar, so as many as of 96 in
    assert len(_plan(**_cleats(18, 48)).plan.layouts) == 2
    (warning,) = [warning for warning in plan.warnings if warning.code == "kerf_miss"]
    assert "47 15/16" in warning.text
    assert len(_plan(**_cleats(34, "47 15/16")).plan.layouts) == 1


@pytest.mark.parametrize(("stock", "part", "trim"), [(96, 48, 0), ("96 1/4", 48, "1/8")])
def test_a_near_miss_is_told_only_where_so_many_are_wanted(stock: Any, part: int, trim: Any) -> None:
    wanted = {"name": "shelf", "length": part, "width": 9, "thickness": "23/32"}
    saw = {"kerf": "1/8", "edge_trim": trim}
    for count, grain, told in ((1, "length", False), (2, "length", True), (2, "width", False)):
        parts = [{**wanted, "quantity": count, "grain": grain}]
        plan = _plan(sheet=[_sheet(length=stock, width=60)], part=parts, saw=saw).plan
        assert any(warning.code == "kerf_miss" for warning in plan.warnings) is told


def test_a_blank_of_six_inches_gives_tall_faces_of_6_5732_together() -> None:
    tables = _cleats(2, 96)
    tables["cleats"] = {"wall_height": "3 9/32", "holder_height": "3 9/32", "thickness": "3/4"}
    tables["sheet"] = [_sheet(width=6, thickness="3/4")]
    plan = _plan(**tables).plan
    assert (len(plan.layouts), plan.proven) == (1, True)
    widths = [node["width"] for node in _nodes(plan.layouts[0].tree) if node["role"] == "part"]
    assert sum(widths) == pytest.approx(6 + 0.75 - 0.125 * 2**0.5, abs=2e-6)
    assert round(sum(widths), 4) == 6.5732


def test_two_parts_as_wide_as_an_offcut_less_a_kerf_come_out_of_it_for_nothing() -> None:
    offcut = {"name": "rest", "length": 30, "width": "12 1/8", "thickness": "23/32"}
    part = {"name": "side", "length": 30, "width": 6, "thickness": "23/32", "quantity": 2}
    plan = _plan(sheet=[_sheet()], offcut=[offcut], part=[part]).plan
    assert (plan.cost, plan.proven) == (0, True)
    assert [(line.stock, line.count) for line in plan.buy] == [("rest", 1)]
    wider = {**part, "width": "6 1/32"}
    assert _plan(sheet=[_sheet()], offcut=[offcut], part=[wider]).plan.cost == 60


def test_the_cheapest_mix_of_a_dear_a_cheaper_and_a_cheap_stock() -> None:
    # three panels of 47 x 23: a full sheet holds four, a half two, a quarter one
    stocks = [
        _sheet(name="full", price=80),
        _sheet(name="half", length=48, width=48, price=45),
        _sheet(name="quarter", length=48, width=24, price=20),
    ]
    part = {"name": "panel", "length": 47, "width": 23, "thickness": "23/32", "quantity": 3}
    plan = _plan(sheet=stocks, part=[part]).plan
    assert (plan.cost, plan.proven) == (60, True)  # three quarters
    scarce = [stocks[0], stocks[1], {**stocks[2], "available": 1}]
    plan = _plan(sheet=scarce, part=[part]).plan
    assert (plan.cost, plan.proven) == (65, True)  # a half and a quarter
    assert sorted(line.stock for line in plan.buy) == ["half", "quarter"]
    plan = _plan(sheet=scarce, part=[{**part, "quantity": 4}]).plan
    assert (plan.cost, plan.proven) == (80, True)  # one full sheet


def test_five_fillers_beside_a_panel() -> None:
    project = {
        "project": {"name": "fillers", "unit": "mm"},
        "saw": {"kerf": 3, "edge_trim": 0},
        "sheet": [{"name": "ply", "length": 1000, "width": 1000, "thickness": 18, "price": 40}],
        "part": [
            {"name": "panel", "length": 1000, "width": 697, "thickness": 18},
            {
                "name": "box",
                "length": 300,
                "width": 197,
                "thickness": 18,
                "quantity": 20,
                "grain": "any",
                "filler": True,
            },
        ],
    }
    plan = plan_project(project_from_mapping(project), seconds=5).plan
    assert {part.name: part.made for part in plan.parts} == {"panel": 1, "box": 5}
    assert (plan.cost, plan.proven) == (40, True)


def test_a_job_that_only_rearranged_cuts_can_do_is_planned_without_a_guided_saw() -> None:
    sizes = [("a", 318, "50.5", 1, "length"), ("b", 1024, 295, 2, "any"), ("c", 1766, 93, 2, "any")]
    sizes += [("d", 270, 1245, 1, "width")]
    project = {
        "project": {"name": "wide", "unit": "mm", "fence_step": "0.1"},
        "saw": {"kerf": 3, "edge_trim": 0, "breakdown_saw": False},
        "sheet": [
            {"name": "big", "length": 2400, "width": 905, "thickness": 19, "price": 20, "grain": False, "edge_trim": 2},
            {"name": "mid", "length": 2180, "width": 930, "thickness": 19, "price": 10, "grain": False, "available": 3},
            {"name": "own", "length": 2048, "width": "1146.5", "thickness": 19, "price": 0, "grain": False},
        ],
        "board": [{"name": "slim", "length": 2048, "width": 100, "thickness": 19, "price": 0, "grain": False}],
        "part": [
            {"name": name, "length": length, "width": width, "thickness": 19, "quantity": count, "grain": grain}
            for name, length, width, count, grain in sizes
        ],
    }
    plan = plan_project(project_from_mapping(project), seconds=5).plan
    assert (plan.cost, plan.proven) == (0, True)


def _nodes(tree: Any) -> list[dict[str, Any]]:
    todo, found = [json.loads(tree.model_dump_json(by_alias=True))], []
    while todo:
        node = todo.pop()
        found.append(node)
        todo += node.get("pieces") or []
    return found
