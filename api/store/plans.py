"""Plans as jobs: the one truth about what waits, runs and is done.

Every change of state is one statement with the state it starts from in its condition, so that two servers, or a
server and a late result of its former self, cannot both succeed; ``attempt`` tells one claim from the next.
A change and the event that tells of it are kept together.
"""

from __future__ import annotations

import json
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from sqlalchemy import ColumnElement, Connection, Row, bindparam, func, insert, select, update

from api.store.events import EventRow, append
from api.store.ids import fresh_id
from api.store.tables import plans

PLAN: Final = "plan"
COMPARISON: Final = "comparison"
QUEUED: Final = "queued"
RUNNING: Final = "running"
DONE: Final = "done"
FAILED: Final = "failed"
CANCELLED: Final = "cancelled"
OVER: Final = (DONE, FAILED, CANCELLED)


@dataclass(frozen=True, slots=True)
class PlanRow:
    """A plan asked for, and what became of it so far."""

    id: str
    project: str
    owner: str
    version: int
    seconds: float
    seed: int
    state: str
    cost: float | None
    cost_bound: float | None
    phase: str | None
    proven: bool | None
    summary: str | None
    problem: str | None
    finish_early: bool
    attempt: int
    deaths: int
    due: float
    server: str | None
    heartbeat: float | None
    created: float
    started: float | None
    finished: float | None
    idempotency_key: str | None
    fingerprint: str | None
    kind: str
    varied: str | None
    replaces: str | None
    record: str | None


_COLUMNS: Final = tuple(plans.c[name] for name in PlanRow.__slots__)
_FIND: Final = select(*_COLUMNS).where(plans.c.id == bindparam("plan"), plans.c.owner == bindparam("whose"))
"""Built once: it is asked most."""


def _row(row: Row[tuple[object, ...]]) -> PlanRow:
    return PlanRow(**row._mapping)


def add(
    connection: Connection,
    *,
    owner: str,
    project: str,
    document: str,
    version: int,
    seconds: float,
    seed: int,
    idempotency_key: str | None = None,
    fingerprint: str | None = None,
    varied: str | None = None,
    replaces: str | None = None,
    record: str | None = None,
) -> tuple[PlanRow, EventRow]:
    """Let a plan wait its turn, or a comparison where ``varied`` (a JSON object) says what is to be varied.

    ``replaces`` is the plan that is made anew, ``record`` the work done on it (a JSON object).
    """
    now = time.time()
    plan_id = fresh_id(now)
    connection.execute(
        insert(plans).values(
            id=plan_id, owner=owner, project=project, document=document, version=version, seconds=seconds, seed=seed,
            state=QUEUED, finish_early=False, attempt=0, deaths=0, due=0.0, created=now,
            idempotency_key=idempotency_key, fingerprint=fingerprint,
            kind=PLAN if varied is None else COMPARISON, varied=varied, replaces=replaces, record=record,
        )
    )  # fmt: skip
    found = connection.execute(select(*_COLUMNS).where(plans.c.id == plan_id)).one()
    return _row(found), append(connection, plan_id, QUEUED, {"state": QUEUED})


def find(connection: Connection, owner: str, plan_id: str) -> PlanRow | None:
    """Return somebody's plan; None where there is none of that id."""
    found = connection.execute(_FIND, {"plan": plan_id, "whose": owner}).first()
    return None if found is None else _row(found)


def document(connection: Connection, plan_id: str) -> str:
    """Return the project of a plan as it was when the plan was asked for."""
    return str(connection.execute(select(plans.c.document).where(plans.c.id == plan_id)).scalar_one())


def deaths(connection: Connection, plan_id: str) -> int:
    """Return how many searches of a plan have died."""
    return int(connection.execute(select(plans.c.deaths).where(plans.c.id == plan_id)).scalar() or 0)


def by_idempotency_key(connection: Connection, owner: str, key: str) -> PlanRow | None:
    """Return the plan that a request with this key made before."""
    query = select(*_COLUMNS).where(plans.c.owner == owner, plans.c.idempotency_key == key)
    found = connection.execute(query).first()
    return None if found is None else _row(found)


def replaced_by(connection: Connection, plan_id: str) -> PlanRow | None:
    """Return the plan that makes another one anew, done or on its way; None where there is none."""
    query = select(*_COLUMNS).where(plans.c.replaces == plan_id, plans.c.state.in_((QUEUED, RUNNING, DONE)))
    found = connection.execute(query.order_by(plans.c.id.desc()).limit(1)).first()
    return None if found is None else _row(found)


def page(connection: Connection, project_id: str, after: str, limit: int) -> list[PlanRow]:
    """Return a project's plans in order of asking, those after an id."""
    query = select(*_COLUMNS).where(plans.c.project == project_id, plans.c.id > after)
    return [_row(row) for row in connection.execute(query.order_by(plans.c.id).limit(limit))]


def of_projects(connection: Connection, project_ids: Sequence[str]) -> list[PlanRow]:
    """Return all plans of some projects, in order of asking."""
    query = select(*_COLUMNS).where(plans.c.project.in_(project_ids)).order_by(plans.c.id)
    return [_row(row) for row in connection.execute(query)]


def ahead(connection: Connection, plan: PlanRow) -> int:
    """Return how many of the same owner's plans wait before this one."""
    query = select(func.count()).where(plans.c.state == QUEUED, plans.c.owner == plan.owner, plans.c.id < plan.id)
    return int(connection.execute(query).scalar_one())


def counts(connection: Connection, owner: str | None = None) -> dict[str, int]:
    """Return how many plans there are in each state, of one owner or of all."""
    query = select(plans.c.state, func.count()).group_by(plans.c.state)
    if owner is not None:
        query = query.where(plans.c.owner == owner)
    return {str(state): int(number) for state, number in connection.execute(query)}


