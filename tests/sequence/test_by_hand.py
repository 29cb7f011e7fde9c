"""Layouts drawn by hand, with settings, cautions and drifts worked out on paper."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from drawn_by_hand import KERF, SAW, F, blank, layout, settings

from nesting.errors import CannotBeDone
from nesting.layout import Layout, Node
from nesting.sequence import plan_steps, plan_work
from nesting.sequence.accuracy import measures
from nesting.sequence.count import station_changes
from nesting.sequence.drift import drift, drift_in_words


def test_equal_strips_need_one_setting():
    strips = ("rip", [(5, "part"), (5, "part"), (5, "part"), (0, "waste")])
    setups = settings([layout(f"A{n}", 48, 24, strips) for n in range(3)]).sequence.setups
    assert (setups.fence, setups.stop, setups.guide, setups.tilt, setups.bound) == (1, 0, 0, 0, 1)


def test_without_waste_one_strip_falls_free():
    work = settings([layout("A1", 48, F("15.125"), ("rip", [(9, "part"), (6, "part")]))])
    assert work.sequence.setups.total == 1
    assert [c.where for c in work.sequence.cautions if c.code == "takes_what_is_left"] == ["step 1"]


def test_parent_and_child_at_one_fence_setting():
    """A strip ripped 14 in wide is crosscut against the same fence setting of 14 in: one setting."""
    inner = ("crosscut", [(14, "part"), (14, "part"), (0, "waste")])
    saw = replace(SAW, crosscut_capacity=F(10))
    work = settings([layout("A1", 40, 24, ("rip", [(14, inner), (0, "waste")]))], saw)
    assert work.sequence.setups.total == work.sequence.setups.fence == 1


def test_a_setting_recurs_where_two_sheets_want_it_the_other_way_round():
    """Twice 5 in at the fence: before 20 in on one sheet and after it on the other; narrow saw, no fence crosscuts."""
    saw = replace(SAW, fence_crosscuts=False)
    first = ("rip", [(5, ("crosscut", [(20, "part"), (0, "waste")])), (0, "waste")])
    second = ("crosscut", [(20, ("rip", [(5, "part"), (0, "waste")])), (0, "waste")])
    work = settings([layout("A1", 40, 20, first), layout("A2", 40, 20, second)], saw)
    assert work.sequence.setups.total == 3
    assert len(work.recurring) == 1
    assert "comes before" in work.recurring[0]
    assert "A1" in work.recurring[0]
    assert "A2" in work.recurring[0]


def test_two_saws_keep_their_settings():
    saw = replace(SAW, fence_crosscuts=False, sled_shares_table=False)
    first = ("rip", [(5, ("crosscut", [(20, "part"), (0, "waste")])), (0, "waste")])
    second = ("crosscut", [(20, ("rip", [(5, "part"), (0, "waste")])), (0, "waste")])
    third = ("rip", [(5, ("crosscut", [(20, ("rip", [(3, "part"), (0, "waste")])), (0, "waste")])), (0, "waste")])
    work = settings([layout("A1", 40, 20, first), layout("A2", 40, 20, second)], saw)
    assert work.sequence.setups.total == 2, "fence 5 and stop 20 both stand while the other works"
    assert settings([layout("A1", 40, 20, third)], saw).sequence.setups.total == 3


def test_a_full_sheet_is_broken_down_by_one_guided_cut():
    strips = ("rip", [(F("5.46875"), "part")] * 8 + [(0, "waste")])
    setups = settings([layout("A1", 96, 48, strips)]).sequence.setups
    assert (setups.fence, setups.guide) == (1, 1)


def test_group_works_the_sheets_one_at_a_time():
    one = ("rip", [(5, ("crosscut", [(20, "part"), (0, "waste")])), (0, "waste")])
    layouts = [layout(f"A{n}", 40, 20, one) for n in (1, 2)]
    assert settings(layouts).sequence.setups.total == 2
    steps = plan_work(layouts, SAW, group=1).sequence.steps
    assert [step.layout for step in steps] == ["A1", "A1", "A2", "A2"]


def test_same_seed_same_steps():
    one = ("rip", [(5, ("crosscut", [(20, "part"), (9, "part"), (0, "waste")])), (7, "part"), (0, "waste")])
    layouts = [layout(f"A{n}", 40, 30, one) for n in (1, 2)]
    assert plan_work(layouts, SAW, seed=3) == plan_work(layouts, SAW, seed=3)


def test_a_waste_of_its_own_is_not_measured():
    steps = plan_steps([layout("A1", 48, 20, ("rip", [(6, "part"), (0, "waste")]))], SAW).steps
    assert [(s.setting, s.against, s.station) for s in steps] == [(F(6), "low", "table saw")]


def test_a_single_piece_where_the_blade_eats_the_rest():
    work = settings([layout("A1", 48, F("6.0625"), ("rip", [(6, "part")]))])
    assert [len(step.makes) for step in work.sequence.steps] == [1]


def test_nothing_to_cut():
    whole = Layout("A1", "ply", F(20), F(10), F(1), Node("A1", F(0), F(0), F(20), F(10), "part", part="panel"))
    work = plan_work([whole], SAW)
    assert work.layouts == (whole,)
    assert work.sequence.setups.total == 0


def test_no_station():
    wide = layout("A1", 90, 47, ("rip", [(40, "part"), (0, "waste")]))
    with pytest.raises(CannotBeDone) as error:
        plan_work([wide], replace(SAW, breakdown_saw=False, rip_capacity=F(6)))
    assert "no station can make the rip" in error.value.reasons[0]


@pytest.mark.parametrize("lone", [False, True])
def test_a_bevel_rip_leaning_away_is_set_to_the_short_face(lone):
    work = settings([blank(lone=lone)])
    step = work.sequence.steps[0]
    assert (step.setting, step.against, step.leans) == (Fraction(73, 32), "low", "away")
    assert (work.sequence.setups.fence, work.sequence.setups.tilt) == (1, 1)
    assert {"test_cut", "bevel_side", "push_stick"} <= {c.code for c in work.sequence.cautions}


def test_a_bevel_rip_leaning_toward_is_set_to_the_tall_face_and_says_the_remedy():
    work = settings([blank()], replace(SAW, fence_side="left"))
    step = work.sequence.steps[0]
    assert (step.setting, step.leans) == (F(3), "toward")
    text = next(c.text for c in work.sequence.cautions if c.code == "bevel_side")
    assert "move the fence to the right" in text
    assert "3 in as it is, 2 9/32 in with the fence on the right" in text


def test_which_size_matters():
    work = settings([layout("A1", 48, 20, ("rip", [(6, "part"), (0, "waste")]))])
    (found,) = measures(work.layouts, work.sequence.steps)
    assert (found.held, found.falls, found.sizes) == ("A1.1", "A1.2", ("part", "waste"))


def test_a_piece_cut_on_in_the_same_direction_matters_only_through_its_last_piece():
    """Strips of 5 in: from 17 in what is left is waste; from 15 1/4 in the third strip takes what is left."""
    for width, rest in ((17, "waste"), (F("15.25"), "part")):
        work = settings(
            [
                layout(
                    "A1", 48, width, ("rip", [(5, "part"), (5, "part"), (5, "part"), (0, "waste")][: 3 + (width == 17)])
                )
            ]
        )
        first, *_ = measures(work.layouts, work.sequence.steps)
        assert first.sizes == ("part", rest)


def test_a_piece_cut_on_in_the_other_direction_matters_as_its_pieces_do():
    work = settings([layout("A1", 48, 17, ("rip", [(5, ("crosscut", [(20, "part"), (0, "offcut")])), (0, "waste")]))])
    rip, crosscut = measures(work.layouts, work.sequence.steps)
    assert (rip.sizes, crosscut.sizes) == (("part", "waste"), ("part", "offcut"))


def test_a_lone_piece_has_nothing_that_falls_free():
    work = settings([layout("A1", 48, F("6.0625"), ("rip", [(6, "part")]))])
    (found,) = measures(work.layouts, work.sequence.steps)
    assert (found.held, found.falls, found.sizes) == ("A1.1", None, ("part",))


def test_kerf_may_drift_until_the_slack_is_gone():
    """Three strips of 5 in from 17 in: two kerf errors before the third cut, which needs 5 of 6 3/4 in."""
    work = settings([layout("A1", 48, 17, ("rip", [(5, "part"), (5, "part"), (5, "part"), (0, "waste")]))])
    (found,) = drift(work.layouts, work.sequence.steps)
    assert (found.kerf.most, found.kerf.loss, found.thickness) == ((F(17) - 10 - 2 * KERF - 5) / 2, 2, None)
    assert "may be 0.875 in wider" in drift_in_words(found, "in")
    assert "no part depends on the thickness" in drift_in_words(found, "in")


def test_the_last_strip_has_no_kerf_to_spare():
    work = settings([layout("A1", 48, F("15.25"), ("rip", [(5, "part"), (5, "part"), (5, "part")]))])
    (found,) = drift(work.layouts, work.sequence.steps)
    assert (found.kerf.most, found.kerf.loss, found.kerf.part) == (F(0), 2, "panel")
    assert "for each 0.1 mm the kerf is wider than stated it comes out 0.2 mm short" in drift_in_words(found, "mm")
    (spare,) = drift(work.layouts, work.sequence.steps, {"panel": (F(48), F("4.75"))})
    assert spare.kerf.most == Fraction(1, 8)


def test_parts_measured_from_an_edge_do_not_mind_the_kerf():
    work = settings([layout("A1", 48, 20, ("rip", [(6, "part"), (0, "waste")]))])
    (found,) = drift(work.layouts, work.sequence.steps)
    assert found.kerf is None
    assert "every part is measured from an edge" in drift_in_words(found, "in")


def test_thinner_stock_makes_the_cleat_at_the_fence_lower():
    """Leaning away S stays on its short face, so that its tall face loses t tan b; 45 degrees: as much as t."""
    work = settings([blank()])
    (found,) = drift(work.layouts, work.sequence.steps, {"cleat": (F(40), Fraction(95, 32))})
    assert (found.thickness.most, found.thickness.piece) == (Fraction(1, 32), "A1.1")
    assert "thinner" in drift_in_words(found, "in")


def test_thinner_stock_makes_the_cleat_that_falls_free_lower_where_the_blade_leans_toward_the_fence():
    """S is then the tall face itself, and the other tall face is W + t tan b - k / cos b - S."""
    work = settings([blank()], replace(SAW, fence_side="left"))
    (found,) = drift(work.layouts, work.sequence.steps, {"cleat": (F(40), Fraction(95, 32))})
    high = work.layouts[0].tree.pieces[1].width
    assert (found.thickness.most, found.thickness.piece) == (high - Fraction(95, 32), "A1.2")


def test_stations_change_as_seldom_as_can_be():
    inner = ("crosscut", [(20, "part"), (0, "waste")])
    saw = replace(SAW, fence_crosscuts=False)
    strips = ("rip", [(5, inner), (6, inner), (7, inner), (0, "waste")])
    assert station_changes(settings([layout("A1", 40, 30, strips)], saw).sequence.steps) == 1
