"""A cleat on its studs: balance of its reactions, known cases, and that no placement exceeds the worst."""

from __future__ import annotations

import random
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.strength.rails import Rail, Spread

STUDS = st.lists(st.floats(6, 30), min_size=1, max_size=5)


@st.composite
def rails(draw: st.DrawFn) -> Rail:
    places = [draw(st.floats(0, 6))]
    for span in draw(STUDS):
        places.append(places[-1] + span)
    return Rail(places[-1] + draw(st.floats(0, 6)), tuple(places))


def reactions(rail: Rail, kind: str, start: float, load: Spread) -> list[float]:
    """What each stud carries of a load that starts at ``start``: Simpson's rule, exact for cubics, piece by piece."""
    ends = sorted({start, start + load.width, *(s for s in rail.studs if start < s < start + load.width)})
    share = getattr(rail, kind)
    return [
        sum(
            load.density * (b - a) / 6 * (share(n, a + 1e-12) + 4 * share(n, (a + b) / 2) + share(n, b - 1e-12))
            for a, b in pairwise(ends)
        )
        for n in range(len(rail.studs))
    ]


@given(rails(), st.sampled_from(["span_by_span", "continuous"]), st.floats(0, 1))
def test_reactions_are_in_balance(rail: Rail, kind: str, at: float) -> None:
    place = at * rail.length
    shares = [getattr(rail, kind)(stud, place) for stud in range(len(rail.studs))]
    scale = 1e-9 * max(1.0, *(abs(share) for share in shares)) * rail.length
    assert abs(sum(shares) - 1) <= scale
    assert abs(sum(share * stud for share, stud in zip(shares, rail.studs, strict=True)) - place) <= scale


def test_known_cases() -> None:
    # two equal spans, uniform load all along: 3/8, 10/8, 3/8 of a span's load (beam tables, from memory)
    rail = Rail(32, (0.0, 16.0, 32.0))
    carried = reactions(rail, "continuous", 0.0, Spread(32.0, 32.0))
    assert carried == pytest.approx([6.0, 20.0, 6.0], rel=1e-9)
    # three equal spans: 0.4, 1.1, 1.1, 0.4
    rail = Rail(48, (0.0, 16.0, 32.0, 48.0))
    carried = reactions(rail, "continuous", 0.0, Spread(48.0, 48.0))
    assert carried == pytest.approx([6.4, 17.6, 17.6, 6.4], rel=1e-9)
    # two studs: a lever
    lever = Rail(24, (4.0, 20.0))
    assert lever.continuous(0, 0.0) == pytest.approx(1.25)
    assert lever.most([Spread(1.0, 10.0)]) == pytest.approx(12.5 - 10 / 16 / 2, rel=0.008)


@settings(max_examples=30, deadline=None)
@given(
    rails(), st.lists(st.tuples(st.floats(2, 24), st.floats(0.5, 80)), min_size=1, max_size=4), st.integers(0, 10**6)
)
def test_no_placement_exceeds_the_worst(rail: Rail, sizes: list[tuple[float, float]], seed: int) -> None:
    loads = [Spread(width, total) for width, total in sizes]
    while sum(load.width for load in loads) > rail.length:
        loads.pop()
    if not loads:
        return
    worst = [rail.most_at(stud, loads) for stud in range(len(rail.studs))]
    bent = rail.most_moment(loads)
    chance = random.Random(seed)
    for _ in range(6):
        order = chance.sample(loads, len(loads))
        spare, at, carried = rail.length - sum(load.width for load in loads), 0.0, {}
        placed = []
        for load in order:
            step = chance.choice([0.0, chance.random(), 1.0]) * spare
            spare, at = spare - step, at + step
            placed.append((at, load))
            at += load.width
        for kind in ("span_by_span", "continuous"):
            parts = [reactions(rail, kind, start, load) for start, load in placed]
            carried[kind] = [sum(part[stud] for part in parts) for stud in range(len(rail.studs))]
            for got, most in zip(carried[kind], worst, strict=True):
                assert got <= most * (1 + 1e-9) + 1e-9
        for low, high in pairwise(rail.studs):
            middle = (low + high) / 2
            moment = sum(
                load.density * _triangle(max(low, start), min(high, start + load.width), low, high)
                for start, load in placed
            )
            assert moment <= bent * (1 + 1e-9), middle


def _triangle(a: float, b: float, low: float, high: float) -> float:
    """Integral from a to b of a unit load's moment in the middle of a span."""
    if b <= a:
        return 0.0
    middle = (low + high) / 2

    def below(x: float) -> float:
        return (x - low) ** 2 / 4 if x <= middle else (middle - low) ** 2 / 2 - (high - x) ** 2 / 4

    return below(b) - below(a)


@settings(max_examples=30, deadline=None)
@given(rails(), st.floats(1, 20), st.floats(0, 50), st.floats(0, 50))
def test_more_load_never_helps(rail: Rail, width: float, load: float, more: float) -> None:
    one, two = [Spread(width, load)], [Spread(width, load + more)]
    for fewer, heavier in ((one, two), (one, [*one, Spread(4.0, more)])):
        assert rail.most(fewer) <= rail.most(heavier) * (1 + 1e-9)
        assert rail.most_moment(fewer) <= rail.most_moment(heavier) * (1 + 1e-9)


def test_narrower_is_never_better() -> None:
    rail = Rail(40, (4.0, 20.0, 36.0))
    loads = [rail.most([Spread(width, 20.0)]) for width in (2.0, 8.0, 16.0, 30.0)]
    assert loads == sorted(loads, reverse=True)
