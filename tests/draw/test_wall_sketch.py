"""The wall beside a form: drawn without a search, whatever is typed."""

import re
import subprocess
import sys
from fractions import Fraction
from xml.etree import ElementTree as ET

import pytest

from nesting.draw.subject import Rule
from nesting.draw.wall_sketch import LETTER, MOST_SCREWS, draw_wall_sketch, holder_keys, wall_sketch
from nesting.plan_wall import WallDocument
from nesting.project.read import project_from_mapping, project_from_text
from nesting.project.starter import starter_text
from nesting.sketch import sketch

INCH = Rule("in", Fraction(1, 32))
SHEET = {"name": "ply", "length": 96, "width": 48, "thickness": "23/32"}


def _project(wall, holders=(), **more):
    keys = {"project": {"name": "Wall"}, "saw": {"kerf": "1/8"}, "sheet": [SHEET], "wall": wall, "holder": holders}
    return project_from_mapping(keys | more)


def _back(name="board", **more):
    return {"name": name, "style": "back", "width": 12, "height": 8} | more


@pytest.fixture(scope="module")
def starter():
    return sketch(project_from_text(starter_text(wall=True), "toml"))


def test_the_starters_wall_hangs_all_its_holders(starter):
    assert starter.reasons == ()
    assert not starter.unhung
    assert len(starter.wall.holders) == 6
    assert [key for key, _ in holder_keys(starter.wall)] == list("ABCDEF")
    svg = draw_wall_sketch("Bay", starter.wall, INCH)
    assert "pump shelf hangs on row" in svg
    assert "Wall of Bay, 144 by 57 inches" in svg
    sizes = {float(size) for size in re.findall(r'font-size="([\d.]+)"', svg)}
    assert min(sizes) >= LETTER


def test_pieces_fill_their_runs(starter):
    for row in starter.wall.rows:
        assert sum(piece.length for piece in row.pieces) == pytest.approx(sum(run.length for run in row.runs))


def test_no_solver_is_loaded_for_it():
    code = (
        "import sys\nfrom nesting.project.starter import starter_text\n"
        "from nesting.project.read import project_from_text\nfrom nesting.sketch import sketch\n"
        "sketch(project_from_text(starter_text(wall=True), 'toml'))\nprint('ortools' in sys.modules)"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout == "False\n"


def test_holders_that_fit_nowhere_leave_the_wall_and_their_reason():
    made = sketch(_project({"width": 48, "height": 24}, [_back(width=60)]))
    assert made.wall is not None
    assert made.wall.holders == ()
    assert "board" in made.reasons[0]


def test_an_impossible_wall_is_none_with_its_reasons():
    made = sketch(_project({"width": 10, "height": 24}))
    assert (made.wall, bool(made.reasons)) == (None, True)
    with_holder = sketch(_project({"width": 10, "height": 24}, [_back()]))
    assert with_holder.wall is None
    assert len(with_holder.reasons) >= len(made.reasons)


def test_too_many_holders_are_not_hung():
    made = sketch(_project({"width": 480, "height": 84}, [_back(quantity=151)]))
    assert made.unhung
    assert made.wall.holders == ()
    high = sketch(_project({"width": 96, "height": 600}, [_back(f"board {n}") for n in range(11)]))
    assert high.unhung


def test_a_large_wall_is_drawn_without_its_screws():
    made = sketch(_project({"width": 480, "height": 300, "studs": {"spacing": 8}}))
    assert sum(len(piece.studs) for row in made.wall.rows for piece in row.pieces) > MOST_SCREWS
    assert "stroke-linecap" not in draw_wall_sketch("Wall", made.wall, INCH)


@pytest.mark.parametrize("name", ["<script>alert(1)</script>", "a\u202eb", '"quoted" & more', "🔧 مثقاب"])
def test_names_are_data(name):
    wall = {
        "width": 96,
        "height": 24,
        "keepout": [{"name": name.replace("\u202e", ""), "x": 1, "y": 1, "width": 2, "height": 2}],
    }
    svg = draw_wall_sketch(name, sketch(_project(wall, [_back(name.replace("\u202e", ""))])).wall, INCH)
    assert ET.fromstring(svg).tag.endswith("svg")  # noqa: S314  (our own)
    assert "<script" not in svg
    assert "\u202e" not in svg


@pytest.mark.parametrize(("width", "height"), [(400, 12), (24, 480), (1, 1)])
def test_any_proportion_stays_on_the_page(width, height):
    wall = WallDocument(rows=(), width=width, height=height)
    page = wall_sketch("Wall", wall, INCH)
    assert 0 < page.height < 640
    assert page.width == 440


def test_what_has_no_wall_is_refused():
    with pytest.raises(ValueError, match="how large"):
        wall_sketch("Wall", WallDocument(rows=()), INCH)
    keys = {
        "project": {"name": "x"},
        "saw": {"kerf": 0},
        "sheet": [SHEET],
        "part": [{"name": "p", **SHEET | {"name": "p", "length": 9, "width": 9}}],
    }
    with pytest.raises(ValueError, match="no wall"):
        sketch(project_from_mapping(keys))
