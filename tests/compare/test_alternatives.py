"""Alternatives: what is combined, what they are called, and every fault in what is asked."""

from fractions import Fraction

import pytest

from nesting.compare.alternatives import MOST, Asked, alternatives, cleat_stock, running, yield_of
from nesting.errors import BadInput
from tests.compare.small import small_job, small_mapping

WALL = {"width": "48", "height": "30"}


def test_every_combination_once_heights_slowest():
    found = alternatives(small_job(), Asked(cleat_height=("3", "4", "3 in"), kerf=("1/8", "3/32", "2.4mm")))
    assert [one.label for one in found] == [
        f"{height} in, kerf {kerf} in" for height in (3, 4) for kerf in ("1/8", "3/32", "0.09449")
    ]
    first = found[0].project
    assert first is not None
    assert (first.cleats.wall_height, first.cleats.holder_height, first.saw.kerf) == (3, 3, Fraction(1, 8))
    assert found[-1].project.saw.kerf == Fraction(12, 127)


def test_nothing_asked_is_the_file_itself():
    (only,) = alternatives(small_job(), Asked())
    assert only.label == "as in the file"
    assert only.project == small_job()
    (named,) = alternatives(small_job(), Asked(cleat_height=("4",)))
    assert named.label == "4 in"


def test_a_sheet_leaves_out_its_rivals_alone():
    other = {"name": "thin", "length": "48", "width": "12", "thickness": "1/2", "price": 9}
    owned = {"name": "rack", "length": "48", "width": "12", "thickness": "3/4"}
    job = small_job(sheet=[*small_mapping()["sheet"], other, owned])
    strip, plank = alternatives(job, Asked(sheet=("strip", "plank")))
    assert [sheet.name for sheet in strip.project.sheet] == ["strip", "thin", "rack"]
    assert [sheet.name for sheet in plank.project.sheet] == ["plank", "thin", "rack"]
    assert strip.label == "strip"
    assert cleat_stock(plank.project).name == "plank"


def test_a_combination_that_breaks_a_rule_has_its_reasons():
    good, bad = alternatives(small_job(), Asked(cleat_height=("3", "1/2")))
    assert good.project is not None
    assert bad.project is None
    assert "not higher than the bevel is deep" in bad.reasons[0]


def test_gap_goes_to_the_wall():
    near, far = alternatives(small_job(wall=WALL), Asked(gap=("3", "6")))
    assert (near.project.wall.gap, far.project.wall.gap) == (3, 6)
    assert far.label == "gap 6 in"


def test_every_fault_at_once():
    asked = Asked(("three", "0"), ("1/4",), ("-1", "0"), ("3",), ("stripp", "x"))
    with pytest.raises(BadInput) as caught:
        alternatives(small_job(), asked)
    assert [fault.path for fault in caught.value.faults] == [
        "--cleat-height", "--cleat-height", "--kerf", "--sheet", "--sheet", "--gap", "--thickness",
    ]  # fmt: skip
    assert "did you mean 'strip'" in str(caught.value)
    with pytest.raises(BadInput, match=r"wall\.rows says where every row lies"):
        alternatives(small_job(wall=WALL | {"rows": ["6", "18"]}), Asked(gap=("3",)))
    many = tuple(f"{n}/64" for n in range(64, 64 + 40))
    with pytest.raises(BadInput, match=f"at most {MOST:,}"):
        alternatives(small_job(), Asked(cleat_height=many, kerf=many))


def test_yield_is_that_of_the_sheet_to_buy():
    sheet = yield_of(small_job())
    assert sheet is not None
    assert (sheet.width, sheet.count(Fraction(3))) == (12, 4)
    assert running(small_job()) == 48
    boards = small_job(
        sheet=[], board=[{"name": "fir", "length": "96", "width": "5", "thickness": "23/32", "nominal": "3/4"}]
    )
    assert cleat_stock(boards).name == "fir"
    thin = [{"name": "thin", "length": "48", "width": "12", "thickness": "1/2"}]
    shelf = [{"name": "shelf", "length": "20", "width": "5", "thickness": "1/2"}]
    job = small_job(sheet=thin, part=shelf, cleat=[])
    assert (yield_of(job), running(job)) == (None, 0)
