"""What somebody keeps here, as the start page lists it: projects, the latest changed first, each with its plans."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from sqlalchemy import Connection

from api.store import plans, projects
from api.store.plans import PlanRow
from api.store.projects import ProjectRow
from nesting.money import money
from nesting.paper.words import shown

MOST_PROJECTS: Final = 50
MOST_PLANS: Final = 4
"""Plans told of one project, the latest first."""


@dataclass(frozen=True, slots=True)
class KeptPlan:
    """One plan or comparison of a project."""

    address: str
    words: str


@dataclass(frozen=True, slots=True)
class Kept:
    """One project."""

    address: str
    name: str
    plans: tuple[KeptPlan, ...]
    more: int


def kept(connection: Connection, owner: str) -> tuple[Kept, ...]:
    """Return what somebody keeps."""
    rows = projects.latest(connection, owner, MOST_PROJECTS)
    return sorted_out(rows, plans.of_projects(connection, [row.id for row in rows]))


def sorted_out(rows: Iterable[ProjectRow], made: Iterable[PlanRow]) -> tuple[Kept, ...]:
    """Return projects with their plans, the latest of each first."""
    by_project: dict[str, list[PlanRow]] = {}
    for plan in sorted(made, key=lambda plan: plan.id, reverse=True):
        by_project.setdefault(plan.project, []).append(plan)
    return tuple(
        Kept(
            f"/projects/{row.id}",
            shown(row.name, 120) or "A project without a name",
            tuple(told(plan, row) for plan in by_project.get(row.id, [])[:MOST_PLANS]),
            max(0, len(by_project.get(row.id, [])) - MOST_PLANS),
        )
        for row in rows
    )


def told(plan: PlanRow, project: ProjectRow) -> KeptPlan:
    """Return one plan or comparison of a project, and how far it is."""
    comparison = plan.kind == plans.COMPARISON
    what = "Comparison" if comparison else "Plan" if plan.replaces is None else "Plan of what is left"
    state = {
        plans.QUEUED: "waits its turn",
        plans.RUNNING: "is being looked for",
        plans.DONE: "side by side" if comparison else f"for {money(plan.cost or 0.0)}",
        plans.FAILED: "cannot be done",
        plans.CANCELLED: "was given up",
    }[plan.state]
    if plan.state == plans.DONE and plan.proven:
        state += ", proven cheapest"
    older = ", of the project as it was before" if plan.version < project.version else ""
    return KeptPlan(f"/{'compare' if comparison else 'plans'}/{plan.id}", f"{what} {state}{older}")
