"""The drawing beside the form: whatever else is wrong, the wall is drawn; and where it cannot be, it says why."""

import pytest

from api.limits import Limits
from api.pages.form.reading import reading_of
from api.pages.form.typed import from_fields
from api.pages.form.wall import drawn

WALL = {"wall.width": "96", "wall.height": "48", "wall.studs.first": "8"}
SHEET = {"sheet.0.name": "ply", "sheet.0.length": "96", "sheet.0.width": "48", "sheet.0.thickness": "23/32"}
HOLDER = {"holder.0.name": "shelf", "holder.0.style": "shelf", "holder.0.width": "24", "holder.0.height": "10"}
WHOLE = {"project.name": "Bay", "saw.kerf": "1/8", **WALL, **SHEET, **HOLDER}


def _drawn(**fields):
    typed = from_fields(fields.items())
    return drawn(typed, reading_of(typed, Limits()))


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({}, "No wall yet"),
        ({"wall.width": "96"}, "once it has a width and a height"),
        ({"wall.gap": "3"}, "once it has"),
    ],
)
def test_before_there_is_a_wall_it_says_what_is_wanted(fields, words):
    made = _drawn(**fields)
    assert made.svg == ""
    assert words in made.notes[0]


def test_a_whole_project_is_drawn_with_its_holders():
    made = _drawn(**WHOLE)
    assert (made.why, [name for _, name in made.keys]) == ((), ["shelf"])


@pytest.mark.parametrize(
    "slips",
    [
        {"saw.kerf": "thin"},
        {"saw.kerf": ""},
        {"project.name": ""},
        {"project.fence_step": "coarse", "project.unit": "in"},
        {"sheet.0.price": "dear"},
        {"sheet.0.length": ""},
        {"sheet.0.thickness": "1/4"},
        {"cleats.bevel": "sharp"},
        {"holder.1.name": "half", "holder.1.style": "box"},
        {"holder.0.load": "heavy", "holder.0.quantity": "few"},
        {"part.0.name": "x", "part.0.length": "long"},
        dict.fromkeys(SHEET, ""),
    ],
    ids=str,
)
def test_faults_elsewhere_do_not_keep_a_wall_from_being_drawn(slips):
    made = _drawn(**(WHOLE | slips))
    assert "<svg" in made.svg
    assert made.why == ()
    assert [name for _, name in made.keys] == ["shelf"]
    assert ("1 holder is not drawn" in " ".join(made.notes)) == ("holder.1.name" in slips)


@pytest.mark.parametrize(
    ("slips", "words"),
    [
        ({"wall.width": "wide"}, "Wall, width: 'wide' is not a length"),
        ({"wall.rows": "6, 7"}, "overlaps"),
        ({"wall.height": "1"}, "Wall, height: is lower than a cleat"),
        ({"wall.keepout.0.x": "5"}, "Wall, keepout 1, name: is missing"),
    ],
)
def test_a_wall_at_fault_says_why(slips, words):
    made = _drawn(**(WHOLE | slips))
    assert made.svg == ""
    assert words in " ".join(made.why)


def test_an_impossible_wall_says_why():
    made = _drawn(**(WHOLE | {"wall.width": "12"}))
    assert (made.svg, made.heading) == ("", "This wall cannot be done")
    assert made.why


def test_a_holder_that_fits_nowhere_is_told_beside_the_wall():
    made = _drawn(**(WHOLE | {"holder.0.width": "100"}))
    assert "<svg" in made.svg
    assert made.heading == "Not everything can be done on this wall"
    assert "shelf" in made.why[0]


def test_what_has_no_room_is_told():
    made = _drawn(**(WHOLE | {"holder.0.quantity": "40"}))
    assert any("no room is left" in note for note in made.notes)


def test_millimetres():
    sizes = {"wall.width": "2400", "wall.height": "1200", "wall.studs.first": "200"}
    made = _drawn(**({"project.unit": "mm"} | sizes))
    assert "2400 by 1200 millimetres" in made.svg
