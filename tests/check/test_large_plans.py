"""The checker on large plans: its time grows with the parts, and a tree may be as deep as it likes."""

from __future__ import annotations

import pytest

from nesting.check import check_plan
from nesting.json_text import write_json
from nesting.plan import plan_from_json, plan_to_json
from tests.check.strips import seconds_of_checking, sheets_of_strips, strips


@pytest.mark.parametrize(("sheets", "deep"), [(10, 100), (1, 1000)], ids=["side by side", "one below the other"])
def test_ten_times_the_parts_take_about_ten_times_as_long(sheets: int, deep: int) -> None:
    """A check that looked at each part against each other would take a hundred times as long.

    How long 1,000 parts take is measured by ``benchmarks.check``.
    """
    few = seconds_of_checking(sheets_of_strips(1, 100), 8)
    many = seconds_of_checking(sheets_of_strips(sheets, deep), 3)
    assert many < 35 * few


def test_a_tree_two_thousand_deep() -> None:
    changed = strips(2000)
    plan = plan_from_json(write_json(changed))
    assert check_plan(plan).faults == ()
    assert plan_from_json(plan_to_json(plan)).layouts[0].tree.pieces[0].part == "strip"
