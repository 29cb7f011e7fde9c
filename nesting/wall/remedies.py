"""What would make room for holders that are left out: each change is tried, none is guessed.

A change counts where first fit hangs every copy after it; that it does not is no proof that nothing would.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from nesting.errors import CannotBeDone
from nesting.lengths import show_length
from nesting.project.model import Project
from nesting.project.wall_keys import USUAL_SPACING, Wall
from nesting.trade.saw import inches
from nesting.wall.built import Built
from nesting.wall.first_fit import first_fit
from nesting.wall.hanging_task import task
from nesting.wall.places import places
from nesting.wall.rows import heights, rows

MOST_STEPS = 8
"""So many stud spacings wider, or rows higher, are tried."""


@dataclass(frozen=True, slots=True)
class _Change:
    """A change to try, from the least to the largest; ``words`` tells it of the wall that does."""

    walls: tuple[Wall, ...]
    words: Callable[[Wall], str]


def remedies(project: Project, built: Sequence[Built], seed: int, deadline: float) -> tuple[str, ...]:
    """Return in sentences which single changes of a project's wall make room for all holders.

    Tried are a smaller gap (or one row more where rows are given), a wider wall and a higher one, the least change
    of each kind that does; until ``deadline`` on the :func:`time.perf_counter` clock.
    """
    wall = project.wall
    if wall is None:
        return ()
    found, tried_all = [], True
    for change in _changes(project, wall):
        for other in change.walls:
            if time.perf_counter() > deadline:
                tried_all = False
                break
            if _all_hang(project.model_copy(update={"wall": other}), built, seed, deadline):
                found.append(f"{change.words(other)} all would hang.")
                break
    if not found and tried_all:
        return ("No single change that was tried makes room for all: a smaller gap, a wider or a higher wall.",)
    return tuple(found)


def _all_hang(project: Project, built: Sequence[Built], seed: int, deadline: float) -> bool:
    wall = project.wall
    if wall is None:
        return False
    try:
        laid = rows(project)
    except CannotBeDone:
        return False
    job = task(built, [places(project, laid, holder) for holder in built], wall.floor_gap, project.unit)
    asked = sum(holder.holder.quantity for holder in built)
    return job.copies == asked and len(first_fit(job, seed, deadline)) == asked


def _changes(project: Project, wall: Wall) -> Iterator[_Change]:
    cleats = project.cleats

    def length(value: Fraction) -> str:
        return f"{show_length(value, project.unit, project.project.fence_step)} {project.unit}"

    def count(other: Wall) -> int:
        return len(heights(other, cleats.wall_height, cleats.holder_height))

    def larger(key: str, by: Fraction, what: str) -> _Change:
        now: Fraction = getattr(wall, key)
        walls = tuple(wall.model_copy(update={key: now + n * by}) for n in range(1, MOST_STEPS + 1))
        return _Change(walls, lambda other: f"On a wall {length(getattr(other, key) - now)} {what}")

    rows_now = count(wall)
    if wall.rows is None:
        gap = cleats.wall_height if wall.gap is None else wall.gap
        step = inches(Fraction(1, 2), "in") if project.unit == "in" else Fraction(10)
        gaps = [gap - n * step for n in range(1, int((gap - cleats.holder_height) // step) + 1)]
        walls = tuple(wall.model_copy(update={"gap": smaller}) for smaller in (*gaps, cleats.holder_height))
        yield _Change(
            tuple(other for other in walls if count(other) > rows_now),
            lambda other: (
                f"With a gap of {length(other.gap or gap)} in place of {length(gap)}, {count(other)} rows in place of "
                f"{rows_now},"
            ),
        )
        pitch = cleats.wall_height + gap
    else:
        yield _Change(
            tuple(wall.model_copy(update={"rows": (*wall.rows, low)}) for low in _free_heights(project, wall)),
            lambda other: f"With one more row at {length((other.rows or (Fraction(0),))[-1])}",
        )
        pitch = cleats.wall_height + cleats.holder_height
    studs = wall.studs
    if studs.positions is None:
        yield larger("width", studs.spacing or USUAL_SPACING[project.unit], "wider")
    yield larger("height", pitch, "higher")


def _free_heights(project: Project, wall: Wall) -> list[Fraction]:
    """Return where one row more could stand so that holders can be hooked on it and on the row below."""
    cleats = project.cleats
    apart = cleats.wall_height + cleats.holder_height
    lows = sorted(wall.rows or ())
    candidates = [Fraction(0), *(low + apart for low in lows), *(low - apart for low in lows)]
    return sorted(
        {
            low
            for low in candidates
            if low >= 0 and low + apart <= wall.height and all(abs(low - other) >= apart for other in lows)
        }
    )
