"""Dives: bars are fixed, the linear program is solved again for the pieces left, with new patterns, and so on.

Belov & Scheithauer 2006, "A branch-and-cut-and-price algorithm for one-dimensional stock cutting and two-dimensional
two-stage cutting", from memory. A dive ends as soon as what is left needs more bars than there are.
"""

from __future__ import annotations

import random

from nesting.solve.length_program import Cuts, Program
from nesting.solve.stop import Stop

CHOICE = 0.5
"""A dive fixes a pattern whose fraction is at least this much of the largest."""
WHOLE = 1e-3
"""What a pattern may be short of a whole number to be fixed as often as that."""


def dive(program: Program, bars: int, rng: random.Random, stop: Stop, *, greedy: bool) -> list[Cuts] | None:
    """Return a plan of at most so many bars, ``None`` where this dive leads to none or time is up."""
    made: list[Cuts] = []
    while program.wanted.any():
        left = bars - len(made)
        if program.bound > left or not program.solved:
            return None
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
