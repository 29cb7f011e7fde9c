"""What cannot be done is told part by part, and limits on stages are kept, through the whole way."""

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
