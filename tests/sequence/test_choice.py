"""Choosing among layouts of equal cost: by hand, and against trying every combination."""

from __future__ import annotations

import random
from dataclasses import replace
from fractions import Fraction
from itertools import product

import pytest
from drawn_by_hand import SAW, F, layout
from random_layouts import KERF, Draw
from replay_by_hand import play

from nesting.errors import CannotBeDone
from nesting.sequence import choice as choosing
from nesting.sequence import plan_choice, plan_work
from nesting.solve.stop import Stop


def strips(name, *sizes):
    return layout(name, 48, 30, ("rip", [*((size, "part") for size in sizes), (0, "waste")]))


def test_the_layouts_that_share_settings_across_thicknesses_are_chosen():
    """5 and 6 in, or 7 in twice; the other thickness needs 6 and 8, or 5 and 6: together 5 and 6 are enough."""
    first = [[strips("A1", 7, 7)], [strips("A1", 5, 6)]]
    second = [[strips("B1", 6, 8)], [strips("B1", 5, 6)]]
    work = plan_choice([first, second], SAW)
    assert (work.sequence.setups.total, work.sequence.setups.proven, work.among) == (2, True, 4)
    assert [plan_work([*a, *b], SAW).sequence.setups.total for a, b in product(first, second)] == [3, 3, 3, 2]


def test_the_first_of_equals_is_kept():
    work = plan_choice([[[strips("A1", 7, 7)], [strips("A2", 5, 5)]]], SAW)
    assert [lay.id for lay in work.layouts] == ["A1"]


def tiny_choices(seed):
    chance = random.Random(seed)
    sizes = [Fraction(n) for n in chance.sample(range(3, 15), 5)]

    def draw(name):
        return [Draw(chance, name, sizes, bevels=False).layout(Fraction(30), Fraction(22), Fraction(0), 5)]

    return [[draw("A1") for _ in range(3)], [draw("B1") for _ in range(3)]]


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("shared", [True, False])
def test_no_combination_needs_fewer(seed, shared):
    saw = replace(SAW, sled_shares_table=shared)
    choices = tiny_choices(seed)
    work = plan_choice(choices, saw, seconds=20)
    play(work.layouts, work.sequence.steps, KERF)
    totals = [plan_work([*a, *b], saw, seconds=5).sequence.setups.total for a, b in product(*choices)]
    assert work.sequence.setups.total == min(totals)


def test_a_candidate_that_no_saw_can_cut_is_passed_over():
    saw = replace(SAW, breakdown_saw=False, rip_capacity=F(6))
    wide = layout("A1", 90, 47, ("rip", [(40, "part"), (0, "waste")]))
    assert [lay.id for lay in plan_choice([[[wide], [strips("A2", 5)]]], saw).layouts] == ["A2"]
    other = layout("B1", 90, 47, ("rip", [(40, "part"), (0, "waste")]))
    with pytest.raises(CannotBeDone) as error:
        plan_choice([[[wide]], [[other]]], saw)
    assert [reason.split(",")[0] for reason in error.value.reasons] == ["layout A1", "layout B1"]


def test_without_time_the_first_in_rank_is_worked_all_the_same():
    choices = tiny_choices(1)
    work = plan_choice(choices, SAW, seconds=1e-9, stop=Stop.after(0.0))
    play(work.layouts, work.sequence.steps, KERF)


def test_only_so_many_combinations_are_kept_and_solved(monkeypatch):
    """Twelve thicknesses with two sets each would be 4,096 combinations."""
    monkeypatch.setattr(choosing, "KEPT", 8)
    solved = []
    worked = choosing.Divided.worked
    monkeypatch.setattr(choosing.Divided, "worked", lambda self, *rest: solved.append(1) or worked(self, *rest))
    choices = [[[strips(f"{letter}1", 7, 7)], [strips(f"{letter}1", 5, 6)]] for letter in "ABCDEFGHIJKL"]
    work = plan_choice(choices, SAW)
    assert (work.sequence.setups.total, work.among, len(solved)) == (1, 4096, 1)
