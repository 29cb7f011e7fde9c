"""A plan made anew says so on its cover: what changed, what is done, what is bought, what not to use."""

from nesting.paper.cover import cover
from nesting.paper.words import planned_anew, proof
from nesting.plan_replaces import LostPiece, ReplacesDocument
from tests.paper.sample_plan import sample_plan

LOST = LostPiece(piece="A1.4", why="spoiled", parts=("back",), length=24.0, width=9.0, left=(), note="knot")


def replaced(**more):
    facts = {
        "number": 1,
        "plan": "0" * 32,
        "cost": 40.0,
        "more": 0.0,
        "text": "The spoiled back is cut from offcut A1.7; nothing to buy; 3 of 21 open steps change.",
        "done": (1, 2),
        "done_steps": 2,
        "lost": (LOST,),
        "recut": (),
        "layouts": (),
        "open_steps": 21,
        "changed_steps": 3,
        "new_steps": 3,
        "before": (),
    }
    plan = sample_plan()
    return plan.model_copy(update={"replaces": ReplacesDocument(**facts | more)})


def test_the_cover_tells_of_it():
    plan = replaced()
    (page,) = cover(plan)
    block = page["blocks"][0]
    assert block["title"] == "Planned anew"
    assert block["sentences"][0].startswith("The spoiled back is cut from")
    assert "Steps 1-2 are done already." in block["sentences"]
    assert "All on the buying list is bought already." in block["sentences"]
    assert "Piece A1.4 is lost (knot): do not use it." in block["sentences"]
    assert planned_anew(sample_plan()) == []


def test_what_is_bought_more():
    plan = replaced(done_steps=1, layouts=("A1",), more=40.0)
    says = planned_anew(plan)
    assert "Step 1 is done already." in says
    assert "All else on the buying list is bought already." in says


def test_what_is_proven_of_it():
    assert proof(replaced()) == "Nothing has to be bought on top of the earlier plan."
    dear = replaced(more=40.0).model_copy(update={"proven": True})
    assert proof(dear).startswith("Cheapest: what is lost cannot be made again for less than 40.00")
    open_ = dear.model_copy(update={"proven": False, "cost_bound": 40.0})
    assert proof(open_).startswith("Not proven cheapest: 40.00")
