"""What the phone at the saw shows of a plan, for every state of the ticks."""

from __future__ import annotations

import pytest

from api.pages.saw_view import all_settings, card, first_open, how_far, piece_name
from nesting.progress.record import Measured, Progress, Spoiled
from tests.pages.bench import rack_plan


def test_the_setting_to_go_on_with_is_that_of_the_first_step_not_done():
    plan = rack_plan()
    assert [first_open(plan, Progress(done=tuple(range(1, n)))) for n in (1, 2, 3, 4, 5)] == [1, 2, 2, 3, 3]


def test_a_plan_without_cuts_has_nothing_to_go_on_with():
    plan = rack_plan().model_copy(update={"steps": ()})
    assert first_open(plan, Progress()) is None
    assert card(plan, 1, Progress()) is None
    assert how_far(plan, set()).of == 0


def test_a_card_says_what_the_hand_needs():
    shown = card(rack_plan(), 2, Progress(done=(1,)))
    assert (shown.number, shown.total, shown.station) == (2, 3, "table saw")
    assert (shown.set_to, shown.unit, shown.what) == ("5", "in", "fence, at the table")
    assert shown.blade == "Blade square"
    assert (shown.before, shown.after) == (1, 3)
    assert shown.open == 2
    assert shown.section.startswith("<svg ")
    first = shown.cuts[0]
    assert (first.n, first.piece, first.side) == (2, "A1.1", "lower edge against the fence")
    assert first.makes == "shelf (5) and piece A1.1.2 (4\xa015/16)"
    assert (first.can_tick, first.can_untick) == (True, False)


def test_what_is_not_there_yet_names_all_that_comes_before_in_order():
    plan = rack_plan()
    assert [cut.waits_for for cut in card(plan, 3, Progress()).cuts] == [(1, 2)]
    assert [cut.waits_for for cut in card(plan, 3, Progress(done=(1,))).cuts] == [(2,)]
    assert card(plan, 3, Progress(done=(1, 2))).cuts[0].can_tick


def test_a_tick_that_others_stand_on_cannot_be_taken_back():
    plan = rack_plan()
    assert card(plan, 1, Progress(done=(1, 2))).cuts[0].kept_by == "and what it made is cut up further"
    assert not card(plan, 1, Progress(done=(1, 2))).cuts[0].can_untick
    assert card(plan, 2, Progress(done=(1, 2))).cuts[0].can_untick


def test_what_was_to_come_from_a_lost_piece_cannot_be_ticked():
    plan = rack_plan()
    progress = Progress(done=(1,), spoiled=(Spoiled(piece="A1.1"),))
    assert first_open(plan, progress) == 2
    first, second = card(plan, 2, progress).cuts
    assert (first.lost, first.can_tick, second.can_tick) == ("A1.1", False, True)
    assert card(plan, 3, progress).cuts[0].lost == "A1.1"
    assert card(plan, 1, progress).cuts[0].kept_by == "and A1.1 was told of since"


def test_a_piece_that_came_out_too_small_is_lost_and_one_a_hair_smaller_is_not():
    plan = rack_plan()
    for width, lost in ((9.0, "A1.1"), (10.06, "")):
        progress = Progress(done=(1,), measured=(Measured(piece="A1.1", length=30.0, width=width),))
        assert card(plan, 2, progress).cuts[0].lost == lost


def test_a_caution_of_all_cuts_is_told_once_and_another_at_its_cut():
    shown = card(rack_plan(), 2, Progress())
    assert shown.cautions == ("Use a push stick.",)
    assert [cut.cautions for cut in shown.cuts] == [(), ("Mind the knot.",)]


def test_settings_are_listed_with_what_is_done_of_them():
    lines = all_settings(rack_plan(), {1, 2})
    assert [(line.number, line.done, line.of) for line in lines] == [(1, 1, 1), (2, 1, 2), (3, 0, 1)]
    assert lines[1].pieces == "A1.1, A1.2"
    assert lines[0].tilt == "square"


def test_names_are_data_in_pictures_too():
    plan = rack_plan(name="<b>&\"'")
    shown = card(plan, 2, Progress())
    assert "<b>" not in shown.cuts[0].picture
    assert shown.cuts[0].makes.startswith("<b>&")  # the template escapes it


@pytest.mark.parametrize(
    ("piece", "words"),
    [("A1.1.1", "shelf, 30 × 5 in"), ("A1.1.2", "to be cut further"), ("B9", ""), ("A1.2.2", "leftover")],
)
def test_a_piece_has_a_name_for_people(piece, words):
    assert words in piece_name(rack_plan(), piece)
    assert bool(piece_name(rack_plan(), piece)) == bool(words)
