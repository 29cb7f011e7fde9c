from __future__ import annotations

import itertools
import threading
import time
from collections import Counter
from contextlib import suppress
from functools import cache
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.errors import CannotBeDone
from nesting.solve import pattern_bound
from nesting.solve.bounds import quick_bound
from nesting.solve.boxes import Boxes, Full, OutOfTime
from nesting.solve.columns import cost_of
from nesting.solve.construct import first_plans
from nesting.solve.cover import cheapest
from nesting.solve.enlarge import fitted, lying
from nesting.solve.exact_pricing import Pricer, pricer, search
from nesting.solve.pattern import Pattern, Plan, Put, Split, contents
from nesting.solve.pattern_bound import next_lower
from nesting.solve.problem import Bin, Bound, Item, Problem, Ways
from nesting.solve.proofs import Prover, prove, solve_exactly
from nesting.solve.scales import fitted_scales
from nesting.solve.stop import Stop
from tests.leisure import LEISURE

FREE: Ways = (True, True)
FIXED: Ways = (True, False)
NO: Ways = (False, False)


def holds(problem: Problem, b: int, pattern: Pattern, length: int, width: int) -> None:
    """Check that a pattern cuts its parts from a space exactly."""
    if pattern is None:
        return
    if isinstance(pattern, Put):
        item = problem.items[pattern.item]
        assert item.ways[b][int(pattern.turned)]
        assert (length, width) == ((item.width, item.length) if pattern.turned else (item.length, item.width))
        return
    assert isinstance(pattern, Split)
    assert 0 < pattern.at < (width if pattern.cut == "rip" else length)
    if pattern.cut == "rip":
        holds(problem, b, pattern.low, length, pattern.at)
        holds(problem, b, pattern.high, length, width - pattern.at)
    else:
        holds(problem, b, pattern.low, pattern.at, width)
        holds(problem, b, pattern.high, length - pattern.at, width)


def stages(pattern: Pattern, above: str | None = None) -> int:
    if not isinstance(pattern, Split):
        return 0
    return (pattern.cut != above) + max(stages(pattern.low, pattern.cut), stages(pattern.high, pattern.cut))


def is_plan(problem: Problem, plan: Plan) -> None:
    made: Counter[int] = Counter()
    for sheet in plan:
        holds(problem, sheet.bin, sheet.pattern, problem.bins[sheet.bin].length, problem.bins[sheet.bin].width)
        made += contents(sheet.pattern)[0]
    assert all(made[i] == item.demand for i, item in enumerate(problem.items))
    used = Counter(sheet.bin for sheet in plan)
    assert all(stock.limit is None or used[b] <= stock.limit for b, stock in enumerate(problem.bins))


# -- a brute force of its own: spaces are cut at every point, no boxes, no bounds


@cache
def cuts_out(parts: tuple[tuple[int, int, bool, bool], ...], length: int, width: int, depth: int, cut: str) -> bool:
    """Whether parts (length, width, as it is, turned) come out of a space in ``depth`` more stages after ``cut``."""
    if not parts:
        return True
    if len(parts) == 1:
        a, b, as_is, turned = parts[0]
        if (as_is and (a, b) == (length, width)) or (turned and (b, a) == (length, width)):
            return True
    if depth < 0:
        return False
    for now in ("rip", "crosscut"):
        left = depth if now == cut else depth - 1
        if left < 0:
            continue
        side = width if now == "rip" else length
        for at in range(1, side):
            near = (length, at) if now == "rip" else (at, width)
            far = (length, width - at) if now == "rip" else (length - at, width)
            for mask in range(1, 1 << len(parts)):
                one = tuple(p for i, p in enumerate(parts) if mask >> i & 1)
                two = tuple(p for i, p in enumerate(parts) if not mask >> i & 1)
                if cuts_out(one, *near, left, now) and cuts_out(two, *far, left, now):
                    return True
    return False


