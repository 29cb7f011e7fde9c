"""The rack in a file: JSON, read strictly, written whole or not at all, never over one that cannot be read."""

from __future__ import annotations

import contextlib
import json
import os
import secrets
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any, Final, TypeVar

from pydantic import ValidationError

from nesting.errors import BadInput, Fault
from nesting.lengths import said
from nesting.project.faults import Place, fault, faults_of, unknown_key
from nesting.project.text import parsed, text_of
from nesting.rack.piece import RackPiece, piece_mapping, read_piece
from nesting.rack.rack import USUAL, Change, Rack, Smallest, applied

SCHEMA: Final = "cleatwright/rack/1"
_KEYS: Final = ("schema", "smallest", "numbered", "pieces", "history")
_CHANGE_KEYS: Final = ("words", "taken", "given", "plan")
_MOST_NUMBERED: Final = 10**9
T = TypeVar("T")


def read_rack(path: Path) -> Rack:
    """Return the rack in a file, an empty one where there is none yet; raises ``BadInput`` with every fault in it."""
    if not os.path.lexists(path):
        return Rack()
    return rack_from_text(text_of(path))


def change_rack(path: Path, act: Callable[[Rack], tuple[Rack, T]]) -> T:
    """Read the rack in a file, let ``act`` change it and write it back in one go, alone with the file.

    Returns what ``act`` returns beside the rack. Raises :class:`~nesting.errors.BadInput` where the file cannot be
    read or ``act`` refuses, and ``OSError`` where the disk does; the file is then as it was.
    """
    path = path.resolve()
    if not path.parent.is_dir():
        raise BadInput([Fault(str(path), "", "cannot be written: its folder is not there", "a path in a folder")])
    with _alone(path):
        rack, told = act(read_rack(path))
        _write(path, rack_to_text(rack).encode())
    return told


def rack_to_text(rack: Rack) -> str:
    """Return the text of a rack file.

    >>> rack_from_text(rack_to_text(Rack())) == Rack()
    True
    """
    smallest = rack.smallest.model_dump(mode="json", context={"unit": rack.smallest.unit})
    document = {
        "schema": SCHEMA,
        "smallest": smallest,
        "numbered": rack.numbered,
        "pieces": [piece_mapping(piece) for piece in rack.pieces],
        "history": [change_mapping(change) for change in rack.history],
    }
    return json.dumps(document, ensure_ascii=False, indent=1) + "\n"


def rack_from_text(text: str) -> Rack:
    """Return the rack of a rack file's text; raises :class:`~nesting.errors.BadInput` with every fault and place."""
    data = parsed(text, "json")
    if not isinstance(data, Mapping):
        raise BadInput([Fault("", "", f"a rack is an object, not {said(data)}", ", ".join(_KEYS))])
    faults = [unknown_key((str(key),), _KEYS, {}) for key in data if key not in _KEYS]
    if data.get("schema") != SCHEMA:
        faults.append(fault(("schema",), f"{said(data.get('schema'))} is not the schema of a rack", f'"{SCHEMA}"'))
    pieces = _pieces(data.get("pieces", []), ("pieces",), faults)
    numbered = data.get("numbered", 0)
    if isinstance(numbered, bool) or not isinstance(numbered, int) or not 0 <= numbered <= _MOST_NUMBERED:
        faults.append(fault(("numbered",), f"{said(numbered)} is not a count", f"0 to {_MOST_NUMBERED:,}"))
    smallest = smallest_from(data.get("smallest", {}), ("smallest",), faults)
    history = data.get("history", [])
    if not isinstance(history, list):
        faults.append(fault(("history",), f"is {said(history)}, not a list"))
        history = []
    changes = tuple(change_from(one, ("history", at), faults) for at, one in enumerate(history))
    if not faults:
        try:
            applied((), Change("", given=pieces))
        except BadInput as error:
            faults += error.faults
    if faults:
        raise BadInput(faults)
    return Rack(pieces, smallest, numbered, changes)


def smallest_from(data: object, place: Place, faults: list[Fault]) -> Smallest:
    """Return the smallest size worth keeping that keys describe; the usual one with the faults added."""
    if not isinstance(data, Mapping):
        faults.append(fault(place, f"is {said(data)}, not a table", "a table of unit, length, width"))
        return USUAL
    unit = "mm" if data.get("unit") == "mm" else "in"
    try:
        return Smallest.model_validate(dict(data), context={"unit": unit})
    except ValidationError as error:
        faults += faults_of(error, Smallest, place, {})
        return USUAL


def change_mapping(change: Change) -> dict[str, Any]:
    """Return a change as the keys that :func:`change_from` reads back as equal."""
    return {
        "words": change.words, "taken": [piece_mapping(piece) for piece in change.taken],
        "given": [piece_mapping(piece) for piece in change.given], "plan": change.plan,
    }  # fmt: skip


def change_from(data: object, place: Place, faults: list[Fault]) -> Change:
    """Return the change that keys describe, its faults added."""
    if not isinstance(data, Mapping):
        faults.append(fault(place, f"is {said(data)}, not a table", "a table of " + ", ".join(_CHANGE_KEYS)))
        return Change("")
    faults += [unknown_key((*place, str(key)), _CHANGE_KEYS, {}) for key in data if key not in _CHANGE_KEYS]
    words, plan = (data.get(key, "") for key in ("words", "plan"))
    for key, value in (("words", words), ("plan", plan)):
        if not isinstance(value, str):
            faults.append(fault((*place, key), f"{said(value)} is not a text"))
    taken, given = (_pieces(data.get(key, []), (*place, key), faults) for key in ("taken", "given"))
    return Change(str(words), taken, given, str(plan))


def _pieces(data: object, place: Place, faults: list[Fault]) -> tuple[RackPiece, ...]:
    if not isinstance(data, list):
        faults.append(fault(place, f"is {said(data)}, not a list"))
        return ()
    read = (read_piece(one, (*place, at), faults) for at, one in enumerate(data))
    return tuple(piece for piece in read if piece is not None)


@contextlib.contextmanager
def _alone(path: Path) -> Iterator[None]:
    """Be the only one who changes racks in this folder; who comes second waits."""
    try:
        import fcntl
    except ImportError:  # no POSIX system: nothing is locked there
        yield
        return
    handle = os.open(path.parent, os.O_RDONLY)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX)
        yield
    finally:
        os.close(handle)


def _write(path: Path, content: bytes) -> None:
    draft = path.with_name(f".{path.name}.{secrets.token_hex(8)}")
    try:
        with draft.open("xb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        if path.exists():
            draft.chmod(path.stat().st_mode & 0o777)
        draft.replace(path)
    except OSError as error:
        raise OSError(error.errno, error.strerror or "cannot be written", str(path)) from error
    finally:
        draft.unlink(missing_ok=True)
