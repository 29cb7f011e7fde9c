"""Dives: parts of plans fixed by the linear program over patterns, and plans grown from them beside the pricing."""

from __future__ import annotations

from collections import Counter
from typing import Any

import pytest

from nesting.solve import proofs
from nesting.solve.bars import Composition
from nesting.solve.beside import TRIES, Beside, beside
from nesting.solve.boxes import Full
from nesting.solve.chances import Task
from nesting.solve.columns import cost_of
from nesting.solve.compiled import PLAIN
from nesting.solve.dives import Near, by_value, fixed
from nesting.solve.exact_pricing import pricer
from nesting.solve.pattern import Plan, Put, Sheet, Split, contents
from nesting.solve.pattern_bound import Column, Master
from nesting.solve.problem import Bin, Bound, Item, Problem
from nesting.solve.proofs import Prover
from nesting.solve.rounds import Rounds
from nesting.solve.standing import Standing
from nesting.solve.stop import Stop

# by hand: a 6 x 10 and a 4 x 10 fill a sheet; three sheets take all six, and no fewer
PROBLEM = Problem((Bin(10, 10, 5),), (Item(6, 10, 3, ((True, False),)), Item(4, 10, 3, ((True, False),))))
BOTH: Column = (0, ((0, 1), (1, 1)))
TWO_NARROW: Column = (0, ((1, 2),))
WIDE: Column = (0, ((0, 1),))
PAIR = Sheet(0, Split("crosscut", 6, Put(0), Put(1)))
POOR: Plan = (PAIR, PAIR, Sheet(0, Put(0)), Sheet(0, Put(1)))


def made(plan: Plan) -> Counter[int]:
    return sum((contents(sheet.pattern)[0] for sheet in plan), Counter())


@pytest.mark.parametrize("target", [5, 10, 15])
def test_a_dive_covers_nothing_twice_and_leaves_the_program_as_it_was(target: int) -> None:
    master = Master(PROBLEM, [BOTH, TWO_NARROW, WIDE])
    before = master.prices(Stop.after(9))
    values = list(master.values)
    for seed in range(6):
        columns = master.dived(target, seed, Stop.after(9))
        covered = sum((Counter(dict(content)) for _, content in columns), Counter())
        assert covered <= Counter({0: 3, 1: 3})
        assert len(columns) == target // 5
        assert master.values == values
    assert master.prices(Stop.after(9)) == before


def test_a_dive_leaves_out_what_is_covered_already() -> None:
    problem = Problem(PROBLEM.bins, (Item(6, 10, 2, ((True, False),)), Item(4, 10, 1, ((True, False),))))
    master = Master(problem, [BOTH])
    master.prices(Stop.after(9))
    assert sorted(master.dived(10, 1, Stop.after(9))) == [(0, ((0, 1),)), BOTH]
    master = Master(Problem(PROBLEM.bins, (Item(4, 10, 3, ((True, False),)),)), [(0, ((0, 2),))])
    master.prices(Stop.after(9))
    assert sorted(master.dived(10, 1, Stop.after(9))) == [(0, ((0, 1),)), (0, ((0, 2),))]


def test_columns_are_fixed_by_value_as_long_as_nothing_is_covered_twice() -> None:
    columns = by_value([(0.4, WIDE), (1.5, TWO_NARROW), (0.9, BOTH), (0.2, TWO_NARROW)])
    assert columns == [TWO_NARROW, BOTH, WIDE, TWO_NARROW]
    plan = fixed(PROBLEM, [pricer(PROBLEM, 0, compiled=False)], columns, 15, Stop.after(9))
    assert plan is not None
    assert [made((sheet,)) for sheet in plan] == [Counter({1: 2}), Counter({0: 1, 1: 1}), Counter({0: 1})]
    assert fixed(PROBLEM, [pricer(PROBLEM, 0, compiled=False)], columns, 15, Stop.after(0)) is None


def test_a_plan_is_grown_from_what_was_fixed_or_none_is() -> None:
    grown = Near(PROBLEM, (PAIR,), 15).grown(1, Stop.after(20))
    assert grown is not None
    assert (cost_of(PROBLEM, grown), made(grown)) == (15, Counter({0: 3, 1: 3}))
    assert Near(PROBLEM, (PAIR,), 10).grown(1, Stop.after(20)) is None


def test_each_hope_is_tried_some_times_and_none_once_as_good_a_plan_is_known() -> None:
    search, near = Beside(20), Near(PROBLEM, (PAIR,), 15)
    assert search.to_try() is None
    for _ in range(2):
        search.hope(near)
        assert search.hoping.is_set()
        assert [search.to_try() for _ in range(TRIES + 1)] == [near] * TRIES + [None]
        assert not search.hoping.is_set()
    search.hope(near)
    search.lay_down(Composition(PROBLEM, 2, ()), (), 15)
    assert search.to_try() is None


def test_what_proofs_hope_for_breaks_a_chance_off_and_becomes_a_plan(monkeypatch: pytest.MonkeyPatch) -> None:
    def busy(self: Task, stop: Stop, *args: Any, **named: Any) -> None:
        while not stop.reached():
            stop.cancel.wait(0.01)

    monkeypatch.setattr(Task, "improve", busy)
    monkeypatch.setattr(Task, "fit", lambda self, way, stop, keep: busy(self, stop))
    standing = Standing(PROBLEM, Stop.after(60), 1, lambda news: None, 20.0)
    standing.offer(POOR, "test")
    rounds = Rounds(standing)
    rounds._prover()
    with beside(rounds._chances(2, PLAIN), standing.stop, standing.cost) as search:
        assert not search.better.wait(0.2)
        search.hope(Near(PROBLEM, (PAIR,), 15))
        assert search.better.wait(30)
    rounds._collect(search)
    assert standing.cost == 15


def test_proofs_hand_over_what_the_linear_program_fixes() -> None:
    heard: list[Near] = []
    proof = Prover(PROBLEM).prove(20, Bound(10, "none"), Stop.after(20), [WIDE], None, heard.append)
    assert proof.exact
    assert proof.bound.cost == 15
    assert heard
    for near in heard:
        assert near.target in (10, 15)
        assert 0 < cost_of(PROBLEM, near.part) <= near.target
        assert made(near.part) <= Counter({0: 3, 1: 3})


def test_dives_find_the_plan_where_gap_enumeration_gives_up(monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*args: Any) -> None:
        raise Full

    monkeypatch.setattr(proofs, "cheaper_plan", full)
    prover = Prover(PROBLEM)
    proof = prover.prove(20, Bound(10, "none"), Stop.after(20), [BOTH, WIDE])
    assert proof.better is not None
    assert (cost_of(PROBLEM, proof.better), made(proof.better)) == (15, Counter({0: 3, 1: 3}))
    assert prover.seed == 1  # found from the values as they are, and not looked for again
