"""Exact lengths read back from a plan file: nothing is lost on the way there and back."""

from fractions import Fraction

import pytest

from nesting.make import plan_project
from nesting.plan import layout_document, plan_from_json, plan_to_json, step_document
from nesting.project.read import project_from_mapping
from nesting.replan.exact import Ruler

SHEET = {"name": "ply", "length": "48", "width": "24", "thickness": "23/32", "price": 40}
PART = {"name": "shelf", "length": "20", "width": "8 1/4", "thickness": "23/32", "quantity": 2}
CLEAT = [{"name": "cleat", "length": "30 3/8", "quantity": 3}]
INCH = {"project": {"name": "inches"}, "saw": {"kerf": "1/8"}, "sheet": [SHEET], "part": [PART], "cleat": CLEAT}
TOWARD = INCH | {"saw": {"kerf": "3/32", "blade_leans": "right"}, "cleats": {"bevel": 30}}
ODD = INCH | {"saw": {"kerf": "3.2 mm"}, "part": [PART | {"length": "511 mm"}]}
MM = {
    "project": {"name": "millimetres", "unit": "mm"},
    "saw": {"kerf": "2.8", "edge_trim": "2.5"},
    "sheet": [{"name": "ply", "length": 1220, "width": 610, "thickness": "18", "price": 40}],
    "part": [{"name": "shelf", "length": "20 1/8 in", "width": "210.5", "thickness": 18, "quantity": 2}],
    "cleats": {"bevel": 22.5},
    "cleat": [{"name": "cleat", "length": 700, "quantity": 3}],
}


@pytest.mark.parametrize("job", [INCH, TOWARD, ODD, MM], ids=["inch", "toward", "odd", "mm"])
def test_there_and_back(job):
    project = project_from_mapping(job)
    plan = plan_from_json(plan_to_json(plan_project(project, seconds=0.4, easier=False).plan))
    ruler = Ruler(project)
    layouts = {layout.id: ruler.layout(layout) for layout in plan.layouts}
    assert tuple(layout_document(layout) for layout in layouts.values()) == plan.layouts
    steps = ruler.steps(plan, layouts)
    documents = tuple(step_document(step, told.matters) for step, told in zip(steps, plan.steps, strict=True))
    assert documents == plan.steps
    kerf = project.saw.kerf
    for layout in layouts.values():  # exactly, not to nine places
        for node in layout.tree.walk():
            if node.cut == "crosscut" and len(node.pieces) == 2:
                low, high = node.pieces
                assert low.length + kerf + high.length == node.length
            if node.part == "shelf":
                part = project.part[0]
                assert (node.length, node.width) == (part.length, part.width)


def test_a_decimal_that_is_no_mark_stays_a_decimal():
    ruler = Ruler(project_from_mapping(INCH))
    assert ruler(1 / 3) == Fraction(repr(1 / 3))
    assert ruler(0.125000000001) == Fraction(1, 8)
    assert ruler.on_fence(0.3) is None
