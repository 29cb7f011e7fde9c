"""Choosing among layouts of equal cost: the ones that need the fewest settings.

Every thickness may have several sets of layouts that cost the same, and settings are shared across thicknesses. All
combinations are ranked by how many different settings they need, the best of them solved exactly (method of a trial:
keep what ties, rank, solve the best few).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from nesting.errors import CannotBeDone
from nesting.layout import Layout
from nesting.sequence.count import station_changes
from nesting.sequence.divisions import StockFacts
from nesting.sequence.plan import EFFORT, Divided, Work, clock
from nesting.solve.stop import Stop
from nesting.trade.saw import Saw

SOLVED = 6
"""Combinations solved at most."""
KEPT = 300
"""Combinations kept while thicknesses are added one by one; more than there are of three with six sets each."""
TAKING_APART = 8e-5
"""Effort charged for each operation of a combination besides the solver's work."""
FIRST_SHARE = 0.5
"""Share of the whole effort that the first combination may use, so that it is worked well whatever the others take."""

Candidate = Sequence[Layout]
_Setting = tuple[str, Fraction, Fraction]


@dataclass(frozen=True, slots=True)
class _Needs:
    """What one set of layouts needs by itself: settings that cannot be avoided, and positions of the guided saw."""

    settings: frozenset[_Setting]
    guides: int


@dataclass(frozen=True, slots=True)
class _Pick:
    """One candidate of each thickness so far, by place, with what they need together."""

    places: tuple[int, ...]
    settings: frozenset[_Setting]
    guides: int

    @property
    def rank(self) -> tuple[int, tuple[int, ...]]:
        return len(self.settings) + self.guides, self.places


def plan_choice(
    choices: Sequence[Sequence[Candidate]],
    saw: Saw,
    *,
    stocks: Mapping[str, StockFacts] | None = None,
    rearrange: bool = True,
    group: int | None = None,
    seconds: float = 1.0,
    seed: int = 0,
    stop: Stop | None = None,
) -> Work:
    """Plan the work for one candidate of each thickness, chosen so that few settings are needed in all.

    ``choices`` holds for each thickness its candidates, the preferred ones first; the rest is as for
    :func:`nesting.sequence.plan.plan_work`. Of combinations that need as many settings the one with the fewest changes
    of station is taken, then the first. Raises :class:`nesting.errors.CannotBeDone` where every candidate of some
    thickness has a cut that no station can make, with all such cuts of its first one.
    """
    clock_stop, effort = clock(seconds, stop), EFFORT * seconds
    stocks = stocks or {}

    def taken_apart(layouts: Candidate, together: int | None) -> Divided:
        nonlocal effort
        cut_up = Divided(layouts, saw, stocks, rearrange=rearrange, group=together)
        effort -= TAKING_APART * cut_up.size
        return cut_up

    best: Work | None = None
    for picked in _ranked(_usable(choices, lambda layouts: taken_apart(layouts, None)))[:SOLVED]:
        if best is not None and (clock_stop.reached() or effort <= 0):
            break
        chosen = [layout for candidates, n in zip(choices, picked.places, strict=True) for layout in candidates[n]]
        cut_up = taken_apart(chosen, group)
        if best is not None and cut_up.at_least() > best.sequence.setups.total:
            continue
        share = FIRST_SHARE * EFFORT * seconds if best is None else max(0.0, effort)
        work, spent = cut_up.worked(share, seed, clock_stop)
        effort -= spent
        if best is None or _effort(work) < _effort(best):
            best = work
    assert best is not None  # noqa: S101 - the first combination is always worked
    return replace(best, among=math.prod(len(candidates) for candidates in choices))


def _effort(work: Work) -> tuple[int, int]:
    return work.sequence.setups.total, station_changes(work.sequence.steps)


def _usable(
    choices: Sequence[Sequence[Candidate]], taken_apart: Callable[[Candidate], Divided]
) -> list[dict[int, _Needs]]:
    """Return for each thickness what those of its candidates need that can be cut at all, by place."""
    found: list[dict[int, _Needs]] = []
    reasons: list[str] = []
    for candidates in choices:
        usable: dict[int, _Needs] = {}
        refused: list[list[str]] = []
        for place, layouts in enumerate(candidates):
            try:
                usable[place] = _needs(taken_apart(layouts))
            except CannotBeDone as error:
                refused.append(list(error.reasons))
        found.append(usable)
        if not usable:
            reasons += refused[0]
    if reasons:
        raise CannotBeDone(reasons)
    return found


def _needs(cut_up: Divided) -> _Needs:
    settings: set[_Setting] = set()
    guides = 0
    for job in cut_up.jobs:
        for op in job.ops:
            if not op.can_fall_free:
                guides += op.cost
                if len(op.ways) == 1:
                    settings |= {(way.station, way.setting, job.phases[op.group.phase]) for way in op.ways.values()}
    return _Needs(frozenset(settings), guides)


def _ranked(usable: Sequence[Mapping[int, _Needs]]) -> list[_Pick]:
    """Return combinations of one candidate of each thickness, those with the fewest different settings first."""
    picks = [_Pick((), frozenset(), 0)]
    for candidates in usable:
        picks = [
            _Pick((*pick.places, place), pick.settings | needs.settings, pick.guides + needs.guides)
            for pick in picks
            for place, needs in candidates.items()
        ]
        picks = sorted(picks, key=lambda pick: pick.rank)[:KEPT]
    return picks
