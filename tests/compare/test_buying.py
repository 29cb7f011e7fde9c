"""Price per usable area and halves against wholes, by hand."""

from fractions import Fraction

from nesting.compare.buying import halves, offers, usable_area
from tests.compare.small import small_job

PLY = {"thickness": "23/32", "nominal": "3/4"}
WHOLE = {"name": "whole", "length": "96", "width": "48", "price": 86.5, **PLY}
HALF = {"name": "half", "length": "47 7/8", "width": "48", "price": 48, **PLY}
RIPPED = {"name": "ripped", "length": "96", "width": "24", "price": 40, **PLY}


def test_price_of_usable_area():
    owned = WHOLE | {"name": "owned", "price": 0}
    job = small_job(sheet=[WHOLE | {"edge_trim": "1/8"}, HALF, owned])
    assert usable_area(job, job.sheet[0]) == Fraction(95.75) * Fraction(47.75) / 144
    found = offers(job)
    assert [offer.stock.name for offer in found] == ["whole", "half"]
    assert found[1].per_area == 48 / (Fraction(383, 8) * 48 / 144)


def test_two_halves_against_one():
    other = RIPPED | {"name": "other", "thickness": "1/2", "nominal": "1/2"}
    half, ripped = halves(small_job(sheet=[WHOLE, HALF, RIPPED, other]))
    assert (half.whole.name, half.half.name, half.dearer) == ("whole", "half", Fraction(19, 2))
    assert half.less_area == Fraction(1, 4) * 48 / 144
    assert (ripped.half.name, ripped.dearer, ripped.less_area) == ("ripped", Fraction(-13, 2), 0)
    metric = {"name": "m", "unit": "mm"}
    sheet = {"length": 2440, "width": 1220, "thickness": 18, "price": 60}
    job = small_job(project=metric, sheet=[{"name": "one", **sheet}], part=[], cleat=[{"name": "c", "length": 900}])
    assert halves(job) == ()
    assert float(offers(job)[0].area) == 2.9768