def possible(problem: Problem, b: int, parts: tuple[int, ...]) -> bool:
    sides = tuple(sorted((problem.items[i].length, problem.items[i].width, *problem.items[i].ways[b]) for i in parts))
    stock = problem.bins[b]
    deep = 9 if problem.max_stages is None else problem.max_stages
    if problem.first_cut == "any":
        return cuts_out(sides, stock.length, stock.width, deep, "")
    if cuts_out(sides, stock.length, stock.width, -1, ""):
        return True
    # the first cut costs a stage and has its direction: bar the other direction at the root
    side = stock.width if problem.first_cut == "rip" else stock.length
    for at in range(1, side):
        rip = problem.first_cut == "rip"
        near = (stock.length, at) if rip else (at, stock.width)
        far = (stock.length, stock.width - at) if rip else (stock.length - at, stock.width)
        for mask in range(1 << len(sides)):
            one = tuple(p for i, p in enumerate(sides) if mask >> i & 1)
            two = tuple(p for i, p in enumerate(sides) if not mask >> i & 1)
            if cuts_out(one, *near, deep - 1, problem.first_cut) and cuts_out(two, *far, deep - 1, problem.first_cut):
                return True
    return False


def least_cost(problem: Problem) -> int | None:
    parts = tuple(i for i, item in enumerate(problem.items) for _ in range(item.demand))

    @cache
    def fits(b: int, chosen: tuple[int, ...]) -> bool:
        return possible(problem, b, chosen)

    @cache
    def cost(rest: tuple[int, ...], used: tuple[int, ...]) -> int:
        if not rest:
            return 0
        best = 10**9
        for b, stock in enumerate(problem.bins):
            if stock.limit is not None and used[b] >= stock.limit:
                continue
            for count in range(len(rest)):
                for others in set(itertools.combinations(rest[1:], count)):
                    chosen = (rest[0], *others)
                    if fits(b, chosen):
                        left = list(rest)
                        for part in chosen:
                            left.remove(part)
                        more = tuple(n + (i == b) for i, n in enumerate(used))
                        best = min(best, stock.cost + cost(tuple(left), more))
        return best

    found = cost(parts, (0,) * len(problem.bins))
    return None if found >= 10**9 else found


@st.composite
def tiny(draw: st.DrawFn, staged: bool = False) -> Problem:
    stocks = draw(
        st.sampled_from([((7, 5, 3, None),), ((7, 5, 5, None), (4, 5, 3, None)), ((6, 4, 4, None), (5, 4, 0, 1))])
    )
    bins = tuple(Bin(*stock) for stock in stocks)
    items = []
    for _ in range(draw(st.integers(1, 3))):
        ways = tuple(draw(st.sampled_from([FREE, FIXED])) for _ in bins)
        items.append(Item(draw(st.integers(1, 6)), draw(st.integers(1, 4)), draw(st.integers(1, 2)), ways))
    if not staged:
        return Problem(bins, tuple(items))
    first = draw(st.sampled_from(["rip", "crosscut", "any"]))
    return Problem(bins, tuple(items), 0, (), (), first, draw(st.sampled_from([None, 1, 2, 3])))


def solved(problem: Problem) -> Plan | None:
    try:
        plan = solve_exactly(problem, Stop.after(20))
        assert plan is not None
    except CannotBeDone:
        return None
    return plan


@settings(max_examples=20, deadline=None)
@given(tiny())
def test_tiny_jobs_are_solved_as_by_brute_force(problem: Problem) -> None:
    plan, least = solved(problem), least_cost(problem)
    assert (plan is None) == (least is None)
    if plan is not None:
        is_plan(problem, plan)
        assert cost_of(problem, plan) == least
        assert quick_bound(problem).cost <= cost_of(problem, plan)


@settings(max_examples=40, deadline=None)
@given(tiny(staged=True))
def test_limits_on_stages_and_first_cut_are_kept(problem: Problem) -> None:
    plan, least = solved(problem), least_cost(problem)
    assert (plan is None) == (least is None)
    if plan is not None:
        is_plan(problem, plan)
        assert cost_of(problem, plan) == least
        for sheet in plan:
            assert problem.max_stages is None or stages(sheet.pattern) <= problem.max_stages
            if isinstance(sheet.pattern, Split) and problem.first_cut != "any":
                assert sheet.pattern.cut == problem.first_cut


