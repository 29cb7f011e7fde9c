"""The working order of a new plan: done steps first, untouched ones in their order, new ones where they fit."""

from fractions import Fraction

import pytest

from nesting.errors import Bug
from nesting.replan.order import in_order, least_settings
from nesting.steps import Step
from nesting.trade.saw import Saw

SAW = Saw(Fraction(1, 8))


def step(n, piece, setting, makes, station="table saw", bevel=0):
    return Step(
        n, "A1", piece, station, "rip", Fraction(bevel), Fraction(setting), "low", "away" if bevel else None, makes, 0
    )


def numbers(steps):
    return [one.n for one in steps]


def test_a_new_step_waits_for_its_setting():
    done = [step(1, "A1", 10, ("A1.1", "A1.2"))]
    kept = [step(2, "A1.1", 5, ("A1.3", "A1.4")), step(3, "A1.3", 4, ("A1.5", "A1.6"))]
    new = [step(7, "A1.2", 4, ("A1.2.1", "A1.2.2"))]
    assert numbers(in_order(done, kept, new, {"A1"}, SAW)) == [1, 2, 3, 7]


def test_a_setting_that_stands_is_used_at_once():
    done = [step(1, "A1", 10, ("A1.1", "A1.2"))]
    kept = [step(2, "A1.1", 5, ("A1.3", "A1.4"))]
    new = [step(7, "A1.2", 10, ("A1.2.1", "A1.2.2"))]
    assert numbers(in_order(done, kept, new, {"A1"}, SAW)) == [1, 7, 2]


def test_square_work_comes_before_the_tilt():
    kept = [step(2, "A1", 5, ("A1.1", "A1.2"), bevel=45)]
    new = [step(7, "A2", 3, ("A2.1", "A2.2")), step(8, "A2.1", 2, ("A2.3",), bevel=45)]
    assert numbers(in_order([], kept, new, {"A1", "A2"}, SAW)) == [7, 2, 8]


def test_a_new_step_waits_for_its_piece():
    kept = [step(2, "A1", 5, ("A1.1", "A1.2"))]
    new = [step(7, "A1.2", 9, ("A1.2.1",), station="breakdown saw")]
    assert numbers(in_order([], kept, new, {"A1"}, SAW)) == [2, 7]
    with pytest.raises(Bug, match=r"no step makes A1\.9"):
        in_order([], kept, [step(7, "A1.9", 9, ("A1.9.1",))], {"A1"}, SAW)


def test_the_least_settings_are_the_different_ones_and_the_guided_cuts():
    steps = [
        step(1, "A", 5, ("B",), station="breakdown saw"),
        step(2, "B", 5, ("C",), station="breakdown saw"),
        step(3, "C", 5, ("D",)),
        step(4, "D", 5, ("E",)),
        step(5, "E", 5, ("F",), bevel=45),
        step(6, "F", 5, ("G",), station="crosscut sled"),
    ]
    assert least_settings(steps) == 5
