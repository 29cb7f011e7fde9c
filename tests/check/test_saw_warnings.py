"""Every warning the rules of the saw ask for is in our own plans, and missed where it is taken out."""

from __future__ import annotations

import pytest

from nesting.check import check_plan
from nesting.check.saw_warnings import ASKED
from nesting.make import plan_project
from nesting.project.read import project_from_mapping
from tests.check.by_hand import document, plan_of, project

JOB = {
    "project": {"name": "tool wall", "unit": "in"},
    "saw": {"kerf": "1/8", "edge_trim": "1/8"},
    "sheet": [{"name": "ply", "length": 96, "width": 48, "thickness": "23/32", "price": 60}],
    "part": [
        {"name": "door", "length": 40, "width": "22 1/2", "thickness": "23/32", "quantity": 2},
        {"name": "shelf", "length": 30, "width": 5, "thickness": "23/32", "quantity": 5},
        {"name": "lipping", "length": 30, "width": "1 3/4", "thickness": "23/32", "quantity": 3},
    ],
    "cleat": [{"name": "rail", "length": 46, "quantity": 6}],
}
MILLIMETRES = {
    "project": {"name": "tool wall", "unit": "mm"},
    "saw": {"kerf": 3, "edge_trim": 0, "fence_side": "left", "breakdown_saw": False, "rip_capacity": 800},
    "sheet": [{"name": "ply", "length": 2440, "width": 1220, "thickness": 18, "price": 60}],
    "part": [
        {"name": "door", "length": 1000, "width": 570, "thickness": 18, "quantity": 2},
        {"name": "shelf", "length": 700, "width": 120, "thickness": 18, "quantity": 5},
    ],
    "cleats": {"thickness": 18},
    "cleat": [{"name": "rail", "length": 1150, "quantity": 6}],
}


@pytest.fixture(scope="module", params=[JOB, MILLIMETRES], ids=["in", "mm"])
def made(request):
    return plan_project(project_from_mapping(request.param), seconds=1.5).plan


def test_our_own_plans_say_all_that_has_to_be_said(made):
    report = check_plan(made)
    assert (report.faults, report.notes, report.unsaid) == ((), (), ())
    assert {"push_stick", "outfeed_support", "bevel_side", "test_cut"} <= {warning.code for warning in made.warnings}


def test_a_warning_taken_out_is_missed(made):
    codes = {warning.code for warning in made.warnings} & (ASKED.keys() | {"fence_never_a_stop", "test_cut"})
    assert len(codes) >= 5
    for code in codes:
        left = tuple(warning for warning in made.warnings if warning.code != code)
        notes = check_plan(made.model_copy(update={"warnings": left})).unsaid
        assert [code in note for note in notes] == [True], code


def test_a_warning_for_the_wrong_step_is_missed(made):
    moved = tuple(w.model_copy(update={"where": ""}) if w.code == "push_stick" else w for w in made.warnings)
    (note,) = check_plan(made.model_copy(update={"warnings": moved})).unsaid
    assert note.startswith("no warning 'push_stick' for step")


def test_a_plan_from_elsewhere_without_warnings_is_no_worse_for_it():
    """By hand: rips of 5 in and of 2 1/4 in want a stick, no piece is full size, the bevel wants its test cut."""
    report = check_plan(plan_of(document()), project())
    assert (report.faults, report.notes) == ((), ())
    assert any("'push_stick'" in note for note in report.unsaid)
    assert any("'test_cut'" in note for note in report.unsaid)
    assert not any("full_sheet" in note for note in report.unsaid)
