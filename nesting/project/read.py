"""From a project file (TOML), or the same keys as JSON, to a project; or every fault in it at once."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final, TypeVar

from pydantic import BaseModel, ValidationError

from nesting.errors import BadInput, Fault
from nesting.lengths import Unit, said
from nesting.project.faults import Place, fault, faults_of, unknown_key
from nesting.project.holder_keys import Holder
from nesting.project.model import Board, CleatAsked, Cleats, Head, Offcut, Part, Project, Saw, Sheet
from nesting.project.rules import Draft, broken_rules
from nesting.project.text import Format, parsed, text_of
from nesting.project.wall_keys import Wall

MOST_ENTRIES: Final = 2_000
"""Stocks, parts, cleats and holders in one project, all kinds together."""

_TABLES: Final[Mapping[str, type[BaseModel]]] = {"project": Head, "saw": Saw, "cleats": Cleats, "wall": Wall}
_STOCKS: Final[Mapping[str, type[BaseModel]]] = {"sheet": Sheet, "board": Board, "offcut": Offcut}
_MADE: Final[Mapping[str, type[BaseModel]]] = {"part": Part, "cleat": CleatAsked}
_HUNG: Final[Mapping[str, type[BaseModel]]] = {"holder": Holder}
_LISTS: Final = {**_STOCKS, **_MADE, **_HUNG}
_KNOWN: Final = tuple(Project.model_fields)
_TABLE_OF: Final = {
    key: f"[[{name}]]" if name in _LISTS else f"[{name}]"
    for name, model in reversed(({**_TABLES, **_LISTS}).items())
    for key in model.model_fields
}

M = TypeVar("M", bound=BaseModel)


def read_project(path: Path) -> Project:
    """Return the project in a TOML file, or in a JSON file where its name ends in ``.json``.

    Raises :class:`~nesting.errors.BadInput` with every fault found, for a file that cannot be read too.
    """
    return project_from_text(text_of(path), "json" if path.suffix.lower() == ".json" else "toml")


def project_from_text(text: str, form: Format) -> Project:
    """Return the project in a TOML or JSON text; raises :class:`~nesting.errors.BadInput` with every fault."""
    return project_from_mapping(parsed(text, form))


def project_from_mapping(data: Mapping[str, object]) -> Project:
    """Return the project that the keys of a project file, already parsed, ask for.

    Lengths may be exact fractions here, besides all that a file can say. Raises
    :class:`~nesting.errors.BadInput` with every fault, in the order of the file's keys.

    >>> sheet = {"name": "ply", "length": 96, "width": 48, "thickness": "1/2"}
    >>> part = {"name": "shelf", "length": "24", "width": 8, "thickness": "1/2"}
    >>> keys = {"project": {"name": "Shelf"}, "saw": {"kerf": "1/8"}, "sheet": [sheet], "part": [part]}
    >>> project_from_mapping(keys).saw.kerf
    Fraction(1, 8)
    >>> project_from_mapping({**keys, "saw": {"kerff": "1/8"}})
    Traceback (most recent call last):
    nesting.errors.BadInput: saw.kerff: is not a known key; did you mean kerf?; accepted: kerf, ...
    """
    if not isinstance(data, Mapping):
        raise BadInput([Fault("", "", f"a project is a table of tables, not {said(data)}")])
    faults = [_unknown_at_top(key) for key in data if key not in _KNOWN]
    unit = _unit(data)
    head = _table(Head, data.get("project", {}), ("project",), unit, faults)
    saw = _table(Saw, data.get("saw", {}), ("saw",), unit, faults)
    cleats = _table(Cleats, data.get("cleats", {}), ("cleats",), unit, faults)
    wall = _table(Wall, data["wall"], ("wall",), unit, faults) if "wall" in data else None
    faults += _wanting(data)
    entries = {name: _list(name, data, faults) for name in _LISTS}
    if sum(map(len, entries.values())) > MOST_ENTRIES:
        longest = max(entries, key=lambda name: len(entries[name]))
        faults.append(fault((longest,), "are too many entries", f"at most {MOST_ENTRIES:,} in all lists together"))
        raise BadInput(faults)
    read = {
        (name, at): _table(_LISTS[name], entry, (name, at), unit, faults)
        for name, given in entries.items()
        for at, entry in enumerate(given)
    }
    found = {place: table for place, table in read.items() if table is not None}
    draft = Draft(
        unit=unit,
        saw=saw,
        stocks={place: table for place, table in found.items() if isinstance(table, Sheet | Offcut)},
        whole_stocks=all(place in found for place in read if place[0] in _STOCKS) and _are_lists(data, _STOCKS),
        parts={place: table for place, table in found.items() if isinstance(table, Part)},
        cleats=cleats,
        cleat={place: table for place, table in found.items() if isinstance(table, CleatAsked)},
        wall=wall,
        fitted="wall" in data,
        holders={place: table for place, table in found.items() if isinstance(table, Holder)},
        stock_names=_names(entries, _STOCKS),
        made_names=_names(entries, _MADE),
        holder_names=_names(entries, _HUNG),
    )
    faults += broken_rules(draft)
    if faults:
        raise BadInput(faults)
    lists = {name: tuple(table for place, table in found.items() if place[0] == name) for name in _LISTS}
    return Project.model_validate({"project": head, "saw": saw, "cleats": cleats, "wall": wall, **lists})


def project_to_mapping(project: Project) -> dict[str, Any]:
    """Return a project as the keys of a file, fit for JSON, that :func:`project_from_mapping` reads back as equal.

    Lengths are exact texts (``5 15/32``), prices and angles numbers, every default written out.
    """
    return project.model_dump(mode="json", exclude_none=True, context={"unit": project.unit})


def _unit(data: Mapping[str, object]) -> Unit:
    head = data.get("project")
    return "mm" if isinstance(head, Mapping) and head.get("unit") == "mm" else "in"


def _unknown_at_top(key: object) -> Fault:
    return unknown_key((str(key),), _KNOWN, _TABLE_OF)


def _wanting(data: Mapping[str, object]) -> list[Fault]:
    """Return a fault where there is no stock at all, or nothing to make."""
    faults = []
    if not any(data.get(name) for name in _STOCKS):
        faults.append(
            fault(("sheet",), "there is no stock to cut from", "at least one [[sheet]], [[board]] or [[offcut]]")
        )
    if not any(data.get(name) for name in (*_MADE, *_HUNG)) and "wall" not in data:
        faults.append(
            fault(("part",), "there is nothing to make", "at least one [[part]], [[cleat]] or [[holder]], or a [wall]")
        )
    return faults


def _are_lists(data: Mapping[str, object], names: Mapping[str, object]) -> bool:
    return all(isinstance(data.get(name, []), list | tuple) for name in names)


def _list(name: str, data: Mapping[str, object], faults: list[Fault]) -> list[object]:
    given = data.get(name, [])
    if isinstance(given, list | tuple):
        return list(given)
    faults.append(fault((name,), f"is {said(given)}, not a list of tables", f"[[{name}]] in TOML, a list in JSON"))
    return []


def _table(model: type[M], given: object, place: Place, unit: Unit, faults: list[Fault]) -> M | None:
    """Return one table read, or None with its faults added."""
    if not isinstance(given, Mapping):
        faults.append(fault(place, f"is {said(given)}, not a table", "a table of " + ", ".join(model.model_fields)))
        return None
    before = len(faults)
    faults += [
        unknown_key((*place, str(key)), model.model_fields, _TABLE_OF) for key in given if key not in model.model_fields
    ]
    try:
        table = model.model_validate(
            {k: v for k, v in given.items() if k in model.model_fields}, context={"unit": unit}
        )
    except ValidationError as error:
        faults += faults_of(error, model, place, _TABLE_OF)
        return None
    return table if len(faults) == before else None


def _names(entries: Mapping[str, list[object]], kinds: Mapping[str, object]) -> dict[Place, str]:
    """Return every name given, also those of tables that are refused for something else."""
    return {
        (kind, at, "name"): entry["name"]
        for kind in kinds
        for at, entry in enumerate(entries[kind])
        if isinstance(entry, Mapping) and isinstance(entry.get("name"), str)
    }
