"""Runs of wall that may be spliced in several ways: the splices are chosen together with the cuts."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from fractions import Fraction
from itertools import combinations, pairwise
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from nesting.demand import Cleat, Group, Panel, SplicedRun, Stock
from nesting.solve.bars import relaxed
from nesting.solve.bounds import NO_PLAN, quick_bound
from nesting.solve.columns import Pool, cost_of
from nesting.solve.cutting import Cutting, cut_group, homeless
from nesting.solve.grid import Rules, put_on_grid
from nesting.solve.master import choose
from nesting.solve.pattern import Sheet, Split, Strip, contents
from nesting.solve.pricing import generate
from nesting.solve.problem import Bar, Bin, BlankWidth, Item, Problem, Run
from nesting.solve.search import solve
from nesting.solve.splices import (
    asked_by,
    drawn,
    every,
    fewest,
    joined,
    pieces_wanted,
    resolved,
    roomy,
    settled,
    tried,
)
from nesting.solve.staggered import meetings, spread, staggered
from nesting.solve.stop import Stop
from nesting.solve.tiny import cheapest_tiny
from tests.oracle.brute_force import cheapest, every_splicing
from tests.strategies import tiny_walls

F = Fraction
RULES = Rules(F(1, 8), F(1, 32), F(45))
ROW = (BlankWidth(0, None, 4), BlankWidth(0, 0, 6))
PLY = Stock("ply", "sheet", F(96), F(48), F(23, 32), F(0), F(60), None, grain=True)


def _on_studs(length: Any, first: Any, longest: int, most: int) -> tuple[tuple[Fraction, ...], ...]:
    """Return the splices of a run on studs 16 in apart from ``first`` on, every piece on two studs."""
    studs = [F(first) + 16 * n for n in range(int((F(length) - F(first)) / 16) + 1)]
    found = []
    for count in range(most + 1):
        for joints in combinations(studs[1:-1], count):
            ends = (F(0), *joints, F(length))
            if all(high - low <= longest for low, high in pairwise(ends)):
                found.append(tuple(high - low for low, high in pairwise(ends)))
    return tuple(sorted(found, key=lambda way: (len(way), [-piece for piece in way])))


def _wall(rows: int, ways: tuple[tuple[Fraction, ...], ...]) -> tuple[SplicedRun, ...]:
    most = max(map(len, ways))
    return tuple(
        SplicedRun(
            f"row {n}", "wall", F(3), ways, frozenset({0}), tuple(f"row {n} {letter}" for letter in "abcdefg"[:most]), n
        )
        for n in range(1, rows + 1)
    )


def _cut(group: Group, rules: Rules = RULES, seconds: float = 20, seed: int = 0) -> Cutting:
    letters = {stock.name: letter for stock, letter in zip(group.stocks, "ABC", strict=False)}
    return cut_group(group, rules, "in", letters, Stop.after(seconds), seed)


def _covers_exactly(group: Group, found: Cutting) -> None:
    """Every candidate makes each piece of the alternatives it tells once, under its name and as long, and no other."""
    assert len(found.splices) == len(found.candidates)
    for layouts, chosen in zip(found.candidates, found.splices, strict=True):
        made: Counter[tuple[str, Fraction]] = Counter()
        for layout in layouts:
            for node in layout.tree.walk():
                if node.role == "part" and node.part is not None:
                    made[node.part, node.width if node.turned else node.length] += 1
        wanted: Counter[tuple[str, Fraction]] = Counter()
        for run, alternative in zip(group.runs, chosen, strict=True):
            wanted.update(zip(run.piece_names, run.alternatives[alternative], strict=False))
        wanted.update({(cleat.name, cleat.length): cleat.quantity for cleat in group.cleats})
        wanted.update({(panel.name, panel.length): panel.quantity for panel in group.panels if not panel.filler})
        fillers = {panel.name for panel in group.panels if panel.filler}
        assert Counter({key: n for key, n in made.items() if key[0] not in fillers}) == wanted


# -- against everything there is


@settings(max_examples=9, deadline=None)
@given(tiny_walls())
def test_no_splicing_of_a_tiny_wall_is_cheaper(job: tuple[Group, Rules]) -> None:
    group, rules = job
    assume(not homeless(group, rules))
    optimum = cheapest(group, rules.kerf, rules.step, rules.angle)
    found = _cut(group, rules)
    if optimum is None:
        assert found.candidates == ()
        return
    assert (found.cost, found.proven) == (optimum, True)
    _covers_exactly(group, found)


@settings(max_examples=15, deadline=None)
@given(tiny_walls())
def test_quick_and_linear_bounds_hold_for_every_splicing(job: tuple[Group, Rules]) -> None:
    group, rules = job
    problem = put_on_grid(group, rules).problem
    optimum = cheapest(group, rules.kerf, rules.step, rules.angle)
    quick = quick_bound(relaxed(problem)).cost
    assert quick <= (NO_PLAN if optimum is None else optimum)
    if optimum is not None:
        linear = generate(problem, Pool(), Stop.after(20))
        assert linear.cost <= optimum
        assert linear.ended
        if problem.runs:
            assert linear.shares is not None
            for run, shares in zip(problem.runs, linear.shares, strict=True):
                assert sum(shares) == pytest.approx(run.copies)


@settings(max_examples=4, deadline=None)
@given(tiny_walls())
def test_tiny_jobs_are_spliced_in_the_fewest_pieces_that_cost_as_little(job: tuple[Group, Rules]) -> None:
    group, rules = job
    assume(group.runs and all(stock.available is None for stock in group.stocks))
    problem = put_on_grid(group, rules).problem
    plan = cheapest_tiny(problem, Stop.after(60))
    assume(plan is not None)
    assert plan is not None
    costs = [
        (cheapest(spliced, rules.kerf, rules.step, rules.angle), sum(cleat.quantity for cleat in spliced.cleats))
        for spliced, _ in every_splicing(group)
    ]
    best = min((cost, pieces) for cost, pieces in costs if cost is not None)
    assert (cost_of(problem, plan), joined(problem, plan)) == best


@st.composite
def _walls(draw: st.DrawFn) -> tuple[Group, Rules]:
    """Draw rows of one length on studs, now and then panels beside them."""
    length, first = F(draw(st.integers(100, 170))), F(draw(st.integers(2, 16)))
    ways = _on_studs(length, first, 96, 2)
    assume(ways)
    panels = tuple(
        Panel(f"p{n}", F(draw(st.integers(10, 40))), F(draw(st.integers(5, 20))), 2, "any", False, frozenset({0}))
        for n in range(draw(st.integers(0, 2)))
    )
    return Group((PLY,), panels, (), _wall(draw(st.integers(3, 14)), ways)), RULES


@settings(max_examples=3, deadline=None)
@given(_walls(), st.integers(0, 3))
def test_free_splices_never_cost_more_than_the_fewest_pieces(job: tuple[Group, Rules], seed: int) -> None:
    group, rules = job
    fixed = replace(group, runs=tuple(replace(run, alternatives=run.alternatives[:1]) for run in group.runs))
    one, other = _cut(fixed, rules, 2, seed), _cut(group, rules, 2, seed)
    assert other.cost <= one.cost
    assert other.bound <= one.cost
    _covers_exactly(fixed, one)
    _covers_exactly(group, other)


# -- worked out by hand


def test_offcuts_end_up_in_the_wall() -> None:
    """Twelve rows of 126 in on studs 16 in apart come out of one sheet, in longest pieces they need two.

    88 + 38 leaves 8 in of a bar of 96 beside the 88, too short for anything: twelve bars, and two of 38 to a bar six
    more, of the seventeen a sheet gives. 54 + 72, 56 + 70 and 40 + 86 fill bars better.
    """
    group = Group((PLY,), (), (), _wall(12, _on_studs(126, 8, 96, 2)))
    fixed = replace(group, runs=_wall(12, ((F(88), F(38)),)))
    one, other = _cut(fixed), _cut(group)
    assert (one.cost, one.proven) == (120, True)
    assert (other.cost, other.proven) == (60, True)
    _covers_exactly(group, other)


def test_of_equally_cheap_splices_those_of_fewest_joints_are_taken() -> None:
    group = Group((PLY,), (), (), _wall(3, _on_studs(126, 8, 96, 3)))
    found = _cut(group)
    assert (found.cost, found.proven) == (60, True)
    assert all(len(group.runs[0].alternatives[chosen]) == 2 for chosen in found.splices[0])


def test_joints_of_neighbouring_rows_are_apart_where_that_costs_nothing() -> None:
    """Longest pieces would join all rows on one stud; with room on the sheet every other row is joined elsewhere."""
    group = Group((PLY,), (), (), _wall(6, _on_studs(126, 8, 96, 2)))
    for rules in (RULES, replace(RULES, max_stages=4)):
        found = _cut(group, rules)
        assert (found.cost, found.proven) == (60, True)
        _covers_exactly(group, found)
        for chosen in found.splices:
            assert meetings(group.runs, chosen) == 0
            assert all(len(run.alternatives[a]) == 2 for run, a in zip(group.runs, chosen, strict=True))


def test_joints_stay_above_one_another_where_parting_them_costs_more_stock() -> None:
    """One strip takes 80 + 40 twice; 60 + 60 twice would do as well, but 80 + 45 beside 80 + 40 is too long for it."""
    strip = replace(PLY, length=F(241, 2), width=F(6))
    group = Group((strip,), (), (), _wall(2, ((F(80), F(40)), (F(45), F(80)))))
    found = _cut(group)
    assert (found.cost, found.proven) == (60, True)
    assert set(found.splices) == {(0, 0)}
    assert (meetings(group.runs, (0, 0)), meetings(group.runs, (0, 1))) == (1, 0)


def test_joints_of_neighbouring_rows_are_apart_where_the_pieces_allow() -> None:
    group = Group((PLY,), (), (), _wall(4, ((F(88), F(38)), (F(38), F(88)))))
    found = _cut(group)
    for chosen in found.splices:
        assert all(upper != lower for upper, lower in pairwise(chosen))


def test_runs_share_a_sheet_with_panels_fillers_and_cleats_of_the_same_length() -> None:
    both = _wall(2, ((F(88), F(38)), (F(40), F(86))))
    panels = (Panel("p", F(40), F(20), 1, "any", False, frozenset({0})),)
    filler = Panel("f", F(9), F(4), 3, "any", True, frozenset({0}))
    cleats = (Cleat("c", "wall", F(3), F(38), 2, frozenset({0})),)
    for rules in (RULES, replace(RULES, max_stages=4)):
        group = Group((PLY,), (*panels, filler), cleats, both)
        found = _cut(group, rules)
        assert (found.cost, found.proven) == (60, True)
        _covers_exactly(group, found)
        made = Counter(n.part for layout in found.candidates[0] for n in layout.tree.walk() if n.role == "part")
        assert made["f"] == 3


def test_short_pieces_are_found_that_a_cheap_short_stock_can_give() -> None:
    """Four rows of 134 in as 40 + 32 + 32 + 30 are sixteen bars of a half sheet, which takes seventeen."""
    half = replace(PLY, name="half", length=F(48), price=F(35))
    both = frozenset({0, 1})
    runs = tuple(replace(run, stocks=both) for run in _wall(4, _on_studs(134, 8, 96, 3)))
    found = _cut(Group((PLY, half), (), (), runs), seconds=60)
    assert (found.cost, found.proven) == (35, True)
    _covers_exactly(Group((PLY, half), (), (), runs), found)


def test_stages_are_limited_for_runs_too() -> None:
    group = Group((PLY,), (), (), _wall(12, _on_studs(126, 8, 96, 2)))
    found = _cut(group, replace(RULES, max_stages=3), 2)
    assert found.cost in (60, 120)
    assert found.bound <= found.cost
    _covers_exactly(group, found)


def test_a_run_that_no_splice_fits_is_told_by_its_name() -> None:
    short = _wall(2, ((F(97), F(29)), (F(100), F(26))))
    assert [(piece.name, piece.length) for piece in homeless(Group((PLY,), (), (), short), RULES)] == [
        ("row 1", 97),
        ("row 2", 97),
    ]
    one = _wall(1, ((F(97), F(29)), (F(63), F(63))))
    group = Group((PLY,), (), (), one)
    assert homeless(group, RULES) == []
    assert put_on_grid(group, RULES).problem.runs == (Run((((1, 2),),)),)
    _covers_exactly(group, _cut(group))


def test_stock_that_runs_out_is_told_of_runs() -> None:
    scarce = replace(PLY, width=F(6), available=1)
    found = _cut(Group((scarce,), (), (), _wall(2, ((F(88), F(38)), (F(54), F(72))))))
    assert found.candidates == ()
    assert found.missing
    assert all("a piece of row 1" in reason for reason in found.missing)


# -- the parts by themselves

JOB = Problem(
    (Bin(20, 12, 5),),
    (Item(3, 3, 1, ((True, True),)),),
    1,
    (Bar(0, 6, 1), Bar(0, 9, 0), Bar(0, 12, 0)),
    (ROW,),
    runs=(Run((((0, 3),), ((0, 1), (2, 1)), ((1, 2),)), 2), Run((((1, 1),), ((0, 1),)))),
)


def test_choices_ask_for_the_pieces_of_what_they_take() -> None:
    assert fewest(JOB) == ((0, 2, 0), (1, 0))
    assert asked_by(JOB, fewest(JOB)) == Counter({0: 2, 2: 2, 1: 1})
    assert [bar.demand for bar in resolved(JOB, fewest(JOB)).bars] == [3, 1, 2]
    assert [bar.demand for bar in roomy(JOB).bars] == [8, 5, 2]
    assert pieces_wanted(JOB) == 7
    assert resolved(JOB, fewest(JOB)).runs == ()
    bare = replace(JOB, runs=())
    assert resolved(bare, ()) is roomy(bare) is settled(bare, ()) is tried(bare, 5, 1, None, None) is bare
    assert joined(bare, ()) == 0


def test_every_choice_is_listed_once_for_what_it_asks() -> None:
    choices = every(JOB, 60)
    assert choices is not None
    asked = [tuple(sorted(asked_by(JOB, choice).items())) for choice in choices]
    assert len(set(asked)) == len(asked) == 12
    assert every(JOB, 11) is None
    assert every(JOB, 2) is None
    assert every(replace(JOB, runs=()), 1) == [()]


@settings(max_examples=40)
@given(st.integers(0, 60), st.integers(0, 5), st.booleans())
def test_whatever_is_tried_is_some_choice(number: int, seed: int, shared: bool) -> None:
    shares = ((0.0, 1.4, 0.6), (0.5, 0.5)) if shared else None
    demands = tuple(bar.demand for bar in tried(JOB, number, seed, shares, None).bars)
    choices = every(JOB, 60)
    assert choices is not None
    assert demands in {tuple(bar.demand for bar in resolved(JOB, choice).bars) for choice in choices}
    again = tried(JOB, number, seed, shares, None)
    assert tuple(bar.demand for bar in again.bars) == demands


def test_shares_without_fractions_are_taken_as_they_are() -> None:
    assert drawn(JOB, 3, ((0.0, 0.0, 2.0), (1.0, 0.0))) == ((0, 0, 2), (1, 0))
    assert sum(drawn(JOB, 3, ((0.0, 0.0, 0.0), (1.0, 1.0)))[1]) == 1


def test_of_many_alternatives_some_are_weighed() -> None:
    bars = tuple(Bar(0, 5 + n, 0) for n in range(100))
    many = replace(JOB, bars=bars, runs=(Run(tuple(((n, 1),) for n in range(100)), 4),))
    assert sum(drawn(many, 1)[0]) == 4


def test_the_integer_master_chooses_splices_and_then_fewer_joints() -> None:
    job = Problem((Bin(20, 6, 5),), (), 1, (Bar(0, 10, 0), Bar(0, 20, 0), Bar(0, 5, 0)), (ROW,))
    job = replace(job, runs=(Run((((1, 1),), ((0, 2),), ((2, 4),)), 2),))
    pool = Pool()
    pool.add(0, Strip(1, (2, 2, 2, 2), (0, 0)))
    only = choose(job, list(pool), Stop.after(20))
    assert only is not None
    assert joined(job, only) == 6
    pool.add(0, Strip(1, (1,), (1,)))
    fewer = choose(job, list(pool), Stop.after(20), only, joints=True)
    assert fewer is not None
    assert contents(fewer[0].pattern)[1] == {1: 2}
    assert choose(job, list(pool), Stop.after(20), fewer, joints=True) is fewer
    assert choose(job, list(pool), Stop.after(20), fewer) is fewer


def test_the_cheaper_of_two_plans_goes_before_that_of_fewer_joints() -> None:
    # one bin 20 long takes four of 10 in two bars; each of 20 alone takes a bar of its own
    job = Problem((Bin(21, 6, 5),), (Item(21, 1, 1, ((True, False),)),), 1, (Bar(0, 15, 0), Bar(0, 10, 0)), (ROW,))
    job = replace(job, bins=(Bin(20, 6, 5),), items=(), runs=(Run((((0, 1),), ((1, 2),)), 2),))
    found = solve(job, Stop.after(20))
    assert (found.cost, found.proven) == (5, True)
    assert found.plan is not None
    assert joined(job, found.plan) == 2


def test_pieces_that_fit_no_run_are_not_hung() -> None:
    (run,) = _wall(1, ((F(88), F(38)), (F(40), F(86))))
    assert staggered([run], {(F(3), F(88)): 1, (F(3), F(38)): 1}) == (0,)
    assert staggered([run], {(F(3), F(88)): 1}) is None
    assert staggered([run, run], {(F(3), F(88)): 2, (F(3), F(38)): 1, (F(3), F(40)): 1, (F(3), F(86)): 1}) is None


def test_a_run_without_an_able_splice_is_spread_nowhere() -> None:
    (run,) = _wall(1, ((F(97), F(29)), (F(63), F(63))))
    assert spread([run], {(F(3), F(63))}) == (1,)
    assert spread([run], {(F(3), F(29))}) is None


def test_runs_are_weighed_by_their_lengths_in_strips_that_fit_across() -> None:
    """Three bars 20 long fit across a bin of 10, by area more; 61 is too long for them, spliced as 15s or as 11s."""
    rows = (BlankWidth(0, None, 3), BlankWidth(0, 0, 6))
    ways = (((0, 3), (3, 1)), ((1, 5), (2, 1)))
    job = Problem((Bin(20, 10, 5),), (), 0, (Bar(0, 15, 0), Bar(0, 11, 0), Bar(0, 6, 0), Bar(0, 16, 0)), (rows,))
    job = replace(job, runs=(Run(ways),))
    assert quick_bound(relaxed(job)).cost == 10
    both = replace(job, bins=(Bin(20, 10, 5), Bin(20, 10, 6)), blanks=(rows, rows))
    assert quick_bound(relaxed(both)).cost == 10


def test_a_run_of_which_no_splice_fits_the_stock_has_no_plan() -> None:
    job = Problem((Bin(20, 12, 5),), (), 1, (Bar(0, 30, 0), Bar(0, 9, 0)), (ROW,), runs=(Run((((0, 1),),)),))
    assert quick_bound(relaxed(job)).cost == NO_PLAN
    either = replace(job, runs=(Run((((0, 1),), ((1, 1),))),))
    assert quick_bound(relaxed(either)).cost == 5


def test_a_plan_settles_what_its_bars_are() -> None:
    plan = (Sheet(0, Split("rip", 6, Strip(1, (0, 2), (0,)), None)),)
    assert [bar.demand for bar in settled(JOB, plan).bars] == [2, 0, 1]
    assert joined(JOB, plan) == 3


def test_equal_walls_give_equal_plans() -> None:
    group = Group((PLY,), (), (), _wall(13, _on_studs(113, 2, 96, 1)))
    one, other = _cut(group, seed=4), _cut(group, seed=4)
    assert one.proven
    assert one == other
