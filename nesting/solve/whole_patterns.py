"""Plans of whole patterns, one bin's cut after another: for limited stages and for jobs of very many pieces."""

from __future__ import annotations

from nesting.solve.bars import compose
from nesting.solve.compiled import Kernels, at_hand
from nesting.solve.pattern import Plan
from nesting.solve.pricing import MOST_POINTS, ROUGH_POINTS, ROUGH_POINTS_PLAIN
from nesting.solve.sequential import value_corrected
from nesting.solve.shelves import shelved
from nesting.solve.standing import Standing
from nesting.solve.stop import Stop

SHELF_TRIES = 30
"""Ways to cut shelves, first and in each round: some 20 to 70 ms each for 500 pieces."""
FIRST_POINTS = 100
"""Sub-rectangles a bin, beside the parts' own sides, for a first plan where stages are limited."""


def cut_shelves(standing: Standing, number: int, stop: Stop) -> None:
    """Cut shelves in so many ways, each with the cleats gathered anew; at least one."""
    for way in range(number * SHELF_TRIES, (number + 1) * SHELF_TRIES):
        seed = way and standing.seed * 1000 + way
        composition = compose(standing.spliced(way), seed)
        plan = shelved(composition.problem, seed)
        if plan is not None:
            standing.take(composition, plan, "shelves")
        if standing.over() or stop.reached():
            return


def first_patterns(standing: Standing) -> None:
    """Cut whole patterns at few points, for a plan where there is none."""
    job, stop = standing.spliced(0), standing.patient()
    plan = value_corrected(job, stop, standing.seed, standing.pool, passes=1, kernels=at_hand(), most=FIRST_POINTS)
    standing.offer(plan, "whole patterns")


def cut_patterns(standing: Standing, number: int, kernels: Kernels, stop: Stop) -> Plan | None:
    """Cut whole patterns, then shelves; each time at more points and in more passes. Return the plan of patterns."""
    passes = 3 + number if number else 1
    most = min((ROUGH_POINTS if kernels.compiled else ROUGH_POINTS_PLAIN) << number, MOST_POINTS)
    job, seed = standing.spliced(number), standing.seed + number
    plan = value_corrected(job, stop, seed, standing.pool, passes=passes, kernels=kernels, most=most)
    standing.offer(plan, "whole patterns")
    if not standing.over():
        cut_shelves(standing, number + 1, stop)
    return plan
