"""Which way is taken: nothing to buy before little change, little change before the rest."""

from fractions import Fraction
from types import SimpleNamespace

import pytest

from nesting.make import plan_project
from nesting.progress.marks import spoil, tick
from nesting.progress.record import begin
from nesting.progress.standing import standing
from nesting.project.read import project_from_mapping
from nesting.project.starter import starter_text
from nesting.project.text import parsed
from nesting.replan import choose
from nesting.replan.attempt import Attempt, Shop
from nesting.replan.bench import bench
from nesting.replan.wanted import catalogue
from nesting.solve.grid import Rules
from nesting.solve.problem import Bound
from nesting.solve.stop import Stop

BOUND = Bound(0, "nothing")


@pytest.fixture(scope="module")
def shop():
    """The starter job, stopped after the first twenty steps, with its first finished part spoiled."""
    project = project_from_mapping(parsed(starter_text(), "toml"))
    plan = plan_project(project, seconds=1.0, easier=False).plan
    progress = tick(plan, begin(plan), range(1, 41))
    part = next(piece for piece in standing(plan, progress).pieces if piece.part == "tool board" or piece.part)
    start = bench(project, plan, spoil(plan, progress, part.id))
    saw = project.saw
    rules = Rules(saw.kerf, project.project.fence_step, project.cleats.bevel)
    return Shop(start, project, catalogue(start), rules, 0)


def tried(monkeypatch, outcome):
    """Have attempts come out as told; return what was tried, in order."""
    seen = []

    def attempt(shop, freed, stop, *, owned=True, store, whole=False, patience=0.0):
        freed = frozenset(freed)
        seen.append(SimpleNamespace(freed=freed, owned=owned, store=store, whole=whole))
        money = outcome(seen[-1])
        reasons = ("no room",) if money is None else ()
        return Attempt(freed, Fraction(money or 0), Fraction(0), BOUND, reasons=reasons, store=store)

    monkeypatch.setattr(choose, "attempt", attempt)
    return seen


def first(shop):
    """Return the first way that comes to something."""
    return next(way for way in choose.ways(shop, Stop.after(5)) if not way.reasons)


def test_rests_are_tried_first_and_are_enough(shop, monkeypatch):
    seen = tried(monkeypatch, lambda one: 0)
    way = next(choose.ways(shop, Stop.after(5)))
    assert (way.freed, len(seen), seen[0].store) == (frozenset(), 1, False)


def test_then_one_piece_the_one_of_fewest_steps(shop, monkeypatch):
    seen = tried(monkeypatch, lambda one: 0 if one.freed else None)
    way = first(shop)
    assert len(way.freed) == 1
    sizes = [choose.changed(shop, Attempt(one.freed, Fraction(0), Fraction(0), BOUND)) for one in seen[1:]]
    assert sizes == sorted(sizes)
    assert not any(one.store for one in seen)


def test_then_everything_and_only_then_the_store(shop, monkeypatch):
    everything = frozenset(shop.bench.topmost())
    seen = tried(monkeypatch, lambda one: 0 if one.freed == everything else None)
    assert first(shop).freed == everything
    assert [one.freed for one in seen if one.store] == [everything]


def test_where_it_has_to_be_bought_the_least_money_then_the_least_change(shop, monkeypatch):
    everything = frozenset(shop.bench.topmost())
    prices = {everything: 50, frozenset(): 50}
    tried(monkeypatch, lambda one: prices.get(one.freed) if one.store else None)
    best = first(shop)
    assert (best.freed, best.money) == (frozenset(), 50)
    prices[frozenset()] = 60
    best = first(shop)
    assert (best.freed, best.money) == (everything, 50)


def test_the_lost_parts_alone_are_never_cheaper(shop, monkeypatch):
    def outcome(one):
        if not one.store:
            return None
        return 30 if not one.owned else 80

    tried(monkeypatch, outcome)
    assert first(shop).money == 30


def test_where_nothing_helps_every_reason_is_there(shop, monkeypatch):
    seen = tried(monkeypatch, lambda one: None)
    found = list(choose.ways(shop, Stop.after(5)))
    assert all(way.reasons for way in found)
    assert len(found) == len(seen)


def test_a_way_that_no_saw_can_go_is_followed_by_the_next(shop, monkeypatch):
    """Every way that costs nothing is offered before what has to be bought, so that one can be refused."""
    tried(monkeypatch, lambda one: 40 if one.store else 0)
    found = list(choose.ways(shop, Stop.after(5)))
    assert [way.money for way in found] == sorted(way.money for way in found)
    assert found[-1].money == 40


def test_a_bound_for_all_pieces_holds_for_every_way(shop, monkeypatch):
    def attempt(shop, freed, stop, *, owned=True, store, whole=False, patience=0.0):
        reasons = () if store else ("no room",)
        bound = Fraction(40) if whole else Fraction(0)
        return Attempt(frozenset(freed), Fraction(40), bound, BOUND, reasons=reasons, store=store)

    monkeypatch.setattr(choose, "attempt", attempt)
    best = first(shop)
    assert (best.freed, best.bound) == (frozenset(), 40)
