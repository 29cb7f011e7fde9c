from __future__ import annotations

import random
from fractions import Fraction

import pytest
from exhaustive import fewest_settings
from random_layouts import KERF, Draw
from replay_by_hand import kept, play

from nesting.sequence import plan_work
from nesting.trade.saw import Saw


def tiny_job(seed):
    chance = random.Random(seed)
    sizes = [Fraction(n) for n in chance.sample(range(3, 15), 4)]
    return [
        Draw(chance, f"A{n}", sizes, bevels=False).layout(Fraction(30), Fraction(22), Fraction(0), 4)
        for n in range(1, 2 + chance.randrange(2))
    ]


@pytest.mark.parametrize("block", range(10))
@pytest.mark.parametrize("shared", [True, False])
def test_settings_agree_with_an_exhaustive_search(block, shared):
    saw = Saw(KERF, edge_trim=Fraction(0), sled_shares_table=shared)
    cases = 0
    for seed in range(50 * block, 50 * block + 50):
        layouts = tiny_job(seed + 500 * shared)
        work = plan_work(layouts, saw, seconds=5)
        play(work.layouts, work.sequence.steps, KERF)
        assert kept(work.layouts) == kept(layouts)
        setups = work.sequence.setups
        assert setups.proven
        assert (seed, setups.total) == (seed, fewest_settings(layouts, saw))
        cases += setups.total > 2
    assert cases > 10
