"""Changes of the rack: each can be taken back; labels are given once; nothing is taken that is not there."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.errors import BadInput
from nesting.rack.piece import MOST_PIECES
from nesting.rack.rack import MOST_REMEMBERED, Change, Rack, Smallest, changed, found, undone, without
from tests.rack.pieces import piece, racks


@settings(max_examples=60, deadline=None)
@given(racks, st.data())
def test_any_row_of_changes_taken_back_leaves_the_rack_as_it_was(pieces, data):
    rack = changed(Rack(), Change("all", given=tuple(pieces)))
    states = [Rack(), rack]
    for _ in range(4):
        taken = tuple(data.draw(st.lists(st.sampled_from(rack.pieces), unique=True))) if rack.pieces else ()
        given_back = tuple(one.model_copy(update={"note": "turned"}) for one in taken[:1])
        rack = changed(rack, Change("some", taken, given_back))
        states.append(rack)
    while len(states) > 1:
        assert rack == states.pop()
        rack, change = undone(rack)
        assert change.words in ("some", "all")
    assert rack == Rack()
    with pytest.raises(BadInput, match="nothing to take back"):
        undone(rack)


def test_what_hinders_a_change_is_told_all_at_once():
    rack = changed(Rack(), Change("", given=(piece("A"), piece("B"))))
    with pytest.raises(BadInput) as refused:
        changed(rack, Change("", taken=(piece("A", length="30"), piece("C")), given=(piece("B"),)))
    assert [str(fault) for fault in refused.value.faults] == [
        "A: has been changed since",
        "C: is not in the rack any more",
        "B: is in the rack already; accepted: a label of its own",
    ]


def test_a_rack_is_not_without_end_and_remembers_the_latest_changes():
    rack = Rack()
    for n in range(MOST_REMEMBERED + 3):
        rack = changed(rack, Change(f"change {n}", given=(piece(f"R-{n}"),)))
    assert (len(rack.history), rack.history[0].words) == (MOST_REMEMBERED, "change 3")
    assert [one.label for one in rack.pieces[8:12]] == ["R-8", "R-9", "R-10", "R-11"]
    many = tuple(piece(f"x{n}") for n in range(MOST_PIECES + 1))
    with pytest.raises(BadInput, match="too many for one rack"):
        changed(Rack(), Change("", given=many))


def test_the_change_of_one_plan_is_taken_back_out_of_turn_while_nobody_needs_it():
    rack = changed(Rack(), Change("old", given=(piece("A"),)))
    rack = changed(rack, Change("plan", (piece("A"),), (piece("B"), piece("C")), plan="p"))
    rack = changed(rack, Change("new", given=(piece("D"),)))
    before = without(rack, "p")
    assert [one.label for one in before.pieces] == ["A", "D"]
    assert [change.words for change in before.history] == ["old", "new"]
    assert without(rack, "q") is rack
    used = changed(rack, Change("used", taken=(piece("C"),)))
    with pytest.raises(BadInput, match="C: is not in the rack any more"):
        without(used, "p")


def test_labels_that_are_not_there_are_named_with_the_nearest():
    with pytest.raises(BadInput) as refused:
        found({"R-12": piece("R-12")}, ["R-21", "zzz", "R-12"])
    assert [str(fault) for fault in refused.value.faults] == [
        "'R-21': is not in the rack; did you mean R-12?",
        "'zzz': is not in the rack",
    ]


def test_what_is_worth_keeping_is_the_shops_own_choice():
    small = Smallest.model_validate({"unit": "mm", "length": "200", "width": "40"}, context={"unit": "mm"})
    assert small.holds(piece(length="8").length, piece(width="1 5/8").width, "in")
    assert not small.holds(piece(length="7 3/4").length, piece(width="2").width, "in")
