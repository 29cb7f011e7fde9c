from __future__ import annotations

from fractions import Fraction

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
