"""Losses whose outcome is worked out by hand: what fits where, what has to be bought, what changes.

Kerf 1/8 and no trim throughout, so that sizes add up in the head.
"""

import pytest

from nesting.check import check_plan, check_replan
from nesting.errors import BadInput, CannotBeDone
from nesting.make import plan_project
from nesting.plan import plan_from_json, plan_to_json
from nesting.progress.ground import ground
from nesting.progress.marks import measure, spoil, tick
from nesting.progress.record import Progress, begin
from nesting.progress.standing import standing
from nesting.project.read import project_from_mapping
from nesting.replan.again import replan


def job(parts, length=48, width=24, **more):
    sheet = {"name": "ply", "length": length, "width": width, "thickness": "1/2", "price": 40}
    asked = [
        {"name": name, "length": length, "width": width, "thickness": "1/2", "quantity": count}
        for name, length, width, count in parts
    ]
    saw = {"kerf": "1/8", "edge_trim": 0, "breakdown_saw": False, "crosscut_capacity": 50, "rip_capacity": 50}
    mapping = {"project": {"name": "by hand"}, "saw": saw, "sheet": [sheet], "part": asked} | more
    return project_from_mapping({key: value for key, value in mapping.items() if value})


def planned(project):
    plan = plan_project(project, seconds=0.5, easier=False).plan
    return plan, tick(plan, begin(plan), range(1, len(plan.steps) + 1))


def pieces(plan, name):
    return [place.node for place in ground(plan).places.values() if place.node.part == name]


def again(project, plan, progress, seconds=5.0):
    """Plan anew from plain data, as a service does, and check what comes out after writing and reading it."""
    found = replan(project, plan, progress, seconds)
    read = plan_from_json(plan_to_json(found.plan))
    assert read == found.plan
    assert check_plan(read).faults == ()
    assert check_replan(read, plan, progress).faults == ()
    assert standing(read, found.progress).lost == {}
    return found


def test_a_spoiled_part_fits_the_offcut():
    """68 1/4 × 24 is 24 and 20 and two kerfs and 24 left: the 20 × 20 shelf goes in there once more."""
    project = job([("back", 24, 23, 1), ("shelf", 20, 20, 1)], length="68 1/4")
    plan, done = planned(project)
    assert plan.cost == 40
    found = again(project, plan, spoil(plan, done, pieces(plan, "shelf")[0].id))
    assert (found.plan.cost, found.plan.cost_bound, found.plan.proven) == (40, 40, True)
    assert found.replaces.more == 0
    (recut,) = found.replaces.recut
    assert (recut.was, recut.parts) == ("offcut", ("shelf",))
    assert found.sentence.startswith(
        f"The spoiled shelf is cut from offcut {recut.piece}; nothing to buy; no step was open"
    )
    back = pieces(plan, "back")[0]
    assert pieces(found.plan, "back") == [back]


def test_what_fits_no_rest_is_bought_and_no_more():
    """Two 24 × 23 backs take 48 1/8 of 48 1/8 × 24: one spoiled leaves nothing, so one sheet more."""
    project = job([("back", 24, 23, 2)], length="48 1/8")
    plan, done = planned(project)
    found = again(project, plan, spoil(plan, done, pieces(plan, "back")[0].id))
    assert (plan.cost, found.plan.cost, found.plan.cost_bound, found.plan.proven) == (40, 80, 80, True)
    assert found.replaces.layouts == ("A2",)
    assert found.replaces.text == (
        "The spoiled back is cut from a new ply (A2); to buy: 1 × ply for 40.00 USD; no step was open, 2 are new."
    )


def test_what_is_left_of_a_spoiled_part_is_stock():
    """The 24 × 23 back leaves 12 × 10 when it splits: the 12 × 10 shelf spoiled with it comes from there, exactly."""
    project = job([("back", 24, 23, 1), ("shelf", 12, 10, 1)], length="24", width="33 1/8")
    plan, done = planned(project)
    back, shelf = pieces(plan, "back")[0], pieces(plan, "shelf")[0]
    lost = spoil(plan, spoil(plan, done, shelf.id), back.id, [(12.0, 10.0)], "split along a knot")
    found = again(project, plan, lost)
    assert found.plan.cost == 80
    names = {layout.stock: layout for layout in found.plan.layouts}
    rest = names[f"left of {back.id}"]
    assert (rest.length, rest.width, rest.tree.role, rest.tree.part) == (12, 10, "part", "shelf")
    told = {one.piece: one for one in found.replaces.lost}
    assert told[back.id].note == "split along a knot"
    assert [(one.stock, one.length, one.width) for one in told[back.id].left] == [(f"left of {back.id}", 12, 10)]


