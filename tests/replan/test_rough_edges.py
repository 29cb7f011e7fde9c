"""Rests that reach to a factory edge: what is rough comes off first, and everything adds up."""

from collections import Counter
from fractions import Fraction

import pytest

from nesting.check.geometry import check_tree
from nesting.check.report import Blade, Findings
from nesting.demand import Cleat
from nesting.layout import Layout, Node
from nesting.plan import layout_document
from nesting.project.read import project_from_mapping
from nesting.replan.attempt import numbered_layout
from nesting.replan.bars import from_bars
from nesting.replan.bench import Bar, Room
from nesting.replan.graft import planted
from nesting.replan.wanted import Kind

KERF = Fraction(1, 8)
WHOLE = Node("A1", Fraction(0), Fraction(0), Fraction(48), Fraction(24), "waste")
SHEET = Layout("A1", "ply", Fraction(48), Fraction(24), Fraction(1, 2), WHOLE)


@pytest.mark.parametrize("trim", [Fraction(1, 2), Fraction(1, 16), KERF])
def test_all_four_edges_come_off(trim):
    """Of 48 × 24 with 1/2 rough all round 47 × 23 is left, and four cuts take 3/8 and a kerf each."""
    room = Room("A1", SHEET, WHOLE, trim, trim, 48 - 2 * trim, 24 - 2 * trim, whole=False)
    part = Node("", Fraction(0), Fraction(0), room.length, room.width, "part", part="back")
    made = numbered_layout(planted(part, room, KERF))
    findings = Findings()
    check_tree(layout_document(made), Blade(float(KERF), 0.0, 0.0), findings)
    assert findings.faults == []
    nodes = list(made.tree.walk())
    assert sum(node.role == "cut" for node in nodes) == 4
    assert [node.width for node in nodes if node.role == "part"] == [24 - 2 * trim]
    assert sum(node.role == "waste" for node in nodes) == (4 if trim > KERF else 0)


def test_a_bar_with_a_rough_end():
    """A bar 40 long, its first 1/2 rough: 30 and 9 and a kerf go into what is left, 39 3/8 more would not."""
    job = {
        "project": {"name": "bars"},
        "saw": {"kerf": "1/8"},
        "sheet": [{"name": "ply", "length": 48, "width": 24, "thickness": "1/2"}],
        "cleats": {"thickness": "1/2"},
        "cleat": [
            {"name": "long", "length": 30},
            {"name": "short", "length": 9},
            {"name": "whole", "length": "39 1/2"},
        ],
    }
    project = project_from_mapping(job)
    nowhere: frozenset[int] = frozenset()
    kinds = {
        cleat.name: Kind(Cleat(cleat.name, "wall", Fraction(3), cleat.length, 0, nowhere), Fraction(1, 2))
        for cleat in project.cleat
    }
    node = Node("A1.3", Fraction(0), Fraction(5), Fraction(40), Fraction(3), "waste")
    bar = Bar("A1.3", SHEET, node, Fraction(1, 2), (Fraction(79, 2),), there=True)
    (made,), given = from_bars(project, [bar], _count(long=1, short=2), kinds)
    assert given == _count(long=1, short=1)
    assert [one.part for one in made.tree.walk() if one.part] == ["long", "short"]
    assert made.tree.pieces[0].length == Fraction(3, 8)
    (whole,), given = from_bars(project, [bar], _count(whole=1), kinds)
    assert given == _count(whole=1)
    assert whole.tree.pieces[-1].part == "whole"
    tall = Bar("A1.3", SHEET, node, Fraction(0), (Fraction(40),), there=True)
    low = {"long": Kind(Cleat("long", "wall", Fraction(2), Fraction(30), 0, nowhere), Fraction(1, 2))}
    assert from_bars(project, [tall], _count(long=1), low) == ([], _count())
    thick = {"long": Kind(Cleat("long", "wall", Fraction(3), Fraction(30), 0, nowhere), Fraction(3, 4))}
    assert from_bars(project, [tall], _count(long=1), thick) == ([], _count())


def _count(**names):
    return Counter(names)
