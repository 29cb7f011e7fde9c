"""The checker of plans made anew: sound ones pass, and every slip planted in one is found by the rule it breaks."""

import pytest

from nesting.check import check_replan
from nesting.check.replanned import REPLAN_RULES
from nesting.make import plan_project
from nesting.plan import plan_from_json, plan_to_json
from nesting.progress.ground import ground
from nesting.progress.marks import measure, spoil, tick
from nesting.progress.record import Progress, begin
from nesting.project.read import project_from_mapping
from nesting.replan.again import replan

JOB = {
    "project": {"name": "checked"},
    "saw": {"kerf": "1/8", "edge_trim": "1/4"},
    "sheet": [{"name": "ply", "length": 96, "width": 48, "thickness": "1/2", "price": 40}],
    "part": [
        {"name": "back", "length": 30, "width": 20, "thickness": "1/2", "quantity": 3},
        {"name": "shelf", "length": 20, "width": 8, "thickness": "1/2", "quantity": 4},
    ],
    "cleats": {"thickness": "1/2"},
    "cleat": [{"name": "cleat", "length": 30, "quantity": 5}],
}


@pytest.fixture(scope="module")
def case():
    """A plan half done, a shelf and a cleat lost, and the plan made anew, in plain data to plant slips in."""
    plan = plan_project(project_from_mapping(JOB), seconds=0.5, easier=False).plan
    made = {}
    for place in ground(plan).places.values():
        if place.node.part is not None:
            made.setdefault(place.node.part, []).append(place.node)
    made["cleat"].sort(key=lambda node: ground(plan).way_to(node.id)[-1])
    last = ground(plan).way_to(made["cleat"][0].id)[-1]
    progress = tick(plan, begin(plan), range(1, last + 1))
    assert last < len(plan.steps)
    progress = spoil(plan, progress, made["shelf"][0].id, [(15.0, 8.0)], "tear-out")
    progress = measure(plan, progress, made["cleat"][0].id, 25, made["cleat"][0].width)
    new = replan(None, plan, progress, 5.0).plan
    return plan, progress, new


def rules(plan, earlier, progress):
    report = check_replan(plan, earlier, progress)
    assert report.rules_checked == REPLAN_RULES
    return {fault.rule for fault in report.faults}


def test_a_sound_one_passes(case):
    plan, progress, new = case
    assert rules(plan_from_json(plan_to_json(new)), plan, progress) == set()


def spoilt(new, path, value):
    """Return the plan with one value of its document changed."""
    import json

    document = json.loads(plan_to_json(new))
    at = document
    for step in path[:-1]:
        at = at[step]
    if value is None:
        del at[path[-1]]
    else:
        at[path[-1]] = value(at[path[-1]]) if callable(value) else value
    return plan_from_json(json.dumps(document))


@pytest.mark.parametrize(
    ("rule", "path", "value"),
    [
        ("replaces", ("replaces",), None),
        ("replaces", ("replaces", "number"), 2),
        ("replaces", ("replaces", "done_steps"), 0),
        ("replaces", ("replaces", "plan"), "0" * 32),
        ("replaces", ("replaces", "lost"), list),
        ("replaces", ("replaces", "cost"), 39.0),
        ("spent", ("replaces", "more"), 5.0),
        ("spent", ("cost",), lambda cost: cost - 1),
        ("done", ("steps", 0, "setting"), lambda setting: setting + 1),
        ("done", ("steps", 0, "against"), lambda side: "high" if side == "low" else "low"),
        ("kept", ("steps",), lambda steps: steps[:1]),
        ("kept", ("layouts", 0, "stock"), "another ply"),
        ("kept", ("layouts",), lambda layouts: layouts[1:]),
        ("job", ("job", "part", 0, "quantity"), 2),
        ("job", ("job", "saw", "kerf"), "1/16"),
        ("rests", ("job", "offcut", 0, "length"), "16"),
        ("rests", ("job", "offcut", 0, "quantity"), 2),
        ("rests", ("job", "offcut", 0, "grain"), False),
        ("rests", ("job", "offcut", 0, "name"), "found by the wayside"),
    ],
)
def test_a_slip_is_found(case, rule, path, value):
    plan, progress, new = case
    if path == ("replaces", "lost"):
        value = lambda lost: lost[1:]  # noqa: E731
    assert rule in rules(spoilt(new, path, value), plan, progress)


def test_a_finished_part_may_not_vanish(case):
    plan, progress, new = case
    import json

    document = json.loads(plan_to_json(new))
    lost = {one["piece"] for one in document["replaces"]["lost"]}
    done = {piece for step in plan.steps if step.n in progress.done for piece in step.makes}

    def walk(node):
        yield node
        for piece in node.get("pieces", ()):
            yield from walk(piece)

    parts = [
        node
        for layout in document["layouts"]
        for node in walk(layout["tree"])
        if node["role"] == "part" and node["id"] in done - lost and "." in node["id"]
    ]
    parts[0]["role"] = "waste"
    del parts[0]["part"]
    assert "finished" in rules(plan_from_json(json.dumps(document)), plan, progress)
    document["replaces"]["recut"].append({"piece": parts[0]["id"], "was": "part", "parts": []})
    assert "finished" in rules(plan_from_json(json.dumps(document)), plan, progress)


def test_what_is_lost_may_not_be_used_again(case):
    """The record tells of one more loss than the plan knows of."""
    plan, progress, new = case
    other = next(
        place.node.id
        for place in ground(plan).places.values()
        if place.node.part == "back" and ground(plan).maker[place.node.id] in progress.done
    )
    assert {"lost", "replaces"} <= rules(new, plan, spoil(plan, progress, other))
    sooner = Progress(done=progress.done[:-1])
    assert "replaces" in rules(new, plan, sooner)


def test_a_bevelled_rest_gives_no_more_than_it_is(case):
    """Told to be 10 long, the cleat that came out 25 long cannot have given what was cut from it."""
    plan, progress, new = case
    cleat = progress.measured[0]
    shorter = progress.model_copy(update={"measured": (cleat.model_copy(update={"length": 10.0}),)})
    used = any(node.part for node in ground(new).below(cleat.piece))
    assert ("lost" in rules(new, plan, shorter)) == used


def test_only_rests_are_cut_anew(case):
    plan, progress, new = case
    first = plan.steps[0].piece
    slip = spoilt(new, ("replaces", "recut"), lambda recut: [*recut, {"piece": first, "was": "cut", "parts": []}])
    assert "rests" in rules(slip, plan, progress)
    slip = spoilt(new, ("replaces", "recut"), lambda recut: [*recut, {"piece": "Z9", "was": "cut", "parts": []}])
    assert "rests" in rules(slip, plan, progress)
