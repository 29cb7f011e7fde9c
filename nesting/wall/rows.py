"""Rows of wall cleats at exact heights, and the runs between keep-outs that studs can hold.

A cleat row that crosses a keep-out, grown by its clearance, is cut there. What is left between two such places
is a run where at least two studs stand behind it; it ends at most the overhang past its outermost studs. A stud
counts where its centre lies behind the run, its ends included, as at a joint on a stud, which both pieces share.
All of this is common practice, no source. Lengths are exact, in the document's unit; x and y are measured from
the lower left corner of the usable area.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from nesting.errors import CannotBeDone
from nesting.lengths import show_length
from nesting.project.model import Project
from nesting.project.wall_keys import Keepout, Wall

FEWEST_STUDS = 2
"""Behind every piece of a wall cleat; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Run:
    """A stretch of a row filled with cleats: ``row`` counts from the top, ``y`` is the cleats' lower edge.

    ``studs`` are the centres behind it, ascending.
    """

    row: int
    y: Fraction
    x: Fraction
    length: Fraction
    studs: tuple[Fraction, ...]

    @property
    def end(self) -> Fraction:
        """The far end."""
        return self.x + self.length


@dataclass(frozen=True, slots=True)
class Bare:
    """A stretch of a row that takes no cleat, for fewer than two studs stand behind it."""

    x: Fraction
    length: Fraction
    studs: int


@dataclass(frozen=True, slots=True)
class Row:
    """One height on the wall: ``index`` counts from the top, 1 first; ``y`` is the lower edge of its cleats."""

    index: int
    y: Fraction
    runs: tuple[Run, ...]
    bare: tuple[Bare, ...]


def rows(project: Project) -> tuple[Row, ...]:
    """Return the rows of a project's wall, from the top; none where it has no wall.

    Raises :class:`~nesting.errors.CannotBeDone` with every reason, row by row, where no row can hold a cleat.

    >>> from nesting.project.read import project_from_mapping
    >>> sheet = {"name": "ply", "length": 96, "width": 48, "thickness": "23/32"}
    >>> wall = {"width": 48, "height": 18, "studs": {"first": 8}, "overhang": 4}
    >>> keys = {"project": {"name": "Wall"}, "saw": {"kerf": "1/8"}, "sheet": [sheet], "wall": wall}
    >>> for row in rows(project_from_mapping(keys)):
    ...     print(row.index, row.y, [(str(run.x), str(run.end), len(run.studs)) for run in row.runs])
    1 12 [('4', '44', 3)]
    2 6 [('4', '44', 3)]
    3 0 [('4', '44', 3)]
    """
    wall = project.wall
    if wall is None:
        return ()
    high = project.cleats.wall_height
    studs = wall.studs.centres(wall.width, project.unit)
    found = []
    for index, low in enumerate(heights(wall, high, project.cleats.holder_height), start=1):
        runs, bare = [], []
        for start, end in _stretches(wall, low, low + high):
            behind = tuple(centre for centre in studs if start <= centre <= end)
            if len(behind) < FEWEST_STUDS:
                bare.append(Bare(start, end - start, len(behind)))
                continue
            x = max(start, behind[0] - wall.overhang)
            runs.append(Run(index, low, x, min(end, behind[-1] + wall.overhang) - x, behind))
        found.append(Row(index, low, tuple(runs), tuple(bare)))
    if not any(row.runs for row in found):
        raise CannotBeDone(list(_why_nothing(project, found)))
    return tuple(found)


def heights(wall: Wall, high: Fraction, above: Fraction) -> tuple[Fraction, ...]:
    """Return the lower edges of the rows, from the top.

    Rows at equal gaps leave ``above``, a holder cleat's height, free over the topmost one, so that a holder can be
    hooked on there too and lifted off again: seated it stands that height less the bevel's depth above the wall
    cleat. Rows given one by one stand where they are told.
    """
    if wall.rows is not None:
        return tuple(sorted(wall.rows, reverse=True))
    pitch = high + (high if wall.gap is None else wall.gap)
    top = max(wall.height - high - above, Fraction(0))
    count = int(top // pitch) + 1
    lowest = top - (count - 1) * pitch if wall.start == "top" else Fraction(0)
    return tuple(lowest + n * pitch for n in reversed(range(count)))


def _stretches(wall: Wall, low: Fraction, high: Fraction) -> Iterator[tuple[Fraction, Fraction]]:
    """Yield what the keep-outs leave free of the width between two heights, from the left."""
    at = Fraction(0)
    for start, end in sorted(blocked(keepout) for keepout in wall.keepout if crosses(keepout, low, high)):
        if start > at:
            yield at, start
        at = max(at, end)
    if at < wall.width:
        yield at, wall.width


def crosses(keepout: Keepout, low: Fraction, high: Fraction) -> bool:
    """Whether something between two heights comes nearer to a keep-out than its clearance."""
    return keepout.y - keepout.clearance < high and low < keepout.y + keepout.height + keepout.clearance


def blocked(keepout: Keepout) -> tuple[Fraction, Fraction]:
    """Return from where to where a keep-out and its clearance reach along the wall."""
    return keepout.x - keepout.clearance, keepout.x + keepout.width + keepout.clearance


def _why_nothing(project: Project, found: Sequence[Row]) -> Iterator[str]:
    for row in found:
        if not row.bare:
            yield f"row {row.index}: keep-outs take its whole width"
        yield from bare_in_words(project, row)


def bare_in_words(project: Project, row: Row) -> Iterator[str]:
    """Yield a sentence without its full stop for each stretch of a row that takes no cleat."""

    def length(value: Fraction) -> str:
        return show_length(value, project.unit, project.project.fence_step)

    for bare in row.bare:
        studs = "only one stud stands" if bare.studs else "no stud stands"
        yield (
            f"row {row.index}: {studs} behind the stretch from {length(bare.x)} to {length(bare.x + bare.length)} "
            f"{project.unit}, and a cleat needs two"
        )
