"""A wall before anything is cut: rows with the fewest joints, holders where first fit hangs them; no search.

It is for a drawing that follows somebody's typing. The plan may place joints and holders otherwise.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from nesting.document_wall import wall_with
from nesting.errors import CannotBeDone
from nesting.plan_wall import WallDocument
from nesting.project.model import Project
from nesting.wall.fitting import Fitting, fit_out
from nesting.wall.naming import HungPiece
from nesting.wall.rows import rows

MOST_COPIES: Final = 150
MOST_PLACES: Final = 1_000
"""More copies of holders, or more holders times rows, are not hung in a sketch: it would take seconds."""


@dataclass(frozen=True, slots=True)
class Sketch:
    """A wall as it may come to look; ``wall`` is None where it takes no cleats, ``reasons`` say what cannot be done.

    ``unhung``: the holders are too many to be hung in a sketch.
    """

    wall: WallDocument | None
    reasons: tuple[str, ...]
    unhung: bool = False


def sketch(project: Project) -> Sketch:
    """Return a project's wall without a search; where holders make it impossible, the wall without them.

    Raises ``ValueError`` where the project has no wall.

    >>> from nesting.project.read import project_from_mapping
    >>> sheet = {"name": "ply", "length": 96, "width": 48, "thickness": "23/32"}
    >>> wall = {"width": 48, "height": 18, "studs": {"first": 8}, "overhang": 4}
    >>> keys = {"project": {"name": "Wall"}, "saw": {"kerf": "1/8"}, "sheet": [sheet], "wall": wall}
    >>> made = sketch(project_from_mapping(keys)).wall
    >>> [(piece.part, piece.x, piece.length) for row in made.rows for piece in row.pieces]
    [('row 1 a', 4.0, 40.0), ('row 2 a', 4.0, 40.0), ('row 3 a', 4.0, 40.0)]
    """
    if project.wall is None:
        raise ValueError("the project has no wall")
    bare = project.model_copy(update={"holder": ()})
    unhung = False
    try:
        high = len(rows(project))
        unhung = (
            sum(holder.quantity for holder in project.holder) > MOST_COPIES or high * len(project.holder) > MOST_PLACES
        )
        return Sketch(_drawn(bare if unhung else project), (), unhung)
    except CannotBeDone as error:
        reasons = error.reasons
    if not project.holder:
        return Sketch(None, reasons)
    try:
        return Sketch(_drawn(bare), reasons, unhung)
    except CannotBeDone:
        return Sketch(None, reasons)


def _drawn(project: Project) -> WallDocument | None:
    fitting = fit_out(project, 0.0)
    return None if fitting is None else wall_with(project, fitting, tuple(_pieces(fitting)))


def _pieces(fitting: Fitting) -> Iterator[HungPiece]:
    """Yield the pieces of each run as its first splice, the one with the fewest joints, cuts it."""
    for fitted in fitting.runs:
        x = fitted.run.x
        for length, name in zip(fitted.splices[0], fitted.piece_names, strict=False):
            yield HungPiece(fitted.run.row, x, length, name)
            x += length
