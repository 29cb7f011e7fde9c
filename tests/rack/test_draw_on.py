"""A job draws on the rack and gives back: by hand, and over the whole way from a project to the next one."""

import dataclasses
from fractions import Fraction

import pytest

from nesting.check import check_plan
from nesting.errors import BadInput
from nesting.make import plan_project
from nesting.progress.marks import spoil, tick
from nesting.progress.record import begin
from nesting.rack.draw_on import project_on, read_project_on
from nesting.rack.give_back import carried_out, kept_in_step, left_by, settled
from nesting.rack.rack import USUAL, Change, Numbers, Rack, Smallest, changed
from nesting.replan.again import replan
from tests.malformed import BASE
from tests.malformed import changed as changed_base
from tests.paper.rich_plan import rich_plan
from tests.rack.pieces import piece

KEYS = {
    "project": {"name": "Jig drawer"},
    "saw": {"kerf": "1/8"},
    "sheet": [{"name": "ply", "length": 96, "width": 48, "thickness": "1/2", "price": 40}],
    "part": [{"name": "bottom", "length": "20", "width": "8", "thickness": "1/2", "quantity": 2}],
}
ENOUGH = piece("R-3", length="41", width="9", thickness="1/2", stock="birch")


def test_a_job_takes_what_the_rack_has_before_it_buys():
    rack = {"R-3": ENOUGH, "R-4": piece("R-4", thickness="3/4")}
    assert plan_project(project_on(KEYS, []), seconds=5).plan.cost == 40
    plan = plan_project(project_on(KEYS, rack.values()), seconds=5).plan
    assert (plan.cost, [layout.stock for layout in plan.layouts]) == (0, ["rack R-3"])
    assert check_plan(plan).faults == ()
    done = settled(plan, rack, USUAL, Numbers(4, rack), key="p")
    assert (done.change.taken, done.change.given, done.notes) == ((ENOUGH,), (), ())
    small = Smallest.model_validate({"length": "15", "width": "1/2"}, context={"unit": "in"})
    left = settled(plan, rack, small, Numbers(4, rack)).change.given
    assert [(one.label, one.stock, one.origin) for one in left] == [("R-5", "birch", "Jig drawer")]
    assert (left[0].length, left[0].width) == (41, Fraction(7, 8))


def test_a_job_of_the_other_unit_draws_on_the_same_pieces_a_hair_smaller():
    mm = {
        "project": {"name": "Schublade", "unit": "mm"}, "saw": {"kerf": 3},
        "part": [{"name": "Boden", "length": 500, "width": 200, "thickness": 12.7, "quantity": 2}],
    }  # fmt: skip
    project = project_on(mm, [piece("R-3", length="41 1/64", width="9", thickness="1/2")])
    (offcut,) = project.offcut
    assert (offcut.length, offcut.width, offcut.thickness) == (Fraction("1041.7"), Fraction("228.6"), Fraction("12.7"))
    plan = plan_project(project, seconds=5).plan
    done = settled(plan, {"R-3": piece("R-3", length="41 1/64", width="9", thickness="1/2")}, USUAL, Numbers(3, ()))
    assert [one.label for one in done.change.taken] == ["R-3"]


def test_the_projects_own_leftovers_stay_and_faults_keep_their_places():
    own = {"name": "mine", "length": 30, "width": 10, "thickness": "3/4"}
    project = project_on({**KEYS, "offcut": [own]}, [ENOUGH])
    assert [offcut.name for offcut in project.offcut] == ["mine", "rack R-3"]
    with pytest.raises(BadInput) as refused:
        project_on({**KEYS, "offcut": [{**own, "width": "wide"}], "saw": {}}, [ENOUGH])
    assert [fault.path for fault in refused.value.faults] == ["saw.kerf", "offcut[1].width"]
    with pytest.raises(BadInput, match=r"offcut\[2\].name: is the same as that of offcut\[1\]"):
        project_on({**KEYS, "offcut": [{**own, "name": "rack R-3"}]}, [ENOUGH])
    for broken in ([], {**KEYS, "offcut": 5}):
        with pytest.raises(BadInput):
            project_on(broken, [ENOUGH])


