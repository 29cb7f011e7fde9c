"""Plans of nothing but a wall, fitted without any solver, for drawings."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from nesting.document_wall import wall_document
from nesting.layout import Layout, Node
from nesting.plan import Plan, SetupsDocument
from nesting.plan_wall import HungHolder
from nesting.project.read import project_from_mapping, project_to_mapping
from nesting.wall.fitting import fit_out

F = Fraction


def wall_plan(keys: dict[str, Any], splice: int = 0, hung: Sequence[dict[str, Any]] = ()) -> Plan:
    """Return a plan with the wall of a project; ``splice`` chooses among the splices of each run."""
    project = project_from_mapping(keys)
    fitting = fit_out(project)
    assert fitting is not None
    nodes = []
    for fitted in fitting.runs:
        pieces = fitted.splices[min(splice, len(fitted.splices) - 1)]
        named = zip(fitted.piece_names, pieces, strict=False)
        nodes += [Node(name, F(0), F(0), length, F(3), "part", part=name) for name, length in named]
    tree = Node("A1", F(0), F(0), F(96), F(48), "cut", pieces=tuple(nodes))
    wall = wall_document(project, fitting, (Layout("A1", "ply", F(96), F(48), F(23, 32), tree),))
    holders = tuple(HungHolder.model_validate(one) for one in hung)
    return Plan(
        schema="cleatwright/plan/1",
        unit=project.unit,
        project=project.name,
        cost=0,
        cost_bound=0,
        proven=True,
        buy=(),
        layouts=(),
        parts=(),
        steps=(),
        setups=SetupsDocument(fence=0, stop=0, guide=0, tilt=0, total=0, bound=0, proven=True),
        wall=wall.model_copy(update={"holders": holders}),
        job=project_to_mapping(project),
    )


def holder(name: str, x: float, y: float, size: tuple[float, float], row: int = 1) -> dict[str, Any]:
    """Return a holder as it hangs in a plan."""
    return {"holder": name, "x": x, "row": row, "y": y, "width": size[0], "height": size[1], "foot": "next cleat"}
