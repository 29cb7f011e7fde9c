"""Writing down what a wall carries: the load table, what was assumed of the studs, what is left out."""

from __future__ import annotations

from dataclasses import asdict

from nesting.plan_load import LoadDocument, LoadRowDocument
from nesting.project.model import Project
from nesting.wall.load import Loads
from nesting.wall.load_cautions import NOT_A_RATING
from nesting.wall.load_gather import wall_facts


def load_document(project: Project, carried: Loads) -> LoadDocument:
    """Return a project's load table as the plan file holds it."""
    rows = tuple(LoadRowDocument(**asdict(row)) for row in carried.rows)
    if project.wall is None:
        return LoadDocument(rows=rows, not_covered=NOT_A_RATING)
    species = wall_facts(project).species
    return LoadDocument(
        rows=rows,
        species=species.name,
        gravity=species.gravity,
        assumed=not species.known,
        not_covered=NOT_A_RATING,
    )
