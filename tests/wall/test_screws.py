"""The screw schedule, worked by hand; NEC 300.4(A)(1) and ANSI/AWC NDS 2018, 12.1.5.6, as cited in the module."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from nesting.project.model import Project
from nesting.trade.screw_lengths import SIZES
from nesting.wall.holders import build_all
from nesting.wall.screws import cautions, faults, holder_lines, row_screws, screws_at, shopping, wall_screw
from tests.wall.workshop import workshop

F = Fraction
STUDS = {"first": "8", "spacing": "16"}


def walled(unit: str = "in", **wall: Any) -> Project:
    size = {"width": "144", "height": "84", "studs": STUDS} if unit == "in" else {"width": 3600, "height": 2100}
    return workshop(unit=unit, wall=size | {"sheathing": [{"name": "drywall", "thickness": "5/8 in"}]} | wall)


def told(project: Project) -> dict[str, str]:
    return {caution.code: caution.text for caution in cautions(project)}


def test_the_usual_screw_falls_short_behind_thick_drywall() -> None:
    # common practice, no source: 2 1/2 - 23/32 - 5/8 = 1 5/32, less than the 1 1/4 wanted
    project = walled()
    assert project.wall is not None
    screw = wall_screw(project, project.wall)
    assert (screw.gauge, screw.length, screw.embedded, screw.usual) == (8, 3, F(53, 32), F(37, 32))
    assert (screw.clearance, screw.lead) == (F(11, 64), F(7, 64))
    assert "only 1 5/32 in in the studs behind 23/32 in and 5/8 in" in told(project)["usual_screw_short"]
    assert "use 3 in" in told(project)["usual_screw_short"]
    assert "Drill 11/64 in through the cleat and 7/64 in into the stud" in told(project)["wall_lead_holes"]
    assert "1 21/32 in behind the face" in told(project)["wiring_behind"]


def test_half_inch_drywall_takes_the_usual_screw() -> None:
    project = walled(sheathing=[{"name": "drywall", "thickness": "1/2"}])
    assert project.wall is not None
    assert wall_screw(project, project.wall).length == F(5, 2)
    assert set(told(project)) == {"wiring_behind", "wall_lead_holes"}  # 1 9/32 in the stud


def test_millimetres_have_their_own_lengths() -> None:
    # 18 + 15.875 + 32 = 65.875 mm: the usual 60 mm falls short, 70 mm is the next sold
    project = walled("mm")
    assert project.wall is not None
    assert wall_screw(project, project.wall).length == 70
    assert "usual 60 mm" in told(project)["usual_screw_short"]


def test_a_screw_asked_for_is_measured_against_what_is_wanted() -> None:
    short = walled(screws={"length": "2", "gauge": 10})
    assert "stand only 21/32 in in the studs" in told(short)["wall_screw_short"]
    assert "less than 6 of its diameters (1 5/32 in)" in told(short)["wall_screw_unrated"]
    assert not list(faults(short))
    (fault,) = faults(walled(screws={"length": "1 1/4"}))
    assert fault.pointer == "/wall/screws/length"
    assert fault.accepted == "more than 1 11/32 in, 2 19/32 in for the embedment wanted; 3 in is sold"
    assert not list(faults(walled()))


def test_no_screw_is_sold_for_a_very_thick_wall() -> None:
    project = walled(sheathing=[{"name": "foam", "thickness": "3"}])
    words = told(project)
    assert "No usual screw is 4 31/32 in long" in words["no_such_screw"]
    assert "would not reach the studs" in words["usual_screw_short"]


@pytest.mark.parametrize("gauge", [8, 10, 24])
def test_screws_at_a_splice_stay_on_the_stud_and_off_the_end(gauge: int) -> None:
    project = walled(screws={"gauge": gauge})
    wall = project.wall
    assert wall is not None
    low, high = screws_at(project, wall, F(4), F(52)), screws_at(project, wall, F(56), F(64))
    assert low[:-1] == (8, 24, 40)
    assert high[1:-1] == (72, 88, 104)
    edge = F(5, 2) * SIZES[gauge][0]
    if gauge < 24:  # so thick a screw splits a stud beside its middle
        assert low[-1] < 56 < high[0]
        assert F(3, 4) - (56 - low[-1]) >= edge
        assert F(3, 4) - (high[0] - 56) >= edge
    else:
        assert low[-1] == high[0] == 56


def test_a_row_has_a_screw_at_every_stud_and_two_at_a_splice() -> None:
    # 140 in of run on nine studs, spliced on one: ten screws, twenty where two a stud are asked for
    pieces = [(1, F(4), F(52)), (1, F(56), F(84)), (2, F(4), F(92))]
    lines = row_screws(walled(), pieces)
    assert [(line.holds, line.count) for line in lines] == [("row 1 to the studs", 10), ("row 2 to the studs", 6)]
    assert [line.count for line in row_screws(walled(screws={"per_stud": 2}), pieces)] == [20, 12]
    assert shopping(lines) == (("wood screw", 8, F(3), 16),)
    bare = workshop({"name": "it", "style": "back", "width": "12", "height": "8"})
    assert row_screws(bare, pieces) == ()
    assert list(cautions(bare)) == list(faults(bare)) == []


def test_holders_screws_are_counted_for_all_copies() -> None:
    box = {"name": "box", "style": "box", "width": "12", "height": "8", "thickness": "3/4", "quantity": 3}
    built, _ = build_all(workshop(box))
    lines = {line.holds: line.count for line in holder_lines(built, {"box": 2})}
    assert lines["box: back into its cleat"] == 9
    assert lines["box: back into its spacer"] == 4
    assert "box: back into its spacer" not in {line.holds for line in holder_lines(built, {})}
    assert {line.length for line in holder_lines(built, {})} == {F(5, 4), F(2)}
