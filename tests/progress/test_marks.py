"""Ticks, spoiled and measured pieces, and where the job stands after them: a plan small enough to follow by hand.

One sheet 48 × 24, kerf 1/8, no trim: a 24 × 20 back, a 24 × 20 side beside it, and the strip above them.
"""

from collections import Counter

import pytest

from nesting.errors import BadInput
from nesting.make import plan_project
from nesting.progress.ground import ground
from nesting.progress.marks import agreed, measure, spoil, take_back, tick, untick
from nesting.progress.record import Progress, begin, progress_from_json, progress_to_json
from nesting.progress.standing import standing
from nesting.project.read import project_from_mapping

JOB = {
    "project": {"name": "by hand"},
    "saw": {"kerf": "1/8", "edge_trim": 0, "breakdown_saw": False},
    "sheet": [{"name": "ply", "length": "48 1/8", "width": "24", "thickness": "1/2", "price": 40}],
    "part": [
        {"name": "back", "length": 24, "width": 20, "thickness": "1/2"},
        {"name": "side", "length": 24, "width": 20, "thickness": "1/2"},
    ],
    "cleats": {"thickness": "1/2"},
    "cleat": [{"name": "cleat", "length": 40, "quantity": 1}],
}


@pytest.fixture(scope="module")
def plan():
    return plan_project(project_from_mapping(JOB), seconds=2.0).plan


def texts(caught):
    return [str(fault) for fault in caught.value.faults]


def test_ticking_goes_by_what_is_there(plan):
    progress = begin(plan)
    last = len(plan.steps)
    with pytest.raises(BadInput) as caught:
        tick(plan, progress, [last, last + 3, 0])
    assert len(caught.value.faults) == 3
    assert "is not there yet; first step" in texts(caught)[0]
    assert texts(caught)[1] == f"step {last + 3}: is no step of the plan; accepted: 1 to {last}"
    all_done = tick(plan, progress, range(1, last + 1))
    assert all_done.done == tuple(range(1, last + 1))
    assert tick(plan, all_done, [1]) == all_done
    now = standing(plan, all_done)
    assert now.made == Counter({"back": 1, "side": 1, "cleat": 1})
    assert not now.missing
    assert not now.lost
    assert now.open_steps == ()


def test_unticking_asks_for_what_rests_on_it(plan):
    last = len(plan.steps)
    progress = tick(plan, begin(plan), range(1, last + 1))
    with pytest.raises(BadInput) as caught:
        untick(plan, progress, [1, last + 1])
    assert "cut what it makes; untick those too" in texts(caught)[0]
    assert untick(plan, progress, [last]).done == tuple(range(1, last))
    assert untick(plan, progress, range(1, last + 1)).done == ()
    piece = plan.steps[-1].makes[0]
    with pytest.raises(BadInput, match="take that back first"):
        untick(plan, spoil(plan, progress, piece), [last])


def part_of(plan, name):
    return next(place.node for place in ground(plan).places.values() if place.node.part == name)


def test_a_spoiled_part_is_missing_and_its_rest_is_there(plan):
    progress = tick(plan, begin(plan), range(1, len(plan.steps) + 1))
    back = part_of(plan, "back")
    lost = spoil(plan, progress, back.id, [(12.0, 20.0), (11.0, 5.5)], "knot")
    now = standing(plan, lost)
    assert now.made == Counter({"side": 1, "cleat": 1})
    assert now.missing == now.lost == Counter({"back": 1})
    assert sorted((one.length, one.width) for one in now.pieces if one.of == back.id) == [(11.0, 5.5), (12.0, 20.0)]
    assert take_back(plan, lost, back.id).spoiled == ()
    with pytest.raises(BadInput, match="neither spoiled nor measured"):
        take_back(plan, progress, back.id)
    with pytest.raises(BadInput, match="spoiled already"):
        spoil(plan, lost, back.id)


