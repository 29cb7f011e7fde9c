"""What was typed, as it was typed: from a form's fields, from a project's keys, and to the keys of a project.

A value typed is a text, a table a mapping of them, a list of tables a list. Nothing is dropped, mended or judged here.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final, TypeAlias

from api.pages.form.shape import Group, Leaf, Rows, Shape, project_shape
from nesting.project.faults import Place

Typed: TypeAlias = "dict[str, Any]"
"""Keys of a project file to texts, tables and lists of tables."""
MOST_ROWS: Final = 5_000
_NUMBER: Final = re.compile(r"-?[0-9]{1,30}(\.[0-9]{1,30})?")
_WHOLE: Final = re.compile(r"-?[0-9]{1,30}")
_ROW: Final = re.compile(r"[0-9]{1,5}")
_BETWEEN: Final = re.compile(r"\s*(?:;|\n|,(?=\s|$))\s*")
YES, NO = "yes", "no"


def from_fields(fields: Iterable[tuple[str, str]]) -> Typed:
    """Return what a form's fields hold, by names such as ``sheet.1.width``; names that are no field are passed over.

    Rows are taken in the order of their numbers, whatever numbers are left out.

    >>> from_fields([("sheet.4.width", "48"), ("saw.kerf", " 1/8"), ("sheet.2.width", ""), ("token", "x")])["sheet"]
    [{'width': ''}, {'width': '48'}]
    """
    tree: dict[str, Any] = {}
    for name, value in fields:
        _put(tree, project_shape(), name.split("."), value)
    return _settled(tree, project_shape())


def to_fields(typed: Typed) -> Iterator[tuple[str, str]]:
    """Yield the names and values of a form that holds this."""
    yield from _fields(typed, "")


def from_mapping(data: Mapping[str, Any]) -> tuple[Typed, bool]:
    """Return a project's keys as they would be typed, and whether the form has a place for all of them.

    >>> from_mapping({"saw": {"kerf": Decimal("0.125")}, "sheet": [{"grain": False}]})
    ({'saw': {'kerf': '0.125'}, 'sheet': [{'grain': 'no'}]}, True)
    >>> from_mapping({"saw": {"kerff": 1}})[1], from_mapping({"sheet": 5})[1]
    (False, False)
    """
    misfits: list[str] = []
    return _read(data, project_shape(), misfits), not misfits


@dataclass(frozen=True, slots=True)
class Keys:
    """The keys of a project, blank fields and rows left out; ``rows`` maps where a row went to where it was typed."""

    data: dict[str, Any]
    rows: Mapping[Place, Place]

    def typed_place(self, place: Place) -> Place:
        """Return where the value of a place in ``data`` was typed."""
        known: Place = ()
        for at, step in enumerate(place):
            known = self.rows.get(place[: at + 1], (*known, step))
        return known


def to_keys(typed: Typed) -> Keys:
    """Return the keys of the project that was typed.

    >>> keys = to_keys({"saw": {"kerf": " 1/8 "}, "sheet": [{"name": " "}, {"name": "ply", "price": "86.50"}]})
    >>> keys.data
    {'saw': {'kerf': '1/8'}, 'sheet': [{'name': 'ply', 'price': Decimal('86.50')}]}
    >>> keys.typed_place(("sheet", 0, "price"))
    ('sheet', 1, 'price')
    """
    rows: dict[Place, Place] = {}
    data = _table(typed, project_shape(), (), (), rows)
    return Keys(data, rows)


def lengths_in(text: str) -> list[str]:
    """Return the lengths of a list typed on one line; a comma within a number stays there, to be told.

    >>> lengths_in("8, 24 1/4; 40"), lengths_in("3,5")
    (['8', '24 1/4', '40'], ['3,5'])
    """
    return [one for one in _BETWEEN.split(text.strip()) if one]


def blank(typed: Any) -> bool:
    """Whether nothing was typed there.

    >>> blank({"a": " ", "b": [{}]}), blank({"a": "0"})
    (True, False)
    """
    if isinstance(typed, str):
        return not typed.strip()
    return all(blank(one) for one in (typed.values() if isinstance(typed, Mapping) else typed))


def at(typed: Any, place: Iterable[str | int]) -> Any:
    """Return what was typed at a place; an empty text where there is nothing."""
    for step in place:
        there = step in typed if isinstance(typed, Mapping) else isinstance(step, int) and step < len(typed)
        if isinstance(typed, str) or not there:
            return ""
        typed = typed[step]
    return typed


def with_row(typed: Typed, place: str) -> Typed:
    """Return the same with a blank row more in the list at a place such as ``wall.keepout``; as it is elsewhere."""
    return _changed(typed, place.split("."), project_shape(), lambda rows: [*rows, {}])


def without_row(typed: Typed, place: str) -> Typed:
    """Return the same without the row at a place such as ``sheet.1``; as it is where there is none."""
    where, _, number = place.rpartition(".")
    if not _ROW.fullmatch(number):
        return typed
    gone = int(number)
    return _changed(
        typed, where.split("."), project_shape(), lambda rows: [row for n, row in enumerate(rows) if n != gone]
    )


# -- fields


def _put(tree: dict[Any, Any], shapes: Mapping[str, Shape], steps: list[str], value: str) -> None:
    """Put a value where its name leads; a name that leads nowhere leaves no trace."""
    way: list[str | int] = []
    rest = list(reversed(steps))
    shape: Shape | None = None
    while rest:
        shape = shapes.get(rest.pop())
        if shape is None or isinstance(shape, Leaf):
            break
        way.append(shape.key)
        if isinstance(shape, Rows):
            if not rest or not _ROW.fullmatch(rest[-1]):
                return
            way.append(int(rest.pop()))
        shapes = shape.inner
    if rest or not isinstance(shape, Leaf):
        return
    for step in way:
        if isinstance(step, int) and step not in tree and len(tree) >= MOST_ROWS:
            return
        tree = tree.setdefault(step, {})
    tree[shape.key] = value


def _settled(tree: Mapping[Any, Any], shapes: Mapping[str, Shape]) -> dict[str, Any]:
    made: dict[str, Any] = {}
    for key, value in tree.items():
        shape = shapes[key]
        if isinstance(shape, Rows):
            made[key] = [_settled(value[number], shape.inner) for number in sorted(value)]
        else:
            made[key] = _settled(value, shape.inner) if isinstance(shape, Group) else value
    return made


def _fields(typed: Any, name: str) -> Iterator[tuple[str, str]]:
    if isinstance(typed, str):
        yield name, typed
        return
    inner = typed.items() if isinstance(typed, Mapping) else enumerate(typed)
    for key, value in inner:
        yield from _fields(value, f"{name}.{key}" if name else str(key))


# -- from keys


def _read(data: Mapping[str, Any], shapes: Mapping[str, Shape], misfits: list[str]) -> dict[str, Any]:
    made: dict[str, Any] = {}
    for key, value in data.items():
        shape = shapes.get(key)
        if isinstance(shape, Leaf) and value is not None and not isinstance(value, Mapping):
            text = _as_typed(shape, value)
            if text is None:
                misfits.append(key)
            else:
                made[key] = text
        elif isinstance(shape, Group) and isinstance(value, Mapping):
            made[key] = _read(value, shape.inner, misfits)
        elif isinstance(shape, Rows) and isinstance(value, list) and all(isinstance(row, Mapping) for row in value):
            made[key] = [_read(row, shape.inner, misfits) for row in value]
        else:
            misfits.append(key)
    return made


def _as_typed(leaf: Leaf, value: object) -> str | None:
    if isinstance(value, list):
        if leaf.kind != "lengths" or any(isinstance(one, list | Mapping) or one is None for one in value):
            return None
        texts = [_as_typed(leaf, one) or "" for one in value]
        return None if any(not text or _BETWEEN.search(text) for text in texts) else ", ".join(texts)
    if isinstance(value, bool):
        return (YES if value else NO) if leaf.kind == "bool" else str(value).lower()
    if isinstance(value, Decimal) and value.is_finite() and abs(value.adjusted()) < 20:
        return f"{value:f}"
    return value if isinstance(value, str) else str(value)[:1_000]


# -- to keys


def _table(
    typed: Mapping[str, Any], shapes: Mapping[str, Shape], there: Place, here: Place, rows: dict[Place, Place]
) -> dict[str, Any]:
    made: dict[str, Any] = {}
    for key, shape in shapes.items():
        value = typed.get(key, "")
        if blank(value):
            continue
        if isinstance(shape, Leaf):
            made[key] = _value(shape, value)
        elif isinstance(shape, Group):
            made[key] = _table(value, shape.inner, (*there, key), (*here, key), rows)
        else:
            made[key] = []
            for number, row in enumerate(value):
                if not blank(row):
                    place, typed_at = (*there, key, len(made[key])), (*here, key, number)
                    rows[place] = typed_at
                    made[key].append(_table(row, shape.inner, place, typed_at, rows))
    return made


def _value(leaf: Leaf, text: str) -> Any:
    plain = text.strip()
    match leaf.kind:
        case "text":
            return text
        case "lengths":
            return lengths_in(plain)
        case "number" if _NUMBER.fullmatch(plain):
            return Decimal(plain)
        case "whole" if _WHOLE.fullmatch(plain):
            return int(plain)
        case "bool" if plain in (YES, NO):
            return plain == YES
        case "choice" if _WHOLE.fullmatch(plain) and all(map(_WHOLE.fullmatch, leaf.choices)):
            return int(plain)
    return plain


# -- rows


def _changed(typed: Typed, steps: list[str], shapes: Mapping[str, Shape], change: Any) -> Typed:
    shape = shapes.get(steps[0])
    if isinstance(shape, Group) and len(steps) > 1:
        before = typed.get(shape.key, {})
        after = _changed(before, steps[1:], shape.inner, change)
        return typed if after == before else typed | {shape.key: after}
    if isinstance(shape, Rows) and len(steps) == 1:
        return typed | {shape.key: change(typed.get(shape.key, []))}
    if isinstance(shape, Rows) and len(steps) > 2 and _ROW.fullmatch(steps[1]):
        inner = shape.inner
        return typed | {
            shape.key: [
                _changed(row, steps[2:], inner, change) if n == int(steps[1]) else row
                for n, row in enumerate(typed.get(shape.key, []))
            ]
        }
    return typed
