"""The hanging map: every copy of every holder on a row of the wall, and what is left out with its reason."""

from __future__ import annotations

import threading
import time
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from nesting.project.model import Project
from nesting.wall.built import Built
from nesting.wall.first_fit import first_fit, pushed_left
from nesting.wall.hanging_task import Spot, Task, task
from nesting.wall.nowhere import why_nowhere
from nesting.wall.places import Foot, places
from nesting.wall.remedies import remedies
from nesting.wall.rows import Row

MOST_SEARCHED: Final = 120
"""More copies than these are hung by first fit alone: the search would not get anywhere in the seconds it has."""
FIRST_FIT_SHARE: Final = 0.3
REMEDY_SHARE: Final = 0.5
"""Of the seconds, on top of them, where something is left out."""


@dataclass(frozen=True, slots=True)
class Hung:
    """One copy on the wall: the ``copy``-th (1 first) of a holder, its left edge at ``x``, its cleat on a row.

    ``bottom`` and ``top`` are the heights of its foot and its upper edge in the usable area. ``foot``: what its foot
    rests on, the next cleat below, a spacer of the cleats' thickness, or nothing but its own wall cleat.
    """

    holder: str
    copy: int
    x: Fraction
    row: int
    foot: Foot
    bottom: Fraction
    top: Fraction


@dataclass(frozen=True, slots=True)
class LeftOut:
    """Copies of a holder that do not hang, and why; ``nowhere``: not even by itself on the bare wall."""

    holder: str
    copies: int
    reason: str
    nowhere: bool


@dataclass(frozen=True, slots=True)
class Hanging:
    """Where the holders hang, from the top and from the left, and what is left out.

    ``proven``: no more copies can hang on these rows. ``settled``: the wishes too are met as well as can be, in their
    order: zones, feet on cleats, load spread over the rows, heavy low, the rest within reach, all to the left.
    ``remedies`` are sentences on what would make room for what is left out for want of room.
    """

    hung: tuple[Hung, ...]
    left_out: tuple[LeftOut, ...]
    proven: bool
    settled: bool
    remedies: tuple[str, ...] = ()

    def spacers(self, holder: str) -> int:
        """Return how many copies of a holder need a spacer."""
        return sum(1 for hung in self.hung if hung.holder == holder and hung.foot == "spacer")


def hang(
    project: Project,
    rows: Sequence[Row],
    built: Sequence[Built],
    seconds: float = 2.0,
    seed: int = 0,
    cancel: threading.Event | None = None,
) -> Hanging:
    """Return where the holders of a project hang; ends in about ``seconds`` with the best it has.

    With 0 seconds first fit alone hangs them, once. The same seed gives the same hanging, unless the clock ends the
    search. Without a wall nothing hangs.
    """
    begun, wall = time.perf_counter(), project.wall
    if wall is None:
        return Hanging((), (), proven=True, settled=True)
    free = [places(project, rows, holder) for holder in built]
    job = task(built, free, wall.floor_gap, project.unit)
    spots = first_fit(job, seed, begun + FIRST_FIT_SHARE * seconds)
    most = len(spots) == job.copies
    settled = not job.kinds
    if job.kinds and job.copies <= MOST_SEARCHED and seconds > 0:
        from nesting.wall.hanging_model import search

        left = seconds - (time.perf_counter() - begun)
        found = search(job, spots, left, seed, lambda: cancel is not None and cancel.is_set())
        spots, most, settled = pushed_left(job, found.spots), found.most, found.best
    hung = _hung(built, job, spots)
    left_out = tuple(_left_out(project, rows, built, hung))
    helps: tuple[str, ...] = ()
    if any(not left.nowhere for left in left_out):
        hangable = [holder for holder, there in zip(built, free, strict=True) if there]
        helps = remedies(project, hangable, seed, time.perf_counter() + REMEDY_SHARE * seconds)
    return Hanging(hung, left_out, most, settled, helps)


def _hung(built: Sequence[Built], job: Task, spots: Sequence[Spot]) -> tuple[Hung, ...]:
    found: list[Hung] = []
    copies: dict[str, int] = {}
    picked = [(job.kinds[spot.kind], job.kinds[spot.kind].choices[spot.choice].place, spot.x) for spot in spots]
    for kind, place, x in sorted(picked, key=lambda pick: (pick[1].row, pick[2], pick[0].built)):
        name = built[kind.built].name
        copies[name] = copies.get(name, 0) + 1
        found.append(Hung(name, copies[name], x * job.mark, place.row, place.foot, place.bottom, place.top))
    return tuple(found)


def _left_out(project: Project, rows: Sequence[Row], built: Sequence[Built], hung: Sequence[Hung]) -> list[LeftOut]:
    left = []
    for holder in built:
        missing = holder.holder.quantity - sum(1 for copy in hung if copy.holder == holder.name)
        if not missing:
            continue
        reason = why_nowhere(project, rows, holder)
        words = reason or f"{holder.name!r}: no room is left for {_counted(missing, holder.holder.quantity)}"
        left.append(LeftOut(holder.name, missing, words, reason is not None))
    return left


def _counted(missing: int, asked: int) -> str:
    if missing < asked:
        return f"{missing} of its {asked} copies"
    return "it" if asked == 1 else f"any of its {asked} copies"
