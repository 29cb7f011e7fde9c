"""Tilt changes, settings, changes of station, open pieces, full sheets: in that order, by hand and on random jobs."""

from __future__ import annotations

from dataclasses import replace
from itertools import groupby

import pytest
from drawn_by_hand import SAW, F, layout, settings
from random_layouts import KERF, random_job
from replay_by_hand import play

from nesting.sequence import plan, plan_work
from nesting.sequence.accuracy import nodes_by_id
from nesting.sequence.count import count, station_changes
from nesting.sequence.tidy import open_pieces, sheets_fetched, tidied
from nesting.trade.saw import Saw


def test_every_bevel_rip_comes_in_one_go_after_the_square_work():
    """Whatever else is cut, the blade is tilted once and set square once more for what is cut from the bars."""
    for seed in range(10):
        steps = plan_work(random_job(seed, 3, 14), Saw(KERF), seconds=0.05).sequence.steps
        assert [bevel for bevel, _ in groupby(step.bevel for step in steps)] in ([0], [0, 45], [0, 45, 0])


def test_a_change_of_station_is_made_rather_than_a_setting():
    """Fence 5 in and stop 20 in both stand while the other works: two settings, at the price of a second walk."""
    saw = replace(SAW, fence_crosscuts=False, sled_shares_table=False)
    first = ("rip", [(5, ("crosscut", [(20, "part"), (0, "waste")])), (0, "waste")])
    second = ("crosscut", [(20, ("rip", [(5, "part"), (0, "waste")])), (0, "waste")])
    work = settings([layout("A1", 40, 20, first), layout("A2", 40, 20, second)], saw)
    assert (work.sequence.setups.total, station_changes(work.sequence.steps)) == (2, 2)


@pytest.mark.parametrize("shared", [True, False])
def test_all_strips_are_ripped_before_the_first_is_crosscut(shared):
    saw = replace(SAW, fence_crosscuts=False, sled_shares_table=shared)
    inner = ("crosscut", [(20, "part"), (0, "waste")])
    strips = ("rip", [(5, inner), (6, inner), (7, inner), (0, "waste")])
    work = settings([layout("A1", 40, 30, strips)], saw)
    assert (work.sequence.setups.total, station_changes(work.sequence.steps)) == (4, 1)


def test_a_piece_is_finished_before_another_is_begun_where_no_setting_and_no_walk_is_lost():
    """16 then 12 1/2 in on one sheet, 14 then 13 in on the other, all at the fence: never two strips lie about."""
    saw = replace(SAW, crosscut_capacity=F(10))
    one = layout("A1", 40, 30, ("rip", [(16, ("crosscut", [(F("12.5"), "part"), (0, "waste")])), (0, "waste")]))
    two = layout("A2", 40, 30, ("rip", [(14, ("crosscut", [(13, "part"), (0, "waste")])), (0, "waste")]))
    work = settings([one, two], saw)
    steps = work.sequence.steps
    assert [(step.layout, float(step.setting)) for step in steps] == [("A1", 16), ("A1", 12.5), ("A2", 14), ("A2", 13)]
    assert open_pieces(steps, nodes_by_id(work.layouts)) == (1, 2)


def test_a_full_sheet_is_broken_down_before_the_next_is_fetched():
    """What is left of each sheet after its rip is a full sheet still, for the saw's table is small."""
    half = ("crosscut", [(F("40"), ("rip", [(20, "part"), (0, "waste")])), (0, "waste")])
    sheets = [layout(name, 96, 48, ("rip", [(n, half), (0, "waste")])) for name, n in (("A1", 42), ("A2", 41))]
    work = settings(sheets, replace(SAW, rip_capacity=F(10), crosscut_capacity=F(10), fence_crosscuts=False))
    nodes = nodes_by_id(work.layouts)
    large = [s.layout for s in work.sequence.steps if min(nodes[s.piece].length, nodes[s.piece].width) > 36]
    assert sheets_fetched(work.sequence.steps, nodes, "in") == 2, large
    assert len(large) >= 4
    assert large == sorted(large)


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("shared", [True, False])
@pytest.mark.parametrize("group", [None, 2])
def test_tidying_costs_nothing_that_ranks_higher(monkeypatch, seed, shared, group):
    saw = Saw(KERF, sled_shares_table=shared)
    orders = []

    def watched(layouts, steps, *rest):
        orders.append((steps, tidied(layouts, steps, *rest)))
        return orders[-1][1]

    monkeypatch.setattr(plan, "tidied", watched)
    work = plan_work(random_job(seed, 4, 12), saw, group=group, seconds=0.05)
    play(work.layouts, work.sequence.steps, KERF)
    nodes = nodes_by_id(work.layouts)
    ((old, new),) = orders
    before, after = count(old, saw), count(new, saw)
    assert (after.total, after.tilt) == (work.sequence.setups.total, work.sequence.setups.tilt)
    assert after.total <= before.total
    assert after.tilt == before.tilt
    assert station_changes(new) == station_changes(old)
    assert open_pieces(new, nodes)[0] <= open_pieces(old, nodes)[0]
    assert sheets_fetched(new, nodes, "in") <= sheets_fetched(old, nodes, "in")
