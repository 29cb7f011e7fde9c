"""A wall fitted out: its rows with every allowed splice, the holders as built, and where they hang."""

from __future__ import annotations

import threading
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import count, islice, product
from string import ascii_lowercase
from typing import Final

from nesting.errors import CannotBeDone
from nesting.lengths import show_length
from nesting.project.model import Project
from nesting.steps import Caution
from nesting.wall import screws
from nesting.wall.built import Built, BuiltPart
from nesting.wall.hanging import Hanging, hang
from nesting.wall.holders import build_all
from nesting.wall.rows import Row, Run, bare_in_words, rows
from nesting.wall.splices import splices

SECONDS: Final = 1.5
"""For the search of the hanging map; a usual wall takes a tenth of it."""
NOTHING: Final = Hanging((), (), proven=True, settled=True)


@dataclass(frozen=True, slots=True)
class FittedRun:
    """A run with its allowed splices, and the names its pieces bear: as many as the longest splice has."""

    run: Run
    splices: tuple[tuple[Fraction, ...], ...]
    piece_names: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Fitting:
    """All that follows from a project's wall and holders before anything is cut."""

    rows: tuple[Row, ...]
    runs: tuple[FittedRun, ...]
    built: tuple[Built, ...]
    hanging: Hanging
    cautions: tuple[Caution, ...]

    @property
    def parts(self) -> tuple[BuiltPart, ...]:
        """All rectangular parts of the holders, a spacer for every copy that needs one."""
        return tuple(part for built in self.built for part in (*built.parts, *self._spacers(built)))

    def spacers(self, built: Built) -> int:
        """Return how many copies of a holder get a spacer: those that hang on one, and those that hang nowhere yet."""
        if built.spacer is None:
            return 0
        hung = sum(copy.holder == built.name for copy in self.hanging.hung)
        return self.hanging.spacers(built.name) + built.holder.quantity - hung

    def _spacers(self, built: Built) -> tuple[BuiltPart, ...]:
        count = self.spacers(built)
        return (replace(built.spacer, quantity=count),) if built.spacer is not None and count else ()


def fit_out(
    project: Project, seconds: float = SECONDS, seed: int = 0, cancel: threading.Event | None = None
) -> Fitting | None:
    """Return a project's wall fitted out; None where it has neither wall nor holders.

    The hanging map is searched for in at most ``seconds``. Raises :class:`~nesting.errors.CannotBeDone` with every
    reason where a holder cannot be built or could hang nowhere, or where the wall takes no cleats.
    """
    if project.wall is None and not project.holder:
        return None
    built, faults = build_all(project)
    reasons = [str(fault) for fault in (*faults, *screws.faults(project))]
    laid: tuple[Row, ...] = ()
    try:
        laid = rows(project)
    except CannotBeDone as error:
        reasons += error.reasons
    runs = tuple(_fitted(project, laid))
    reasons += [_no_piece(project, fitted.run) for fitted in runs if not fitted.splices]
    hanging = hang(project, laid, built, seconds, seed, cancel) if laid or project.wall is None else NOTHING
    reasons += [left.reason for left in hanging.left_out if left.nowhere]
    if reasons:
        raise CannotBeDone(list(dict.fromkeys(reasons)))
    cautions = [*_cautions(project, laid), *_left_out(hanging), *screws.cautions(project)]
    cautions += [caution for one in built for caution in one.cautions]
    return Fitting(laid, runs, built, hanging, tuple(_once(cautions)))


def _left_out(hanging: Hanging) -> Iterator[Caution]:
    for left in hanging.left_out:
        yield Caution("not_hung", f"{left.reason[0].upper()}{left.reason[1:]}.".replace("..", "."), left.holder)
    for sentence in hanging.remedies:
        yield Caution("more_room", sentence)
    if hanging.left_out and not hanging.proven:
        yield Caution("hanging_unproven", "There may be a hanging map with more holders; none was found in the time.")


def letters() -> Iterator[str]:
    """Yield a, b, … z, aa, ab, …: the pieces of a row, from its low end."""
    for size in count(1):
        yield from ("".join(chosen) for chosen in product(ascii_lowercase, repeat=size))


def _fitted(project: Project, laid: tuple[Row, ...]) -> Iterator[FittedRun]:
    for row in laid:
        free = letters()
        for run in row.runs:
            found = splices(project, run)
            most = max(map(len, found), default=0)
            yield FittedRun(run, found, tuple(f"row {row.index} {letter}" for letter in islice(free, most)))


def _once(cautions: Sequence[Caution]) -> Iterator[Caution]:
    """Yield every caution once, with all the places where it applies."""
    places: dict[tuple[str, str], list[str]] = {}
    for caution in cautions:
        places.setdefault((caution.code, caution.text), []).append(caution.where)
    for (code, text), where in places.items():
        yield Caution(code, text, ", ".join(filter(None, dict.fromkeys(where))))


def _no_piece(project: Project, run: Run) -> str:
    def length(value: Fraction) -> str:
        return show_length(value, project.unit, project.project.fence_step)

    return (
        f"row {run.row}: no stock for cleats is long enough to reach from stud to stud in the run from "
        f"{length(run.x)} to {length(run.end)} {project.unit}"
    )


def _cautions(project: Project, laid: tuple[Row, ...]) -> Iterator[Caution]:
    wall = project.wall
    if wall is None:
        return
    studs = wall.studs
    if studs.positions is None and (studs.first is None or studs.spacing is None):
        yield Caution(
            "assumed_studs",
            "Where the studs stand was not told in full; they are taken to stand at the usual distance. Find every "
            "stud and measure its centre before you cut.",
        )
    for row in laid:
        for words in bare_in_words(project, row):
            yield Caution("no_studs", f"{words[0].upper()}{words[1:]}: it stays bare.", f"row {row.index}")
        if not row.runs and not row.bare:
            yield Caution("no_room", f"Row {row.index}: keep-outs take its whole width.", f"row {row.index}")
