"""Allowed splices of a run: which pieces may fill it, joined on stud centres only.

Every piece has two studs behind it or more; where two pieces join, on the centre of a stud, it counts for both.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction
from functools import lru_cache
from itertools import islice

from nesting.project.model import Project
from nesting.wall.rows import Run

MOST = 160
"""Splices of one run that the solver may choose from; with fewest joints there may be more of them."""
MOST_OF_FEWEST = 500
MORE_JOINTS = 2
"""A splice has at most so many joints more than the fewest: each joint costs two screws and weakens the row."""
SHORTEST = {"in": Fraction(12), "mm": Fraction(305)}
"""No piece of a spliced run is shorter where it can be helped; common practice, no source."""


def compositions(run: Run, longest: Fraction, shortest: Fraction = Fraction(0)) -> tuple[tuple[Fraction, ...], ...]:
    """Return the allowed splices of a run as lengths of its pieces from the low end; none where there is none.

    No piece is longer than ``longest``, nor shorter than ``shortest`` unless nothing else fills the run. Those of
    fewest joints come first, the very first being what takes the longest pieces from the low end; among those of as
    many joints the same pieces in another order stand behind all that differ. All of fewest joints are there (the
    first ``MOST_OF_FEWEST`` by that order); then, while there are fewer than ``MOST``, those of up to
    ``MORE_JOINTS`` joints more.

    >>> run = Run(1, Fraction(0), Fraction(4), Fraction(72), tuple(map(Fraction, (8, 24, 40, 56, 72))))
    >>> [[int(piece) for piece in pieces] for pieces in compositions(run, Fraction(60))]
    [[52, 20], [36, 36], [20, 52], [36, 16, 20], [20, 32, 20], [20, 16, 36], [20, 16, 16, 20]]
    >>> compositions(run, Fraction(15))
    ()
    """
    # the first and the last stud are no joints: the piece beyond would have no other
    return _between((run.x, *run.studs[1:-1], run.end), longest, shortest)


@lru_cache(maxsize=64)
def _between(places: tuple[Fraction, ...], longest: Fraction, shortest: Fraction) -> tuple[tuple[Fraction, ...], ...]:
    """Return the splices between the ends of a run, given its ends and its joints; rows often have the same."""
    found: list[tuple[Fraction, ...]] = []
    ways = _Ways(places, longest, shortest)
    if ways.fewest is None and shortest:
        ways = _Ways(places, longest, Fraction(0))
    if ways.fewest is None:
        return ()
    for pieces in range(ways.fewest, ways.fewest + MORE_JOINTS + 1):
        room = MOST_OF_FEWEST if pieces == ways.fewest else max(MOST - len(found), 0)
        found += _others_last(islice(ways.of(pieces), MOST_OF_FEWEST))[:room]
    return tuple(found)


def _others_last(ways: Iterable[tuple[Fraction, ...]]) -> list[tuple[Fraction, ...]]:
    """Return all ways, those of pieces that came before in another order last."""
    first: dict[tuple[Fraction, ...], tuple[Fraction, ...]] = {}
    others = []
    for way in ways:
        if first.setdefault(tuple(sorted(way)), way) is not way:
            others.append(way)
    return [*first.values(), *others]


def splices(project: Project, run: Run) -> tuple[tuple[Fraction, ...], ...]:
    """Return the allowed splices of a run of a project's wall, by the longest cleat that its stocks give."""
    return compositions(run, longest_cleat(project), SHORTEST[project.unit])


def longest_cleat(project: Project) -> Fraction:
    """Return the longest wall cleat that any stock of the project gives, along its length; 0 where none gives one."""
    cleats = project.cleats
    return max(
        (
            stock.length - 2 * project.trim(stock)
            for stock in project.stocks
            if project.suits(cleats.thickness, stock)
            and stock.limit != 0
            and stock.width - 2 * project.trim(stock) >= cleats.wall_height
        ),
        default=Fraction(0),
    )


class _Ways:
    """From each joint of a run, its low end included, in how many pieces the far end can be reached."""

    def __init__(self, places: tuple[Fraction, ...], longest: Fraction, shortest: Fraction) -> None:
        self.places = places
        goal = len(places) - 1
        self.next = [  # where a piece that begins at a place may end, farthest first
            [to for to in reversed(range(at + 1, goal + 1)) if shortest <= places[to] - places[at] <= longest]
            for at in range(goal + 1)
        ]
        self.reach: list[set[int]] = [set() for _ in places]
        self.reach[goal] = {0}
        for at in reversed(range(goal)):
            for to in self.next[at]:
                self.reach[at] |= {count + 1 for count in self.reach[to]}

    @property
    def fewest(self) -> int | None:
        """Fewest pieces that fill the run; None: nothing fills it."""
        return min(self.reach[0], default=None)

    def of(self, pieces: int, at: int = 0) -> Iterator[tuple[Fraction, ...]]:
        """Yield every way from a place to the end in so many pieces, the longest first pieces first."""
        if pieces == 0:
            yield ()
            return
        for to in self.next[at]:
            if pieces - 1 in self.reach[to]:
                for rest in self.of(pieces - 1, to):
                    yield (self.places[to] - self.places[at], *rest)