def test_a_part_a_sixteenth_short_is_stock_of_its_size():
    """Each 24 × 23 sheet is one 24 × 23 back or gives one 20 × 20 shelf. The back is 1/16 short, the shelf spoiled:
    one sheet makes the back again, and the shelf comes from the short one.
    """
    project = job([("back", 24, 23, 1), ("shelf", 20, 20, 1)], length=24, width=23)
    plan, done = planned(project)
    assert plan.cost == 80
    back, shelf = pieces(plan, "back")[0], pieces(plan, "shelf")[0]
    kept = measure(plan, done, back.id, 24 - 1 / 32, 23)
    assert not replan(project, plan, kept).changed
    short = measure(plan, spoil(plan, done, shelf.id), back.id, 24 - 1 / 16, 23)
    found = again(project, plan, short)
    assert found.plan.cost == 120
    stocks = {layout.stock for layout in found.plan.layouts}
    assert f"{back.id} as measured" in stocks
    assert "to buy: 1 × ply for 40.00 USD" in found.sentence
    assert found.sentence.startswith("The lost ")


def test_a_bowed_sheet_is_cut_as_large_as_it_is():
    """The second sheet is bowed and sound over 30 × 24 alone: its one 24 × 23 back fits there."""
    project = job([("back", 24, 23, 3)], length="48 1/8")
    plan = plan_project(project, seconds=0.5, easier=False).plan
    assert [layout.id for layout in plan.layouts] == ["A1", "A2"]
    lone = next(layout for layout in plan.layouts if sum(node.role == "part" for node in layout.tree.walk()) == 1)
    found = again(project, plan, measure(plan, begin(plan), lone.id, 30, 24))
    assert found.plan.cost == 80
    assert found.replaces.more == 0
    stocks = [layout.stock for layout in found.plan.layouts]
    assert stocks == ["ply", "ply", f"{lone.id} as measured"]
    gone = next(layout for layout in found.plan.layouts if layout.id == lone.id)
    assert gone.tree.role == "waste"


def test_a_measured_sheet_keeps_its_edge_trim():
    """47 × 23 with 1/2 lost at each edge gives 46 × 22 and no more: the 46 × 22 back fits, exactly."""
    saw = {"kerf": "1/8", "edge_trim": "1/2", "breakdown_saw": False, "crosscut_capacity": 50, "rip_capacity": 50}
    project = job([("back", 46, 22, 1)], saw=saw)
    plan = plan_project(project, seconds=0.5, easier=False).plan
    found = again(project, plan, measure(plan, begin(plan), "A1", 47, 23))
    assert found.plan.cost == 40
    stock = next(stock for stock in found.plan.job["sheet"] if stock["name"] == "A1 as measured")
    assert (stock["edge_trim"], stock["available"], stock.get("price", 0)) == ("1/2", 1, 0)
    smaller = again(project, plan, measure(plan, begin(plan), "A1", 46.9, 23))
    assert smaller.plan.cost == 80


CLEATS = {"cleats": {"thickness": "1/2", "wall_height": 3, "holder_height": 3}}


def test_a_lost_cleat_comes_from_a_bevelled_rest():
    """5 11/16 is the blank of two 3 in cleats of 1/2 in ply: 2 1/2 + 0.177 + 3, up to 1/32. Its two bars give a 40 each
    and 7 or more besides, the 7 in cleat on one of them; so a lost 7 comes from the other.
    """
    cleat = [{"name": "long", "length": 40, "quantity": 2}, {"name": "short", "length": 7, "quantity": 1}]
    project = job([], width="5 11/16", part=None, cleat=cleat, **CLEATS)
    plan, done = planned(project)
    found = again(project, plan, spoil(plan, done, pieces(plan, "short")[0].id))
    assert found.plan.cost == 40
    (recut,) = found.replaces.recut
    assert ground(found.plan).places[recut.piece].bevelled
    assert recut.parts == ("short",)
    assert all(step.cut == "crosscut" for step in found.plan.steps[len(done.done) :])


def test_a_cleat_cut_short_gives_a_shorter_cleat_only():
    """Of two bars of 40 the 20 in cleat leaves 19 7/8, too short for itself. The 40 in cleat came out 39 long: it keeps
    its bevel and gives the lost 20 in cleat, and one sheet makes a 40 in cleat again.
    """
    cleat = [{"name": "long", "length": 40, "quantity": 1}, {"name": "short", "length": 20, "quantity": 1}]
    project = job([], length=40, width="5 11/16", part=None, cleat=cleat, **CLEATS)
    plan, done = planned(project)
    long, short = pieces(plan, "long")[0], pieces(plan, "short")[0]
    lost = measure(plan, spoil(plan, done, short.id), long.id, 39, long.width)
    found = again(project, plan, lost)
    told = {one.piece: one for one in found.replaces.lost}
    assert [(one.stock, one.length) for one in told[long.id].left] == [(None, 39)]
    inside = [node.part for node in ground(found.plan).below(long.id) if node.part]
    assert inside == ["short"]
    assert found.plan.cost == 80


