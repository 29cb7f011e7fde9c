"""A wall fitted out: its rows with every allowed splice, the holders as built, and where they hang."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import count, islice, product
from string import ascii_lowercase

from nesting.errors import CannotBeDone
from nesting.lengths import show_length
from nesting.project.model import Project
from nesting.steps import Caution
from nesting.wall.built import Built, BuiltPart
from nesting.wall.holders import build_all
from nesting.wall.rows import Row, Run, bare_in_words, rows
from nesting.wall.splices import splices


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
    cautions: tuple[Caution, ...]

    @property
    def parts(self) -> tuple[BuiltPart, ...]:
        """All rectangular parts of the holders, spacers included."""
        return tuple(part for built in self.built for part in (*built.parts, *self._spacers(built)))

    def _spacers(self, built: Built) -> tuple[BuiltPart, ...]:
        if built.spacer is None:
            return ()
        return (replace(built.spacer, quantity=built.spacer.quantity * built.holder.quantity),)


def fit_out(project: Project) -> Fitting | None:
    """Return a project's wall fitted out; None where it has neither wall nor holders.

    Raises :class:`~nesting.errors.CannotBeDone` with every reason where it cannot be.
    """
    if project.wall is None and not project.holder:
        return None
    built, faults = build_all(project)
    reasons = [str(fault) for fault in faults]
    laid: tuple[Row, ...] = ()
    try:
        laid = rows(project)
    except CannotBeDone as error:
        reasons += error.reasons
    runs = tuple(_fitted(project, laid))
    reasons += [_no_piece(project, fitted.run) for fitted in runs if not fitted.splices]
    if reasons:
        raise CannotBeDone(list(dict.fromkeys(reasons)))
    cautions = (*_cautions(project, laid), *(caution for one in built for caution in one.cautions))
    return Fitting(laid, runs, built, cautions)


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