@settings(max_examples=20, deadline=None)
@given(st.data())
def test_proofs_agree_with_exact_solutions(data: st.DataObject) -> None:
    bins = (Bin(24, 16, 9), Bin(15, 13, 5), Bin(11, 15, 0, 1))[: data.draw(st.integers(1, 3))]
    items = tuple(
        Item(
            data.draw(st.integers(3, 15)),
            data.draw(st.integers(3, 13)),
            data.draw(st.integers(1, 3)),
            tuple(data.draw(st.sampled_from([FREE, FIXED])) for _ in bins),
        )
        for _ in range(data.draw(st.integers(1, 4)))
    )
    problem = fitted(Problem(bins, items))
    while sum(item.demand for item in problem.items) > 9:
        problem = Problem(bins, problem.items[:-1])
    optimal = solve_exactly(problem, Stop.after(30))
    assert optimal is not None
    least = cost_of(problem, optimal)
    start = max(first_plans(problem, 3, 1, Stop.after(5)), key=len, default=optimal)
    proof = prove(problem, start, Bound(0, "none"), Stop.after(20), pool=optimal[:1])
    assert proof.exact
    assert proof.bound.cost == least
    if proof.better is not None:
        is_plan(problem, proof.better)
        assert cost_of(problem, proof.better) == least
    dearer = prove(problem, (), Bound(0, "none"), Stop.after(20), upper=least + 7)
    assert dearer.bound.cost == least
    needs, shares = fitted_scales(problem, Stop.after(5))
    assert (cheapest(problem.bins, needs) or 0) <= least
    for sheet in optimal:
        for row in shares[sheet.bin]:
            inside = contents(sheet.pattern)[0]
            assert sum(copies * row[item] for item, copies in inside.items()) <= 1 + 1e-9


def _sets(
    priced: Pricer, profits: list[int], threshold: int, stop: Stop, climb: bool
) -> list[tuple[int, tuple[int, ...]]] | None:
    """Return what a search finds, ``None`` where it cannot decide."""
    try:
        return search(priced, profits, threshold, stop, climb=climb)
    except Full:
        return None


@settings(max_examples=20, deadline=None)
@given(st.data())
def test_compiled_and_plain_search_find_the_same(data: st.DataObject) -> None:
    rows = data.draw(
        st.lists(st.tuples(st.integers(2, 12), st.integers(2, 12), st.integers(1, 3)), min_size=1, max_size=6)
    )
    turns = data.draw(st.booleans())
    problem = Problem((Bin(16, 14, 1),), tuple(Item(a, b, n, ((True, turns),)) for a, b, n in rows if a <= 16))
    profits = [item.length * item.width + data.draw(st.integers(0, 9)) for item in problem.items]
    stop = Stop.after(60)
    plain, fast = (pricer(problem, 0, compiled=compiled) for compiled in (False, True))
    for threshold, climb in ((1, True), (100, False)):
        both = [_sets(priced, profits, threshold, stop, climb) for priced in (plain, fast)]
        if both[0] is None or both[1] is None:  # too many parts in a set to decide, for both of them
            assert both[0] is both[1]
            continue
        if climb:  # the compiled search may keep only the last of those that beat all before them
            assert both[1] or not both[0]
            both[0] = both[0][len(both[0]) - len(both[1]) :]
        assert both[0] == both[1]
        for _, parts in both[0][-3:]:
            for priced in (plain, fast):
                pattern = priced.pattern(parts)
                holds(problem, 0, pattern, 16, 14)
                assert contents(pattern)[0] == Counter(parts)


def test_a_pinwheel_cannot_be_cut_edge_to_edge() -> None:
    # four 3 x 2 round a 1 x 1 fill 5 x 5, but no cut goes through: free-form bounds say 1, guillotine needs 2
    problem = Problem((Bin(5, 5, 1),), (Item(3, 2, 4, (FREE,)), Item(1, 1, 1, (FREE,))))
    assert quick_bound(problem).cost == 1
    assert Boxes(lying(problem, 0), [4, 1]).hold([0, 0, 0, 0, 1]) is None
    two = solve_exactly(problem, Stop.after(5))
    assert two is not None
    proof = prove(problem, two, quick_bound(problem), Stop.after(5))
    assert (proof.bound.cost, proof.exact) == (2, True)
    assert proof.bound.sentence == "no set of patterns covers the job with 1 sheet"