def unfinished(connection: Connection, project_id: str) -> list[str]:
    """Return the ids of a project's plans that wait or run."""
    query = select(plans.c.id).where(plans.c.project == project_id, plans.c.state.in_((QUEUED, RUNNING)))
    return [str(plan_id) for plan_id in connection.execute(query).scalars()]


# -- what the foreman does


def waiting(connection: Connection, now: float) -> list[tuple[str, str]]:
    """Return id and owner of every plan that may be claimed, in order of asking."""
    query = select(plans.c.id, plans.c.owner).where(plans.c.state == QUEUED, plans.c.due <= now)
    return [(str(plan_id), str(owner)) for plan_id, owner in connection.execute(query.order_by(plans.c.id))]


def running_by_owner(connection: Connection) -> dict[str, int]:
    """Return how many plans of each owner run, on whatever server."""
    query = select(plans.c.owner, func.count()).where(plans.c.state == RUNNING).group_by(plans.c.owner)
    return {str(owner): int(number) for owner, number in connection.execute(query)}


def claim(connection: Connection, plan_id: str, server: str) -> tuple[PlanRow, EventRow] | None:
    """Take a waiting plan in hand; None where somebody else was quicker or it is cancelled."""
    now = time.time()
    taken = connection.execute(
        update(plans)
        .where(plans.c.id == plan_id, plans.c.state == QUEUED)
        .values(
            state=RUNNING, server=server, attempt=plans.c.attempt + 1, heartbeat=now, started=now,
            cost=None, cost_bound=None, phase=None, finish_early=False,
        )
    )  # fmt: skip
    if taken.rowcount != 1:
        return None
    row = _row(connection.execute(select(*_COLUMNS).where(plans.c.id == plan_id)).one())
    return row, append(connection, plan_id, RUNNING, {"state": RUNNING, "attempt": row.attempt})


def progress(
    connection: Connection,
    plan_id: str,
    attempt: int,
    cost: float | None,
    bound: float | None,
    phase: str,
    elapsed: float,
) -> EventRow | None:
    """Note how far a search has come; None where it is no longer ours."""
    values = {"cost": cost, "cost_bound": bound, "phase": phase[:200]}
    if not _change(connection, plan_id, attempt, values):
        return None
    return append(connection, plan_id, "progress", {"state": RUNNING, "elapsed": round(elapsed, 2), **values})


def finish(
    connection: Connection, plan_id: str, attempt: int, state: str, values: Mapping[str, Any]
) -> EventRow | None:
    """End a running plan as done or failed; None where it is no longer ours, and then nothing is to be kept."""
    kept = {"state": state, "finished": time.time(), "server": None, **values}
    if not _change(connection, plan_id, attempt, kept):
        return None
    told = {key: values[key] for key in ("cost", "cost_bound", "proven") if key in values}
    if values.get("problem"):
        told["problem"] = json.loads(values["problem"])
    return append(connection, plan_id, state, {"state": state, **told})


def requeue(connection: Connection, plan_id: str, attempt: int, why: str, *, died: bool, due: float) -> EventRow | None:
    """Let a plan wait again whose worker or server is gone; ``died``: counted against the plan."""
    values = {
        "state": QUEUED, "server": None, "heartbeat": None, "due": due, "cost": None, "cost_bound": None,
        "phase": None, "deaths": plans.c.deaths + int(died),
    }  # fmt: skip
    if not _change(connection, plan_id, attempt, values):
        return None
    return append(connection, plan_id, QUEUED, {"state": QUEUED, "reason": why})


def cancel(connection: Connection, plan_id: str) -> EventRow | None:
    """Cancel a plan that waits or runs; None where it is over already."""
    changed = connection.execute(
        update(plans)
        .where(plans.c.id == plan_id, plans.c.state.in_((QUEUED, RUNNING)))
        .values(state=CANCELLED, finished=time.time(), server=None)
    )
    return append(connection, plan_id, CANCELLED, {"state": CANCELLED}) if changed.rowcount == 1 else None


def finish_early(connection: Connection, plan_id: str) -> bool:
    """Ask that a running search end with the best plan it has; False where it does not run."""
    asked = update(plans).where(plans.c.id == plan_id, plans.c.state == RUNNING).values(finish_early=True)
    return connection.execute(asked).rowcount == 1


def beat(connection: Connection, server: str) -> dict[str, tuple[int, bool]]:
    """Say that a server lives; return attempt and wish to finish early of every plan that is its own."""
    mine: ColumnElement[bool] = (plans.c.server == server) & (plans.c.state == RUNNING)
    connection.execute(update(plans).where(mine).values(heartbeat=time.time()))
    rows = connection.execute(select(plans.c.id, plans.c.attempt, plans.c.finish_early).where(mine))
    return {str(plan_id): (int(attempt), bool(early)) for plan_id, attempt, early in rows}


def orphans(connection: Connection, server: str | None, silent_since: float) -> list[tuple[str, int]]:
    """Return id and attempt of running plans whose server fell silent, or is ``server`` in its former life."""
    gone: ColumnElement[bool] = plans.c.heartbeat < silent_since
    if server is not None:
        gone |= plans.c.server == server
    query = select(plans.c.id, plans.c.attempt).where(plans.c.state == RUNNING, gone)
    return [(str(plan_id), int(attempt)) for plan_id, attempt in connection.execute(query)]


def _change(connection: Connection, plan_id: str, attempt: int, values: Mapping[str, Any]) -> bool:
    changed = connection.execute(
        update(plans)
        .where(plans.c.id == plan_id, plans.c.state == RUNNING, plans.c.attempt == attempt)
        .values(**values)
    )
    return changed.rowcount == 1
