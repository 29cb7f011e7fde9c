"""The rack of each owner: its pieces, and the changes that can be taken back.

What a change may do is judged in ``nesting.rack``; here it is kept, as a whole or not at all. Whoever changes a rack
holds it first, so that two changes at once are made one after the other.
"""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TypeVar

from sqlalchemy import Connection, delete, func, insert, select, update
from sqlalchemy.dialects import postgresql, sqlite

from api.store.ids import fresh_id
from api.store.tables import rack_changes, rack_pieces, racks
from nesting.errors import BadInput, Bug, Fault
from nesting.project.faults import Place
from nesting.rack.piece import RackPiece, piece_from, piece_mapping
from nesting.rack.rack import MOST_REMEMBERED, USUAL, Change, Numbers, Smallest, applied, in_order
from nesting.rack.rack_file import change_from, change_mapping, smallest_from

T = TypeVar("T", Change, Smallest)


@dataclass(frozen=True, slots=True)
class ChangeRow:
    """A change as it is kept."""

    id: str
    change: Change
    created: float


def pieces(connection: Connection, owner: str) -> dict[str, RackPiece]:
    """Return somebody's pieces by label, in order."""
    query = select(rack_pieces.c.document).where(rack_pieces.c.owner == owner)
    found = (piece_from(json.loads(document)) for document in connection.execute(query).scalars())
    return {piece.label: piece for piece in sorted(found, key=lambda piece: in_order(piece.label))}


def find(connection: Connection, owner: str, label: str) -> RackPiece | None:
    """Return one piece; None where there is none of that label."""
    query = select(rack_pieces.c.document).where(rack_pieces.c.owner == owner, rack_pieces.c.label == label)
    document = connection.execute(query).scalar()
    return None if document is None else piece_from(json.loads(document))


def count(connection: Connection, owner: str | None = None) -> int:
    """Return how many pieces there are, of one owner or of all."""
    query = select(func.count()).select_from(rack_pieces)
    if owner is not None:
        query = query.where(rack_pieces.c.owner == owner)
    return int(connection.execute(query).scalar_one())


def smallest(connection: Connection, owner: str) -> Smallest:
    """Return the smallest leftover that somebody keeps."""
    document = connection.execute(select(racks.c.smallest).where(racks.c.owner == owner)).scalar()
    return USUAL if document is None else _read(str(document), smallest_from)


def changes(connection: Connection, owner: str, most: int = MOST_REMEMBERED) -> list[ChangeRow]:
    """Return somebody's changes that can be taken back, the latest first."""
    query = select(rack_changes).where(rack_changes.c.owner == owner).order_by(rack_changes.c.id.desc()).limit(most)
    return [ChangeRow(row.id, _read(row.document, change_from), row.created) for row in connection.execute(query)]


# -- changing it


def hold(connection: Connection, owner: str) -> Numbers:
    """Let nobody else change somebody's rack until this transaction ends; return what gives fresh labels.

    PostgreSQL locks the rack's row; SQLite has one writer at a time and needs no lock.
    """
    statement = postgresql.insert if connection.dialect.name == "postgresql" else sqlite.insert
    fresh = {"owner": owner, "smallest": json.dumps(_plain(USUAL)), "numbered": 0}
    connection.execute(statement(racks).on_conflict_do_nothing(), fresh)
    query = select(racks.c.numbered).where(racks.c.owner == owner).with_for_update()
    numbered = int(connection.execute(query).scalar_one())
    labels = connection.execute(select(rack_pieces.c.label).where(rack_pieces.c.owner == owner)).scalars()
    return Numbers(numbered, map(str, labels))


def keep(connection: Connection, owner: str, change: Change, numbers: Numbers) -> None:
    """Make a change and remember it; raises :class:`~nesting.errors.BadInput` with every hindrance."""
    _apply(connection, owner, change)
    values = {"document": json.dumps(change_mapping(change)), "plan": change.plan, "created": time.time()}
    connection.execute(insert(rack_changes).values(id=_after(connection, owner), owner=owner, **values))
    connection.execute(update(racks).where(racks.c.owner == owner).values(numbered=numbers.last))
    query = select(rack_changes.c.id).where(rack_changes.c.owner == owner).order_by(rack_changes.c.id.desc())
    for old in connection.execute(query.offset(MOST_REMEMBERED)).scalars().all():
        connection.execute(delete(rack_changes).where(rack_changes.c.id == old))


def undo(connection: Connection, owner: str) -> Change:
    """Take the latest change back and return it; raises :class:`~nesting.errors.BadInput` where there is none."""
    latest = changes(connection, owner, 1)
    if not latest:
        raise BadInput([Fault("", "", "there is nothing to take back")])
    return _take_back(connection, owner, latest[0])


def without(connection: Connection, owner: str, plan: str) -> None:
    """Take back what ticking off a plan did, where it is remembered; raises ``BadInput`` where it cannot be."""
    query = select(rack_changes).where(rack_changes.c.owner == owner, rack_changes.c.plan == plan)
    row = connection.execute(query.order_by(rack_changes.c.id.desc()).limit(1)).first()
    if row is not None:
        _take_back(connection, owner, ChangeRow(row.id, _read(row.document, change_from), row.created))


def set_smallest(connection: Connection, owner: str, size: Smallest) -> None:
    """Set the smallest leftover that somebody keeps; the rack is held."""
    connection.execute(update(racks).where(racks.c.owner == owner).values(smallest=json.dumps(_plain(size))))


def remove(connection: Connection, owner: str) -> None:
    """Forget somebody's rack and all its changes; the row that others hold goes first, so that they are waited for."""
    for table in (racks, rack_changes, rack_pieces):
        connection.execute(delete(table).where(table.c.owner == owner))


def _take_back(connection: Connection, owner: str, row: ChangeRow) -> Change:
    _apply(connection, owner, row.change.back)
    connection.execute(delete(rack_changes).where(rack_changes.c.id == row.id))
    return row.change


def _apply(connection: Connection, owner: str, change: Change) -> None:
    applied(pieces(connection, owner).values(), change)
    _drop(connection, owner, (piece.label for piece in change.taken))
    if change.given:
        now = time.time()
        connection.execute(
            insert(rack_pieces),
            [
                {"owner": owner, "label": piece.label, "document": json.dumps(piece_mapping(piece)), "created": now}
                for piece in change.given
            ],
        )


def _drop(connection: Connection, owner: str, labels: Iterable[str]) -> None:
    for label in labels:
        connection.execute(delete(rack_pieces).where(rack_pieces.c.owner == owner, rack_pieces.c.label == label))


def _after(connection: Connection, owner: str) -> str:
    """Return an id that comes after that of the latest change, also within one millisecond."""
    query = select(func.max(rack_changes.c.id)).where(rack_changes.c.owner == owner)
    latest = connection.execute(query).scalar() or ""
    while (fresh := fresh_id()) <= latest:
        time.sleep(0.001)
    return fresh


def _plain(size: Smallest) -> dict[str, object]:
    return size.model_dump(mode="json", context={"unit": size.unit})


def _read(document: str, reader: Callable[[object, Place, list[Fault]], T]) -> T:
    """Read what is kept; raises :class:`Bug` where that cannot be read, for it was checked before."""
    faults: list[Fault] = []
    found = reader(json.loads(document), (), faults)
    if faults:
        raise Bug(f"what is kept of a rack cannot be read: {faults[0]}")
    return found
