"""Dives: bars are fixed, the linear program is solved again for the pieces left, with new patterns, and so on.

Belov & Scheithauer 2006, "A branch-and-cut-and-price algorithm for one-dimensional stock cutting and two-dimensional
two-stage cutting", from memory. A dive ends as soon as what is left needs more bars than there are; once few bars are
left, an integer program decides about them.
"""

from __future__ import annotations

import random

from nesting.solve.boxes import OutOfTime
from nesting.solve.length_gap import within
from nesting.solve.length_program import Cuts, Program
from nesting.solve.stop import Stop

CHOICE = 0.5
"""A dive fixes a pattern whose fraction is at least this much of the largest."""
WHOLE = 1e-3
"""What a pattern may be short of a whole number to be fixed as often as that."""
MOST_REST, PATIENCE = 500, 0.15
"""Patterns at most among which the last bars are chosen, and seconds for that."""


def dive(program: Program, bars: int, rest: int, rng: random.Random, stop: Stop, *, greedy: bool) -> list[Cuts] | None:
    """Return a plan of at most so many bars, ``None`` where this dive leads to none or time is up.

    From ``rest`` bars left on the integer program has a try.
    """
    made: list[Cuts] = []
    asked = False
    while program.wanted.any():
        left = bars - len(made)
        if program.bound > left or not program.solved:
            return None
        if left <= rest and not asked and program.quick:
            asked = True
            try:
                last = within(program, left, MOST_REST, stop.within(PATIENCE))
                return None if last is None else made + last
            except OutOfTime:
                pass  # dive on
        patterns = program.patterns()
        fixed = [(int(x + WHOLE), row) for x, row in patterns if x >= 1 - WHOLE]
        if not fixed:
            fractions = [row for x, row in patterns if x >= CHOICE * patterns[0][0]]
            fixed = [(1, fractions[0] if greedy else rng.choice(fractions))]
        for times, row in fixed:
            made += program.fix(row, times)
        program.reprice()
        program.generate_roughly(stop)
    return made