def test_a_bevelled_rest_squared_off_is_as_wide_as_its_short_face():
    """A 3 in cleat of 1/2 in ply at 45 degrees has a short face of 2 1/2: told 20 × 2 3/4, it gives 20 × 2 1/2."""
    cleat = [{"name": "long", "length": 40, "quantity": 1}]
    wide = job([("slat", 20, 2.5, 1)], length=40, width="5 5/8", cleat=cleat, **CLEATS)
    plan, done = planned(wide)
    long, slat = pieces(plan, "long")[0], pieces(plan, "slat")[0]
    found = again(wide, plan, spoil(plan, spoil(plan, done, slat.id), long.id, [(20.0, 2.75)]))
    rest = next(stock for stock in found.plan.job["offcut"] if stock["name"] == f"left of {long.id}")
    assert (rest["length"], rest["width"]) == ("20", "2 1/2")


def test_what_cannot_be_made_again_is_told():
    """There is one sheet and no more."""
    project = job([("back", 24, 23, 2)], length="48 1/8")
    one = project.sheet[0].model_copy(update={"available": 1})
    project = project.model_copy(update={"sheet": (one,)})
    plan, done = planned(project)
    with pytest.raises(CannotBeDone) as caught:
        replan(project, plan, spoil(plan, done, pieces(plan, "back")[0].id), 2.0)
    assert "'back'" in "\n".join(caught.value.reasons)


def test_nothing_lost_nothing_changed():
    project = job([("back", 24, 23, 1)])
    plan, done = planned(project)
    found = replan(None, plan, done)
    assert not found.changed
    assert found.plan is plan
    assert found.sentence == "Nothing is lost: the plan stands as it is."


def test_waste_that_is_lost_costs_nothing():
    project = job([("back", 24, 23, 1)])
    plan, done = planned(project)
    rest = next(piece for piece in standing(plan, done).pieces if piece.part is None)
    found = again(project, plan, spoil(plan, done, rest.id))
    assert found.sentence == f"The spoiled {rest.id} was needed for no part; nothing to buy; no step was open."


def test_again_and_again_keeps_the_whole_history():
    """Three losses of the same shelf: each plan tells of all before it, and numbers go on."""
    project = job([("shelf", 20, 10, 1)])
    plan, done = planned(project)
    for number in (1, 2, 3):
        shelf = pieces(plan, "shelf")[0]
        found = again(None, plan, spoil(plan, done, shelf.id))
        assert found.replaces.number == number
        assert [block["number"] for block in found.replaces.before] == list(range(1, number))
        plan = found.plan
        done = tick(plan, found.progress, range(1, len(plan.steps) + 1))
    assert plan.cost == 40
    lost = [block["lost"][0]["piece"] for block in plan.replaces.before] + [plan.replaces.lost[0].piece]
    assert len(set(lost)) == 3


def test_plain_data_does_as_well():
    project = job([("shelf", 20, 10, 1)])
    plan, done = planned(project)
    lost = spoil(plan, done, pieces(plan, "shelf")[0].id)
    import json

    found = replan(None, json.loads(plan_to_json(plan)), lost.model_dump(by_alias=True, mode="json"), 5.0)
    assert found.plan.cost == 40


def test_a_plan_that_cannot_be_planned_anew_is_refused():
    project = job([("shelf", 20, 10, 1)])
    plan, done = planned(project)
    with pytest.raises(BadInput, match="holds no job"):
        replan(None, plan.model_copy(update={"job": None}), done)
    with pytest.raises(BadInput, match="is not sound"):
        replan(None, plan.model_copy(update={"cost": 1.0}), done)
    with pytest.raises(BadInput, match="not there after the steps done"):
        replan(None, plan, Progress.model_validate({"schema": "cleatwright/progress/1", "spoiled": ({"piece": "Z"},)}))


def test_a_part_of_a_holder_is_made_again_by_its_name():
    """The back of a hook rail is no part of the file but of its holder; its grain runs along."""
    holder = [{"name": "rail", "style": "back", "width": 20, "height": 8, "thickness": "1/2"}]
    project = job([], part=None, holder=holder, **CLEATS)
    plan, done = planned(project)
    (back,) = pieces(plan, "rail: back")
    found = again(project, plan, spoil(plan, done, back.id))
    assert found.plan.cost == 40
    assert found.sentence.startswith("The spoiled rail: back is cut from ")
    (cleat,) = pieces(plan, "rail: cleat")
    assert standing(found.plan, found.progress).made["rail: cleat"] == 1
    twice = again(project, plan, spoil(plan, done, cleat.id))
    assert twice.plan.cost == 40


def test_a_size_that_cannot_be_written_down_is_told():
    """A tenth decimal of an inch is finer than a project file can hold."""
    project = job([("back", 24, 23, 1)])
    plan, done = planned(project)
    with pytest.raises(BadInput, match="no exact text"):
        replan(project, plan, spoil(plan, done, pieces(plan, "back")[0].id, [(1 / 3 * 0.1, 4.0)]))
