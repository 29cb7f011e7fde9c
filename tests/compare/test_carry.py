"""Cut in the shop: what fits, how sheets are parted, and plans whose layouts allow for the shop's cut."""

from fractions import Fraction

import pytest

from nesting.carry import cautions, fits, too_large
from nesting.check import check_plan
from nesting.compare.carry import carried, shop_cuts
from nesting.make import plan_project
from tests.compare.small import small_job
from tests.compare.test_budget import run

SHEET = {"name": "sheet", "length": "96", "width": "24", "thickness": "23/32", "nominal": "3/4", "price": 40}
RACK = {"name": "rack", "length": "96", "width": "12", "thickness": "23/32", "nominal": "3/4"}
SHELF = {"name": "shelf", "length": "40", "width": "20", "thickness": "3/4", "quantity": 2}


def job(length="60", width="30", **changes):
    head = {"name": "Van", "carry_length": length, "carry_width": width}
    return small_job(**({"project": head, "sheet": [SHEET], "cleat": [], "part": [SHELF]} | changes))


def test_what_fits_either_way():
    van = job()
    assert fits(van, Fraction(60), Fraction(30))
    assert fits(van, Fraction(30), Fraction(60))
    assert not fits(van, Fraction(61), Fraction(30))
    assert not fits(van, Fraction(31), Fraction(31))
    roof = job(project={"name": "roof", "carry_width": "24"})
    assert fits(roof, Fraction(500), Fraction(24))
    assert too_large(roof) == ()
    assert [sheet.name for sheet in too_large(job(sheet=[SHEET, RACK]))] == ["sheet"]


def test_ways_to_part_a_sheet():
    van = job()
    found = shop_cuts(van, van.sheet[0])
    assert {(one.cut, one.pieces) for one in found} == {
        ("crosscut", ((Fraction(767, 16), Fraction(24)), (Fraction(767, 16), Fraction(24)))),
        ("crosscut", ((Fraction(60), Fraction(24)), (Fraction(287, 8), Fraction(24)))),
    }
    small = job("33", "30")
    (thirds,) = shop_cuts(small, small.sheet[0])
    assert (thirds.cut, len(thirds.pieces)) == ("crosscut", 3)
    assert all(fits(small, *piece) for piece in thirds.pieces)
    assert shop_cuts(job("5", "5"), van.sheet[0]) == ()


def test_a_plan_on_pieces_pays_for_whole_sheets():
    van = job()
    uncut = plan_project(van, seconds=2).plan
    assert "too_large_to_carry" in {warning.code for warning in uncut.warnings}
    assert next(cautions(van, ["sheet"])).where == "sheet"
    made = carried(van, uncut, run=run, seconds=2)
    # by hand: each half of 47 15/16 holds one shelf of 40 in; the sheet is paid once
    assert made.plan.cost == uncut.cost == 40
    assert made.plan.proven
    assert sorted(line.unit_price for line in made.plan.buy) == [0, 40]
    assert not check_plan(made.plan).faults
    assert "too_large_to_carry" not in {warning.code for warning in made.plan.warnings}
    assert all(fits(van, Fraction(layout.length), Fraction(layout.width)) for layout in made.plan.layouts)


def test_a_shop_cut_can_cost_a_sheet():
    # by hand: 50, 44 and a kerf come out of 96 in; of halves of 47 15/16 and of 60 and 35 7/8 only with a second sheet
    both = [SHELF | {"length": "50", "quantity": 1}, SHELF | {"name": "top", "length": "44", "quantity": 1}]
    long = job(part=both)
    uncut = plan_project(long, seconds=2).plan
    made = carried(long, uncut, run=run, seconds=2)
    assert (uncut.cost, made.plan.cost, made.plan.cost_bound, made.plan.proven) == (40, 80, 40, False)
    assert (made.cuts[0].cut, made.cuts[0].pieces[0][0]) == ("crosscut", 60)
    none = job(part=[SHELF | {"length": "70"}])
    lost = carried(none, None, run=run, seconds=2)
    assert (lost.plan, lost.cuts, lost.tried) == (None, (), 2)
    assert carried(job("5", "5"), None, run=run).tried == 0
    assert carried(job("96", "24"), None, run=run) is None


@pytest.mark.parametrize("warned", [True, False])
def test_the_checker_wants_it_said(warned):
    plan = plan_project(job(), seconds=2).plan
    kept = plan.warnings if warned else ()
    faults = check_plan(plan.model_copy(update={"warnings": kept})).faults
    assert [fault.rule for fault in faults] == ([] if warned else ["carry"])