def test_what_cannot_be_left_of_a_piece(plan):
    progress = tick(plan, begin(plan), range(1, len(plan.steps) + 1))
    back = part_of(plan, "back")
    with pytest.raises(BadInput) as caught:
        spoil(plan, progress, back.id, [(25.0, 2.0), (2.0, 20.5), (0.0, 1.0)])
    assert len(caught.value.faults) == 3
    with pytest.raises(BadInput, match="cannot both be left"):
        spoil(plan, progress, back.id, [(13.0, 11.0), (13.0, 11.0)])
    with pytest.raises(BadInput, match="at most 20"):
        spoil(plan, progress, back.id, [(1.0, 1.0)] * 21)
    # four pinwheel rectangles each leave room for each other, but not all of them together
    wheel = [(14.0, 10.0), (10.0, 10.0), (14.0, 10.0), (10.0, 10.0), (10.0, 10.0)]
    with pytest.raises(BadInput, match=r"cannot both be left|more is said"):
        spoil(plan, progress, back.id, wheel)


def test_a_piece_that_is_not_there_cannot_be_spoiled(plan):
    back = part_of(plan, "back")
    with pytest.raises(BadInput, match="is not there yet; it comes with step"):
        spoil(plan, begin(plan), back.id)
    with pytest.raises(BadInput, match="no piece of the plan"):
        spoil(plan, begin(plan), "Z9")
    started = tick(plan, begin(plan), [1])
    with pytest.raises(BadInput, match="is not there any more: step 1 has cut it"):
        spoil(plan, started, plan.steps[0].piece)
    gone = spoil(plan, begin(plan), plan.layouts[0].id)
    with pytest.raises(BadInput, match="`replan` plans it anew"):
        tick(plan, gone, [1])
    assert standing(plan, gone).open_steps == ()
    assert standing(plan, gone).lost == Counter({"back": 1, "side": 1, "cleat": 1})


def test_a_sixteenth_short_is_lost_a_thirty_second_is_not(plan):
    """The fence is set to 1/32 in by default: what is no shorter than that counts."""
    progress = tick(plan, begin(plan), range(1, len(plan.steps) + 1))
    back = part_of(plan, "back")
    assert not standing(plan, measure(plan, progress, back.id, 24 - 1 / 32, 20)).lost
    assert not standing(plan, measure(plan, progress, back.id, 24.5, 20)).lost
    short = measure(plan, progress, back.id, 24 - 1 / 16, 20)
    now = standing(plan, short)
    assert now.lost == Counter({"back": 1})
    assert [(one.length, one.width) for one in now.pieces if one.of == back.id] == [(24 - 1 / 16, 20.0)]
    assert measure(plan, short, back.id, 24, 20).measured == measure(plan, progress, back.id, 24, 20).measured
    with pytest.raises(BadInput, match="more than 0"):
        measure(plan, progress, back.id, 0.0, 20)


def test_bevelled_edges_are_known(plan):
    seen = ground(plan)
    cleat = part_of(plan, "cleat")
    assert len(seen.places[cleat.id].bevelled) == 1
    assert seen.places[part_of(plan, "back").id].bevelled == ()


def test_a_record_agrees_with_its_plan_or_tells_every_fault(plan):
    good = tick(plan, begin(plan), [1])
    assert agreed(plan, good) == good
    assert progress_from_json(progress_to_json(good)) == good
    other = good.model_copy(update={"plan": "0" * 32})
    with pytest.raises(BadInput, match="belongs to another plan"):
        agreed(plan, other)
    last = len(plan.steps)
    odd = Progress.model_validate(
        {
            "schema": "cleatwright/progress/1",
            "done": (last, last + 1),
            "spoiled": ({"piece": "Z9"}, {"piece": "A1"}, {"piece": "A1"}),
            "measured": ({"piece": "Z8", "length": 1.0, "width": 1.0},),
        }
    )
    with pytest.raises(BadInput) as caught:
        agreed(plan, odd)
    assert [fault.pointer for fault in caught.value.faults] == [
        "",
        "",
        "/spoiled/0/piece",
        "/spoiled/2/piece",
        "/measured/0/piece",
    ]