def test_the_search_beside_waits_while_no_known_patterns_are_cheaper(monkeypatch: pytest.MonkeyPatch) -> None:
    problem = Problem((Bin(10, 10, 1),), (Item(6, 6, 2, (FREE,)), Item(3, 3, 1, (FREE,))))
    aside, seen = threading.Event(), list[tuple[bool, bool]]()

    def watched(*args: Any, both: bool) -> list[tuple[int, tuple[int, ...]]]:
        seen.append((both, aside.is_set()))
        return search(*args, both=False)

    monkeypatch.setattr(pattern_bound, "search", watched)
    pricers = [pricer(problem, 0, compiled=False)]
    for upper, waits in ((2, True), (3, False)):  # of two sheets all patterns are known from the start
        starts = [(0, ((0, 1), (1, 1)))]
        outcome = pattern_bound.bound_by_patterns(
            pattern_bound.Master(problem, starts), pricers, upper, Stop.after(9), aside
        )
        assert outcome.complete
        assert set(seen) == {(waits, waits)}
        assert not aside.is_set()
        seen.clear()


def test_a_better_plan_is_found_from_a_poor_one() -> None:
    problem = Problem((Bin(10, 10, 4),), (Item(5, 5, 8, (FIXED,)),))
    alone = solve_exactly(Problem(problem.bins, (Item(5, 5, 1, (FIXED,)),)), Stop.after(5))
    assert alone is not None
    poor = alone * 8
    proof = prove(problem, poor, Bound(0, "none"), Stop.after(5))
    assert proof.exact
    assert proof.better is not None
    is_plan(problem, proof.better)
    assert cost_of(problem, proof.better) == proof.bound.cost == 8


def test_next_lower_cost_keeps_limits() -> None:
    bins = (Bin(1, 1, 60), Bin(1, 1, 35, 1))
    assert [next_lower(bins, cost) for cost in (155, 120, 95, 60, 35, 0)] == [120, 95, 60, 35, 0, -1]


def test_too_little_stock_is_said() -> None:
    with pytest.raises(CannotBeDone):
        solve_exactly(Problem((Bin(10, 10, 1, 1),), (Item(6, 6, 2, (FREE,)),)), Stop.after(5))


def test_published_instance_area_and_functions_leave_open() -> None:
    # Berkey & Wang 1987, class 1, third of 20 parts: dual feasible functions give 8 bins, no guillotine plan has fewer
    # than 9 (best published free-form value of the ten instances together: 71)
    sides = [(7, 5), (10, 6), (5, 6), (7, 2), (4, 8), (9, 10), (8, 5), (8, 6), (4, 9), (9, 3)]
    sides += [(3, 10), (9, 5), (1, 7), (8, 9), (4, 6), (3, 6), (4, 3), (10, 2), (6, 1), (1, 4)]
    problem = Problem((Bin(10, 10, 1),), tuple(Item(a, b, 1, (FIXED,)) for a, b in sides))
    assert quick_bound(problem).cost == 8
    assert prove(problem, (), quick_bound(problem), Stop.after(20), upper=9).bound.cost == 9


@pytest.mark.parametrize("compiled", [False, True])
def test_search_stops_soon(compiled: bool) -> None:
    items = tuple(Item(30 + i, 28 + (7 * i) % 11, 2, (FREE,)) for i in range(25))
    problem = Problem((Bin(100, 100, 1),), items)  # some 13 s where nothing stops it, compiled; far more if not
    priced = pricer(problem, 0, compiled=compiled)
    profits = [item.length * item.width for item in items]
    with suppress(OutOfTime):
        search(priced, profits, 1, Stop.after(0.05), climb=False, most=10**6)  # compiled, where it was not yet
    begun = time.perf_counter()
    with pytest.raises(OutOfTime):
        search(priced, profits, 1, Stop.after(0.1), climb=False, most=10**6)
    assert time.perf_counter() - begun < LEISURE


def test_what_could_not_be_shown_is_not_claimed() -> None:
    items = tuple(Item(20 + i, 13 + (7 * i) % 11, 2, (FREE,)) for i in range(25))
    problem = Problem((Bin(100, 100, 1),), items)
    bound = quick_bound(problem)
    prover = Prover(problem)
    proof = prover.prove(bound.cost + 1, bound, Stop.after(0.05))
    assert not proof.exact
    assert proof.bound.cost == bound.cost