def test_a_project_may_rely_on_the_rack_alone(tmp_path):
    file = tmp_path / "job.toml"
    file.write_text(
        '[project]\nname = "x"\n[saw]\nkerf = "1/8"\n[[part]]\nname = "a"\nlength = 8\nwidth = 8\nthickness = "1/2"\n'
    )
    assert [one.name for one in read_project_on(file, [ENOUGH]).stocks] == ["rack R-3"]
    with pytest.raises(BadInput, match="there is no stock"):
        read_project_on(file, [])


def test_a_leftover_with_a_bevelled_edge_counts_without_it():
    """24 in ripped at 45 degrees through 3/4 in: what lies beside the cleat is 3/4 in less at its short face."""
    from tests.draw.conftest import layout, offcut, part, plan

    def bevelled(x, y, length, width):
        node = {"x": x, "y": y, "length": length, "width": width, "role": "cut", "cut": "rip", "bevel": 45.0}
        high = 24 + 0.75 - 0.125 * 2**0.5 - 3
        return node | {"pieces": [part("row")(x, y, length, 3), offcut(x, y + 24 - high, length, high)]}

    made = plan([layout("A1", 48, 24, bevelled, "ply", 0.75)])
    (left,) = left_by(made, USUAL, Numbers(0, ()))
    short = 24 - 0.125 * 2**0.5 - 3
    assert short - 1 / 64 <= float(left.width) <= short
    assert (left.note, left.length, left.thickness) == ("one edge bevelled", 48, Fraction(3, 4))


def test_leftovers_of_a_plan_by_hand():
    """A sheet 96 x 48 ripped at 5 15/32, 9 and 20: 20 in and the last strip stay, the strips' ends are too short."""
    last = 48 - Fraction(175, 32) - 9 - 20 - 3 * Fraction(1, 8)
    kept = sorted(left_by(rich_plan(), USUAL, Numbers(11, ())), key=lambda one: -one.width)
    assert [(one.length, one.width, one.stock) for one in kept] == [
        (96, 20, "18 mm birch, 4x8"), (96, last, "18 mm birch, 4x8"),
    ]  # fmt: skip
    assert {one.label for one in kept} == {"R-12", "R-13"}
    more = Smallest.model_validate({"length": "5", "width": "1"}, context={"unit": "in"})
    ends = [one for one in left_by(rich_plan(), more, Numbers(11, ())) if one.length < 96]
    assert [(one.length, one.width) for one in ends] == [(96 - 90 - 4 * Fraction(1, 8), 9)]
    assert {one.unit for one in left_by(rich_plan("mm"), USUAL, Numbers(0, ()))} == {"mm"}


def test_what_the_rack_no_longer_knows_is_told_and_left_alone():
    plan = plan_project(project_on(KEYS, [ENOUGH]), seconds=5).plan
    gone = settled(plan, {}, USUAL, Numbers(0, ()))
    assert (gone.change.taken, gone.notes) == ((), ("Layout B1 used R-3, which is not in the rack any more.",))
    other = settled(plan, {"R-3": piece("R-3")}, USUAL, Numbers(0, ()))
    assert other.change.taken == ()
    assert other.notes == ("Layout B1 used R-3, but in the rack that is now 31 × 9 × 23/32 in: it stays.",)


def test_what_remains_of_a_spoiled_piece_goes_to_the_rack():
    plan = plan_project(project_on(changed_base(), []), seconds=5).plan
    progress = tick(plan, begin(plan), [step.n for step in plan.steps])
    assert carried_out(plan, progress)
    kept = next(node for layout in plan.layouts for node in layout.tree.walk() if node.role == "offcut")
    lost = spoil(plan, progress, kept.id, [(20.0, 4.0)])
    assert carried_out(plan, lost)
    sizes = sorted((float(one.length), float(one.width)) for one in left_by(plan, USUAL, Numbers(0, ()), progress=lost))
    usual = sorted((float(one.length), float(one.width)) for one in left_by(plan, USUAL, Numbers(0, ())))
    assert sorted([*usual, (20.0, 4.0)]) == sorted([*sizes, (kept.length, kept.width)])
    part = next(node for layout in plan.layouts for node in layout.tree.walk() if node.role == "part")
    assert not carried_out(plan, spoil(plan, progress, part.id))
    assert not carried_out(plan, begin(plan))


