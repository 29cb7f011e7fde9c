from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import groupby

import pytest
from random_layouts import KERF, one_sheet, random_job
from replay_by_hand import kept, play

from nesting.errors import CannotBeDone
from nesting.sequence import plan_steps, plan_work
from nesting.trade.saw import Saw

SAW = Saw(KERF)


@pytest.mark.parametrize("seed", range(30))
def test_steps_cut_the_trees_as_given(seed):
    layouts = random_job(seed, 1 + seed % 3, 12)
    play(layouts, plan_steps(layouts, SAW, seconds=0.05).steps, KERF)


@pytest.mark.parametrize("seed", range(30))
@pytest.mark.parametrize("trim", [Fraction(0), Fraction(1, 8), Fraction(1, 4)])
def test_rearranged_layouts_give_the_same_parts(seed, trim):
    layouts = random_job(seed, 1 + seed % 3, 12, trim=trim)
    saw = Saw(KERF, edge_trim=trim)
    work = plan_work(layouts, saw, seconds=0.05)
    play(work.layouts, work.sequence.steps, KERF)
    assert kept(work.layouts) == kept(layouts)


def test_without_a_guided_saw_a_sheet_with_trim_cannot_be_done():
    layouts = [one_sheet(0, 96, 48, 12)]
    with pytest.raises(CannotBeDone, match="no guided saw"):
        plan_steps(layouts, Saw(KERF, breakdown_saw=False))


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize(
    "changed",
    [
        {"sled_shares_table": False},
        {"fence_side": "left"},
        {"fence_crosscuts": False},
        {"rip_capacity": Fraction(20), "crosscut_capacity": Fraction(10)},
    ],
    ids=lambda changed: next(iter(changed)),
)
def test_any_saw_and_groups_of_sheets(seed, changed):
    saw = replace(SAW, **changed)
    layouts = random_job(seed, 3, 9)
    for group in (None, 1, 2):
        work = plan_work(layouts, saw, group=group, seconds=0.3)
        steps, setups = work.sequence.steps, work.sequence.setups
        play(work.layouts, steps, KERF)
        assert setups.bound <= setups.total
        assert setups.proven is (setups.bound == setups.total)
        if group:
            order = [int(step.layout[1:]) - 1 for step in steps]
            assert [n // group for n in order] == sorted(n // group for n in order)


def test_every_step_keeps_to_its_station():
    for seed in range(20):
        work = plan_work(random_job(seed, 2, 12), SAW, seconds=0.05)
        nodes = {node.id: node for layout in work.layouts for node in layout.tree.walk()}
        for step in work.sequence.steps:
            node = nodes[step.piece]
            along = node.length if step.cut == "rip" else node.width
            if step.station == "table saw":
                assert step.setting <= SAW.rip_capacity
                assert step.cut == "rip" or along >= max(12, step.setting)
            elif step.station == "crosscut sled":
                assert along <= SAW.crosscut_capacity
            assert step.bevel == 0 or step.station == "table saw"


def test_settings_are_numbered_as_they_are_counted():
    for seed in range(20):
        work = plan_work(random_job(seed, 2, 12), SAW, seconds=0.05)
        steps, setups = work.sequence.steps, work.sequence.setups
        assert [step.n for step in steps] == list(range(1, len(steps) + 1))
        assert len({step.setup for step in steps}) == setups.total == max(step.setup for step in steps)
        for number in range(1, setups.total + 1):
            same = {(s.station, s.setting, s.bevel) for s in steps if s.setup == number}
            assert len(same) == 1


def test_bevel_rips_come_in_one_go():
    for seed in range(20):
        steps = plan_work(random_job(seed, 2, 12), SAW, seconds=0.05).sequence.steps
        tilts = [key for key, _ in groupby(step.bevel for step in steps)]
        assert len(tilts) <= 3
