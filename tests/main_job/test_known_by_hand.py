"""What must hold, known by hand: through the whole way, checked plan and all."""

from __future__ import annotations

from typing import Any

import pytest

from nesting.errors import CannotBeDone
from nesting.make import Made, plan_project
from nesting.project.read import project_from_mapping

PLY = {"name": "ply", "length": "96", "width": "48", "thickness": "23/32", "price": 60}


def made(**tables: Any) -> Made:
    """Plan a job of 23/32 ply, kerf 1/8, no trim, with what the tables say otherwise."""
    job = {
        "project": {"name": "pottery studio"},
        "saw": {"kerf": "1/8", "edge_trim": "0"},
        "sheet": [PLY],
        "cleats": {"thickness": "23/32", "wall_height": "3"},
    } | tables
    return plan_project(project_from_mapping(job), seconds=5)


def cleats(number: int, length: str, height: str = "3") -> dict[str, Any]:
    """Ask for cleats of one size."""
    return {
        "cleats": {"thickness": "23/32", "wall_height": height},
        "cleat": [{"name": "row", "length": length, "quantity": number}],
    }


@pytest.mark.parametrize(
    ("number", "height", "sheets"), [(16, "3", 1), (17, "3", 1), (18, "3", 2), (12, "4", 1), (13, "4", 2)]
)
def test_cleats_96_in_long(number: int, height: str, sheets: int):
    """Eight blanks of 5 15/32 in and seven kerfs leave 3 3/8 in: room for a lone seventeenth 3 in cleat."""
    plan = made(**cleats(number, "96", height)).plan
    assert (len(plan.layouts), plan.proven, plan.cost) == (sheets, True, 60.0 * sheets)


def test_two_cleats_a_bar():
    plan = made(**cleats(32, "47 7/8")).plan
    assert (len(plan.layouts), plan.proven) == (1, True)


def test_a_cleat_of_half_the_length_misses_by_the_kerf():
    plan = made(**cleats(17, "48")).plan
    assert "47 15/16 would fit 2 times" in " ".join(warning.text for warning in plan.warnings)
    for layout in plan.layouts:
        for node in layout.tree.walk():
            assert sum(piece.role == "part" for piece in node.pieces if node.cut == "crosscut") <= 1


def test_parts_as_wide_as_an_offcut_less_one_kerf_come_from_the_offcut():
    rack = {"name": "rack", "length": "20", "width": "10", "thickness": "23/32"}
    part = {"name": "tile", "length": "9 15/16", "width": "10", "thickness": "23/32", "quantity": 2}
    plan = made(offcut=[rack], part=[part]).plan
    assert (plan.cost, plan.proven, [layout.stock for layout in plan.layouts]) == (0.0, True, ["rack"])


def test_the_cheapest_mix_of_full_half_and_quarter():
    """Five 40 × 20 in parts: a quarter of 48 × 24 in holds one at 15, a half two at 45, a full sheet four at 80."""
    sheets = [
        PLY | {"name": "full", "price": 80},
        PLY | {"name": "half", "length": "48", "price": 45},
        PLY | {"name": "quarter", "length": "48", "width": "24", "price": 15},
    ]
    part = {"name": "door", "length": "40", "width": "20", "thickness": "23/32", "quantity": 5}
    plan = made(sheet=sheets, part=[part]).plan
    assert (plan.cost, plan.proven) == (75.0, True)


def test_five_fillers():
    job = {
        "project": {"name": "studio", "unit": "mm"},
        "saw": {"kerf": "3", "edge_trim": "0"},
        "sheet": [{"name": "ply", "length": "1000", "width": "1000", "thickness": "18", "price": 10}],
        "part": [
            {"name": "panel", "length": "1000", "width": "697", "thickness": "18"},
            {
                "name": "f",
                "length": "300",
                "width": "197",
                "thickness": "18",
                "quantity": 50,
                "grain": "any",
                "filler": True,
            },
        ],
    }
    plan = plan_project(project_from_mapping(job), seconds=5).plan
    assert {row.name: row.made for row in plan.parts} == {"panel": 1, "f": 5}


def test_stock_that_runs_out_is_told_part_by_part():
    with pytest.raises(CannotBeDone, match="'row' cannot be cut"):
        made(sheet=[PLY | {"available": 1}], **cleats(18, "96"))


def test_a_part_that_fits_no_stock_is_told_with_what_there_is():
    part = {"name": "counter", "length": "100", "width": "20", "thickness": "23/32"}
    with pytest.raises(CannotBeDone, match=r"'counter', 100 × 20, fits no stock.*'ply' offers 96 × 48"):
        made(part=[part])


@pytest.mark.parametrize("limits", [{"max_stages": 2}, {"max_stages": 3}, {"first_cut": "crosscut"}])
def test_limits_on_stages_are_kept(limits: dict[str, Any]):
    """The plan's own check counts the stages; a plan that breaks the limit would raise."""
    parts = [
        {"name": "back", "length": "20", "width": "10", "thickness": "23/32", "quantity": 5},
        {"name": "side", "length": "14", "width": "7", "thickness": "23/32", "quantity": 6},
    ]
    plan = made(saw={"kerf": "1/8"} | limits, part=parts, **cleats(4, "40")).plan
    assert (plan.cost, plan.proven) == (60.0, True)
