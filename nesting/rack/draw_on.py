"""A job draws on the rack: its pieces become leftovers of the project.

In a project a piece of the rack is an ``[[offcut]]`` named after its label; so the plan alone tells what it used.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from fractions import Fraction
from pathlib import Path
from typing import Any, Final

from nesting.lengths import Unit
from nesting.project.model import Project
from nesting.project.read import project_from_mapping
from nesting.project.text import parsed, text_of
from nesting.rack.piece import RackPiece, exactly_in, size_in

PREFIX: Final = "rack "
"""Before the label, in the name of the leftover that a piece becomes."""


def read_project_on(path: Path, pieces: Iterable[RackPiece]) -> Project:
    """Return the project in a file, drawing on the rack; raises :class:`~nesting.errors.BadInput` with every fault."""
    return project_on(parsed(text_of(path), "json" if path.suffix.lower() == ".json" else "toml"), pieces)


def project_on(data: Mapping[str, Any], pieces: Iterable[RackPiece]) -> Project:
    """Return the project that keys already parsed ask for, with every piece of the rack whose thickness can serve.

    Raises :class:`~nesting.errors.BadInput` with every fault; a project may rely on the rack alone.

    >>> from nesting.rack.piece import piece_from
    >>> part = {"name": "shelf", "length": "24", "width": 8, "thickness": "1/2"}
    >>> keys = {"project": {"name": "Shelf"}, "saw": {"kerf": "1/8"}, "part": [part]}
    >>> rack = [piece_from({"label": "R-3", "length": 31, "width": 9, "thickness": "1/2"}),
    ...         piece_from({"label": "R-4", "length": 31, "width": 9, "thickness": "3/4"})]
    >>> [offcut.name for offcut in project_on(keys, rack).offcut]
    ['rack R-3']
    """
    own = data.get("offcut", []) if isinstance(data, Mapping) else None
    if not isinstance(own, list | tuple):
        return project_from_mapping(data)
    head = data.get("project")
    unit: Unit = "mm" if isinstance(head, Mapping) and head.get("unit") == "mm" else "in"
    project = project_from_mapping({**data, "offcut": [*own, *(_offcut(piece, unit) for piece in pieces)]})
    asked = _thicknesses(project)
    kept = tuple(
        offcut
        for at, offcut in enumerate(project.offcut)
        if at < len(own) or any(project.suits(thickness, offcut) for thickness in asked)
    )
    return project.model_copy(update={"offcut": kept})


def _offcut(piece: RackPiece, unit: Unit) -> dict[str, object]:
    return {
        "name": PREFIX + piece.label,
        "length": size_in(piece.length, piece.unit, unit),
        "width": size_in(piece.width, piece.unit, unit),
        "thickness": exactly_in(piece.thickness, piece.unit, unit),
        "nominal": exactly_in(piece.nominal, piece.unit, unit),
        "grain": piece.grain,
    }


def _thicknesses(project: Project) -> set[Fraction]:
    asked = {part.thickness for part in project.part}
    asked |= {holder.thickness for holder in project.holder if holder.thickness is not None}
    if project.cleat or project.wall is not None or project.holder:
        asked.add(project.cleats.thickness)
    return asked
