"""Within a budget: rows first, then running length, then the rest, checked by hand on jobs of one or two sheets."""

import threading
from fractions import Fraction

from nesting.check import check_plan
from nesting.compare.budget import Limit, Part, bought, in_order, others, stops, wall_cleats, within
from nesting.compare.work import carry_out
from tests.compare.small import small_job

STRIP = {"name": "strip", "length": "48", "width": "12", "thickness": "23/32", "nominal": "3/4", "price": 20}
WALL = {"width": "48", "height": "30", "studs": {"first": "8"}}
SHELF = {"name": "shelf", "length": "20", "width": "5", "thickness": "3/4", "quantity": 2}
FILLER = {"name": "chip", "length": "4", "width": "3", "thickness": "3/4", "filler": True, "quantity": 3}


def run(tasks, cancel, heard):
    """In this process, one after the other."""
    answers = []
    for at, task in enumerate(tasks):
        answers.append(carry_out(task, cancel))
        heard(at, answers[-1])
    return answers


def test_rows_then_running_length_then_fillers():
    # rows of 40 in at 24, 18, 12, 6 and 0; a strip gives four cleats of 3 in, 11 1/16 in wide, and 7/8 in is left
    job = small_job(sheet=[STRIP], cleat=[], part=[SHELF, FILLER], wall=WALL)
    assert [row.y for row in in_order(job)] == [24, 18, 12, 6, 0]
    found = within(job, Limit(money=20.0), run=run, seconds=1)
    assert found.rows == (4, 5)
    assert found.part == Part(4)
    assert found.rail == (160, 200)
    assert found.others == (0, 2)
    assert found.proven  # five rows need more than one strip
    assert found.plan.cost == 20
    assert len(found.plan.wall.rows) == 4
    assert {part.name: part.made for part in found.plan.parts}["chip"] == 3
    assert not check_plan(found.plan).faults


def test_part_of_a_row_ends_on_a_stud():
    plank = STRIP | {"length": "61", "width": "3"}  # a lone cleat of 61 in: a row of 40 in and half of the next
    job = small_job(sheet=[plank], cleat=[], part=[SHELF | {"quantity": 1}], wall=WALL | {"start": "bottom"})
    assert [row.y for row in in_order(job)] == [0, 6, 12, 18, 24]
    assert list(stops(in_order(job)[0])) == [24, 40]
    found = within(job, Limit(sheets=1), run=run, seconds=2)
    assert found.part == Part(1, Fraction(24))
    assert found.rail == (60, 200)
    row = found.plan.wall.rows[0]
    assert (row.y, [piece.length for piece in row.pieces]) == (6, [20])
    assert "left for later" in [keepout.name for keepout in found.plan.wall.keepouts]
    assert (found.plan.cost, bought(found.plan)) == (20, 1)
    assert not check_plan(found.plan).faults


def test_without_a_wall_cleats_are_the_rows():
    job = small_job(part=[SHELF], cleat=[{"name": "rail", "length": "40", "quantity": 2}])
    assert wall_cleats(job) == (("cleat", 0),) * 2
    assert others(job, wall=False) == (("part", 0),) * 2
    assert others(job, wall=True) == (("cleat", 0),) * 2 + (("part", 0),) * 2
    every = within(job, Limit(money=1000.0), run=run, seconds=2)
    assert (every.rows, every.others, every.proven) == ((2, 2), (2, 2), True)
    some = within(job, Limit(money=20.0), run=run, seconds=2)
    assert (some.rows, some.rail) == ((2, 2), (80, 80))
    nothing = within(job, Limit(money=1.0), run=run, seconds=2)
    assert (nothing.plan, nothing.rows, nothing.proven) == (None, (0, 2), True)
    none = within(job, Limit(sheets=0), run=run, seconds=2)
    assert (none.plan, none.rows, none.proven) == (None, (0, 2), True)


def test_stopped_before_it_began():
    cancel = threading.Event()
    cancel.set()
    found = within(small_job(), Limit(money=50.0), run=lambda tasks, *_: [None] * len(tasks), cancel=cancel)
    assert (found.plan, found.early, found.proven) == (None, True, False)


def test_what_cannot_be_planned_is_no_rung():
    long = {"name": "beam", "length": "60", "width": "5", "thickness": "3/4"}
    found = within(small_job(part=[long]), Limit(money=1000.0), run=run, seconds=2)
    assert (found.rows, found.others, found.proven) == ((2, 2), (0, 1), False)