def test_one_job_after_the_other_uses_up_what_the_last_one_left():
    """The second job costs nothing: it fits what the first one left; what was used is gone, nothing is made up."""
    rack, first = Rack(), plan_project(project_on(BASE, []), seconds=5).plan
    numbers = rack.numbers()
    rack = changed(rack, settled(first, {}, USUAL, numbers, key="1").change, numbers.last)
    area = sum(float(one.length * one.width) for one in rack.pieces)
    sheets = sum(layout.length * layout.width for layout in first.layouts)
    parts = sum(part.length * part.width * part.made for part in first.parts)
    assert 0 < area <= sheets - parts
    again = {**BASE, "part": [{"name": "shim", "length": 10, "width": 2, "thickness": "1/2"}], "cleat": []}
    second = plan_project(project_on(again, rack.pieces), seconds=5).plan
    assert second.cost == 0
    numbers = rack.numbers()
    change = settled(second, rack.by_label, USUAL, numbers, key="2").change
    rack = changed(rack, change, numbers.last)
    assert len(change.taken) == len(second.layouts) == 1
    assert not {one.label for one in change.taken} & {one.label for one in rack.pieces}
    assert sum(float(one.length * one.width) for one in rack.pieces) < area


def test_after_planning_anew_what_is_lost_does_not_come_back_but_what_is_left_of_it_does():
    plan = plan_project(project_on(BASE, []), seconds=5).plan
    progress = tick(plan, begin(plan), [step.n for step in plan.steps])
    nodes = [node for layout in plan.layouts for node in layout.tree.walk()]
    shelf = next(node for node in nodes if node.part == "shelf")
    offcut = max((node for node in nodes if node.role == "offcut"), key=lambda node: node.length * node.width)
    rest = (offcut.length - 30, offcut.width)
    hurt = spoil(plan, spoil(plan, progress, offcut.id, [rest, (13.0, 4.0)]), shelf.id)
    assert not carried_out(plan, hurt)
    new = replan(None, plan, hurt, seconds=2)
    done = tick(new.plan, new.progress, [step.n for step in new.plan.steps])
    assert carried_out(new.plan, done)
    left = list(left_by(new.plan, USUAL, Numbers(0, ()), progress=done))
    assert (offcut.length, offcut.width) not in [(float(one.length), float(one.width)) for one in left]
    assert (13.0, 4.0) in [(float(one.length), float(one.width)) for one in left]
    before = sum(node.length * node.width for node in nodes if node.role == "offcut")
    after = sum(float(one.length * one.width) for one in left)
    lost = offcut.length * offcut.width - rest[0] * rest[1] - 13 * 4
    assert after <= before - lost
    assert after >= before - lost - 3 * 24 * 48 - 200


def test_the_rack_is_kept_in_step_with_the_record_of_a_job():
    rack = changed(Rack(numbered=3), Change("", given=(ENOUGH,)))
    plan = plan_project(project_on(KEYS, rack.pieces), seconds=5).plan
    keeps_strips = Smallest.model_validate({"length": "15", "width": "1/2"}, context={"unit": "in"})
    rack = dataclasses.replace(rack, smallest=keeps_strips)
    start, over = begin(plan), tick(plan, begin(plan), [step.n for step in plan.steps])
    assert kept_in_step(rack, plan, start) == (rack, None)
    after, told = kept_in_step(rack, plan, over)
    assert ([one.label for one in after.pieces], told.change.taken) == (["R-4"], (ENOUGH,))
    assert kept_in_step(after, plan, over) == (after, None)  # once is enough
    back, told = kept_in_step(after, plan, start)
    assert (back.pieces, back.history, told.change.given) == (rack.pieces, rack.history, (ENOUGH,))
