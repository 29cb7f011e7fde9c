"""Splices as the solver's choice: which alternative fills each run of wall.

With one alternative chosen for every run a problem is an ordinary one, whose bars ask for the pieces chosen as well:
so every search for plans works on *resolved* problems. The linear and the integer master choose for themselves, the
cuts together with the splices (:mod:`nesting.solve.pricing`, :mod:`nesting.solve.master`), and what the linear master
takes of each alternative guides the choices tried by the other searches. Bounds charge each run what the cheapest of
its alternatives costs.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations_with_replacement, product

from nesting.solve.pattern import Plan, contents
from nesting.solve.problem import Bar, Item, Problem, Run

Choice = tuple[tuple[int, ...], ...]
"""For each run of a problem how often each of its alternatives is taken; they add up to its copies."""
Shares = Sequence[Sequence[float]]
"""The same in fractions, as a linear program would have it."""

MOST_WEIGHED = 48
"""Alternatives of a run looked at when one is chosen to fill bars well; of more, so many are drawn."""


def pieces_in(alternative: Sequence[tuple[int, int]]) -> int:
    """Return how many pieces an alternative has."""
    return sum(copies for _, copies in alternative)


def fewest(problem: Problem) -> Choice:
    """Return the choice of fewest pieces for every run, the first alternative among equals.

    >>> job = Problem((), (), 1, (Bar(0, 40, 0), Bar(0, 81, 0)), (), runs=(Run((((0, 2),), ((1, 1),)), 3),))
    >>> fewest(job), resolved(job, fewest(job)).bars
    (((0, 3),), (Bar(kind=0, length=40, demand=0), Bar(kind=0, length=81, demand=3)))
    """
    return tuple(_all_of(run, min(range(len(run.alternatives)), key=lambda a: _size(run, a))) for run in problem.runs)


def _size(run: Run, alternative: int) -> int:
    return pieces_in(run.alternatives[alternative])


def _all_of(run: Run, chosen: int) -> tuple[int, ...]:
    return tuple(run.copies if a == chosen else 0 for a in range(len(run.alternatives)))


def asked_by(problem: Problem, choice: Choice) -> Counter[int]:
    """Count the bars that the alternatives chosen ask for."""
    asked: Counter[int] = Counter()
    for run, taken in zip(problem.runs, choice, strict=True):
        for alternative, times in zip(run.alternatives, taken, strict=True):
            for bar, copies in alternative if times else ():
                asked[bar] += times * copies
    return asked


def resolved(problem: Problem, choice: Choice) -> Problem:
    """Return the problem without runs whose bars ask for the alternatives chosen as well."""
    if not problem.runs:
        return problem
    return _with_more(problem, asked_by(problem, choice))


def roomy(problem: Problem) -> Problem:
    """Return the problem without runs whose bars ask for the most that any choice does.

    No plan of the problem holds more of anything, so what holds for all sets within these demands holds for it.
    """
    if not problem.runs:
        return problem
    most: Counter[int] = Counter()
    for run in problem.runs:
        largest: Counter[int] = Counter()
        for alternative in run.alternatives:
            largest |= Counter(dict(alternative))
        for bar, copies in largest.items():
            most[bar] += run.copies * copies
    return _with_more(problem, most)


def _with_more(problem: Problem, more: Counter[int]) -> Problem:
    if problem.bars:
        bars = tuple(replace(bar, demand=bar.demand + more[b]) for b, bar in enumerate(problem.bars))
        return replace(problem, bars=bars, runs=())
    items = tuple(replace(item, demand=item.demand + more[i]) for i, item in enumerate(problem.items))
    return replace(problem, items=items, runs=())


def settled(problem: Problem, plan: Plan) -> Problem:
    """Return the problem without runs whose bars ask for what a plan makes of them."""
    if not problem.runs:
        return problem
    made: Counter[int] = Counter()
    for sheet in plan:
        made.update(contents(sheet.pattern)[1])
    return replace(problem, bars=tuple(replace(bar, demand=made[b]) for b, bar in enumerate(problem.bars)), runs=())


def least(runs: Sequence[Run], prices: Sequence[int]) -> int:
    """Return the least total price of alternatives, one for each run; whatever is chosen costs no less.

    >>> least((Run((((0, 2),), ((1, 1),)), 3),), (4, 9))
    24
    """
    return sum(
        run.copies
        * min(sum(copies * prices[piece] for piece, copies in alternative) for alternative in run.alternatives)
        for run in runs
    )


def joined(problem: Problem, plan: Plan) -> int:
    """Return how many bars a plan makes where there are runs, else 0.

    Every run with one piece more has one joint more, so of two plans of a job the one of fewer bars has fewer joints.
    """
    if not problem.runs:
        return 0
    return sum(bar.demand for bar in settled(problem, plan).bars)


def pieces_wanted(problem: Problem) -> int:
    """Return how many pieces are asked for, runs in their fewest pieces."""
    pieces: tuple[Item | Bar, ...] = (*problem.items, *problem.bars)
    own = sum(piece.demand for piece in pieces)
    return own + sum(run.copies * min(map(pieces_in, run.alternatives)) for run in problem.runs)


# -- choices to try


def drawn(problem: Problem, seed: int, shares: Shares | None = None) -> Choice:
    """Draw a choice; the same seed draws the same one.

    Where the linear master told the ``shares`` it would have of each alternative, they are rounded at random.
    Otherwise run after run takes the alternative whose pieces fit best what the runs before have left of their bars.
    """
    rng = random.Random(seed)
    if shares is not None:
        return tuple(_rounded(run, parts, rng) for run, parts in zip(problem.runs, shares, strict=True))
    return _fitted(problem, rng)


def _rounded(run: Run, shares: Sequence[float], rng: random.Random) -> tuple[int, ...]:
    taken = [min(run.copies, int(share + 1e-6)) for share in shares]
    loose = [max(0.0, share - whole) for share, whole in zip(shares, taken, strict=True)]
    while sum(taken) > run.copies:  # cannot be but for rounding
        taken[max(range(len(taken)), key=taken.__getitem__)] -= 1
    for _ in range(run.copies - sum(taken)):
        weights = loose if sum(loose) > 1e-9 else [1.0] * len(loose)
        at = rng.choices(range(len(loose)), weights)[0]
        taken[at] += 1
        loose[at] = 0.0
    return tuple(taken)


def _fitted(problem: Problem, rng: random.Random) -> Choice:
    """Fill bars as long as one of the stocks: least of what is begun anew, then least left too short to use."""
    capacities = sorted({stock.length for stock, row in zip(problem.bins, problem.blanks, strict=True) if row})
    longest = max(capacities)
    usual = longest if rng.random() < 0.5 else rng.choice(capacities)
    begin = [capacity for capacity in capacities if capacity >= usual]
    dislike = rng.choice((0.0, 0.05, 0.2)) * longest  # of a joint
    noise = rng.choice((0.0, 0.02, 0.1)) * longest
    kinds = {bar.kind for bar in problem.bars}
    room: dict[int, list[int]] = {kind: [] for kind in kinds}  # what is left of bars begun
    for bar in sorted(problem.bars, key=lambda bar: -bar.length):
        for _ in range(bar.demand):
            _placed(room[bar.kind], [bar.length], begin)
    order = [at for at, run in enumerate(problem.runs) for _ in range(run.copies)]
    rng.shuffle(order)
    taken = [[0] * len(run.alternatives) for run in problem.runs]
    for at in order:
        run = problem.runs[at]
        looked = list(range(len(run.alternatives)))
        if len(looked) > MOST_WEIGHED:
            looked = rng.sample(looked, MOST_WEIGHED)
        found: list[tuple[float, int, list[int]]] = []
        for alternative in looked:
            lengths = [problem.bars[bar].length for bar, n in run.alternatives[alternative] for _ in range(n)]
            kind = problem.bars[run.alternatives[alternative][0][0]].kind
            left = list(room[kind])
            begun = _placed(left, sorted(lengths, reverse=True), begin)
            worth = begun - sum(side * side for side in left) / longest
            worth += dislike * len(lengths) + noise * rng.random()
            found.append((worth, alternative, left))
        _, chosen, left = min(found, key=lambda entry: entry[:2])
        taken[at][chosen] += 1
        room[problem.bars[run.alternatives[chosen][0][0]].kind] = left
    return tuple(map(tuple, taken))


def _placed(room: list[int], lengths: Sequence[int], capacities: Sequence[int]) -> int:
    """Put lengths where they leave the least; return what had to be begun, twice where it is not the usual bar.

    ``capacities``: of bars that may be begun, the usual one first; what is too long for all has a bar of its own.
    """
    begun = 0
    for length in lengths:
        at = min((i for i, left in enumerate(room) if left >= length), key=room.__getitem__, default=None)
        if at is None:
            capacity = next((capacity for capacity in capacities if capacity >= length), length)
            room.append(capacity - length)
            begun += capacity if capacity == capacities[0] else 2 * capacity
        else:
            room[at] -= length
    return begun


def tried(problem: Problem, number: int, seed: int, shares: Shares | None, best: Plan | None) -> Problem:
    """Return the problem to look for plans of at the ``number``-th try: its runs resolved, in turn, as a rule.

    Number 0 and every fourth takes the fewest pieces, the second in four what the best plan has; the others are drawn.
    """
    if not problem.runs:
        return problem
    turn = number % 4
    if not turn:
        return resolved(problem, fewest(problem))
    if turn == 2 and best is not None:
        return settled(problem, best)
    return resolved(problem, drawn(problem, seed * 1000 + number, shares if turn == 1 else None))


def every(problem: Problem, most: int) -> list[Choice] | None:
    """List all choices, those that ask for the same bars once; None where there are more than ``most``."""
    found: dict[tuple[tuple[int, int], ...], Choice] = {}
    ways: list[list[tuple[int, ...]]] = []
    total = 1
    for run in problem.runs:
        numbers = range(len(run.alternatives))
        own = []
        for picked in combinations_with_replacement(numbers, run.copies):
            own.append(tuple(picked.count(a) for a in numbers))
            if len(own) > most:
                return None
        total *= len(own)
        ways.append(own)
        if total > most:
            return None
    for choice in product(*ways):
        found.setdefault(tuple(sorted(asked_by(problem, choice).items())), choice)
    return list(found.values())
