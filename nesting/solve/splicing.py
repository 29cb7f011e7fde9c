"""From plans to spliced runs: which alternative each run gets, what its pieces are called, joints apart."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from nesting.errors import Bug
from nesting.solve.bars import compose, decomposed
from nesting.solve.columns import Pool, cost_of, keeps_limits
from nesting.solve.compiled import Kernels
from nesting.solve.construct import first_plans
from nesting.solve.grid import Gridded
from nesting.solve.pattern import Plan, contents
from nesting.solve.problem import Problem
from nesting.solve.reachable import limited, reachable
from nesting.solve.sequential import value_corrected
from nesting.solve.staggered import meetings, spread, staggered
from nesting.solve.stop import Stop

Choice = tuple[int, ...]
COMPOSITIONS, TRIES, PASSES = 8, 6, 2
SECONDS = 1.0


def spliced(gridded: Gridded, plans: Sequence[Plan]) -> list[Choice]:
    """Return for each plan which alternative each run gets from what the plan cuts."""
    if not gridded.runs:
        return [()] * len(plans)
    known: dict[tuple[tuple[int, int], ...], Choice] = {}
    found = []
    for plan in plans:
        pieces = tuple(sorted(_made(gridded, plan).items()))
        if pieces not in known:
            lengths = {(gridded.cleats[bar].height, gridded.cleats[bar].length): copies for bar, copies in pieces}
            chosen = staggered(gridded.runs, lengths)
            if chosen is None:
                raise Bug("the pieces cut do not add up to the runs")
            known[pieces] = chosen
        found.append(known[pieces])
    return found


def _made(gridded: Gridded, plan: Plan) -> Counter[int]:
    """Count the bars of runs that a plan cuts."""
    first = len(gridded.cleats) - gridded.spliced
    made = sum((contents(sheet.pattern)[1] for sheet in plan), Counter[int]())
    return Counter({bar: copies for bar, copies in made.items() if bar >= first})


def names_of(gridded: Gridded, chosen: Choice) -> dict[int, list[str]]:
    """Return for each cleat of the runs the names of the pieces cut as it, run by run."""
    index = {(cleat.height, cleat.length): at for at, cleat in enumerate(gridded.cleats)}  # runs' come last
    names: dict[int, list[str]] = {}
    for run, alternative in zip(gridded.runs, chosen, strict=True):
        for name, length in zip(run.piece_names, run.alternatives[alternative], strict=False):
            names.setdefault(index[run.height, length], []).append(name)
    return names


def joints_apart(gridded: Gridded, problem: Problem, plan: Plan, stop: Stop, seed: int, kernels: Kernels) -> list[Plan]:
    """Return plans as cheap with joints of neighbouring rows farther apart; none where none was found.

    Only where every run has its fewest pieces: then others of as few may do as well. By count, unless ``stop`` comes
    first, so that the same job gives the same plans again.
    """
    runs = gridded.runs
    if not runs or _made(gridded, plan).total() > sum(min(map(len, run.alternatives)) for run in runs):
        return []
    first = len(gridded.cleats) - gridded.spliced
    able = {
        (cleat.height, cleat.length)
        for cleat, bar in zip(gridded.cleats[first:], gridded.problem.bars[first:], strict=True)
        if reachable(gridded.problem, bar)
    }
    (own,) = spliced(gridded, [plan])
    wanted = spread(runs, able) if meetings(runs, own) else None
    if wanted is None or meetings(runs, wanted) >= meetings(runs, own):
        return []
    asked = Counter({bar: len(names) for bar, names in names_of(gridded, wanted).items()})
    bars = tuple(replace(bar, demand=bar.demand + asked[b]) for b, bar in enumerate(problem.bars))
    job, cost, within = replace(problem, bars=bars, runs=()), cost_of(problem, plan), stop.within(SECONDS)
    plans = [found for found in _packed(job, within, seed, kernels) if cost_of(job, found) == cost]
    return [found for found in dict.fromkeys(plans) if keeps_limits(job, found)]


def _packed(job: Problem, stop: Stop, seed: int, kernels: Kernels) -> list[Plan]:
    if limited(job):
        plan = value_corrected(job, stop, seed, Pool(), passes=PASSES, kernels=kernels)
        return [] if plan is None else [plan]
    plans: list[Plan] = []
    for number in range(COMPOSITIONS):
        if stop.reached():
            break
        composition = compose(job, number and seed * 1000 + number)
        packed = first_plans(composition.problem, seed + number, TRIES, stop, kernels)
        plans += [decomposed(job, composition, plan) for plan in packed]
    return plans
