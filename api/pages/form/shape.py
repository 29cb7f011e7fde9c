"""The fields of a form from the model of a project file: kinds, choices, descriptions, defaults stand there alone."""

from __future__ import annotations

import functools
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from types import NoneType, UnionType
from typing import Any, Final, Literal, TypeAlias, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo
from pydantic.json_schema import WithJsonSchema

from nesting.project.fields import Usual
from nesting.project.model import Project

Kind = Literal["length", "lengths", "number", "whole", "choice", "bool", "text"]
_QUOTED: Final = re.compile(r'^"([^"]*)"$')
_DEFAULT: Final = re.compile(r"\s*Default: (.*?)\.?$", re.DOTALL)
_BOTH: Final = re.compile(r"([0-9 /.]+) in, or ([0-9 /.]+) mm in a millimetre document")
_REQUIRED: Final = " Required."


@dataclass(frozen=True, slots=True)
class Leaf:
    """One field. ``usual``: what it is where it is left blank, in an inch and in a millimetre document."""

    key: str
    kind: Kind
    required: bool
    about: str
    usual: tuple[str, str]
    choices: tuple[str, ...] = ()
    suggested: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Group:
    """A table with fields of its own; left out where all of them are blank."""

    key: str
    about: str
    inner: Mapping[str, Shape] = field(hash=False)


@dataclass(frozen=True, slots=True)
class Rows:
    """A list of tables."""

    key: str
    about: str
    inner: Mapping[str, Shape] = field(hash=False)


Shape: TypeAlias = "Leaf | Group | Rows"


@functools.cache
def project_shape() -> Mapping[str, Shape]:
    """Return the fields of the whole form, by the keys of a project file.

    >>> kerf = project_shape()["saw"].inner["kerf"]
    >>> kerf.kind, kerf.required, kerf.about
    ('length', True, 'Width the blade removes in a square cut; 0 is legal.')
    >>> project_shape()["saw"].inner["rip_capacity"].usual
    ('30', '760')
    """
    return _shapes(Project)


def leaves(shapes: Mapping[str, Shape], above: str = "") -> Iterator[tuple[str, Leaf]]:
    """Yield every field with its place; ``*`` stands for the number of a row.

    >>> [place for place, _ in leaves(project_shape()["wall"].inner["keepout"].inner)]
    ['name', 'x', 'y', 'width', 'height', 'clearance']
    """
    for key, shape in shapes.items():
        if isinstance(shape, Leaf):
            yield above + key, shape
        else:
            yield from leaves(shape.inner, f"{above}{key}." + ("*." if isinstance(shape, Rows) else ""))


def _shapes(model: type[BaseModel]) -> Mapping[str, Shape]:
    return {key: _shape(key, info) for key, info in model.model_fields.items()}


def _shape(key: str, info: FieldInfo) -> Shape:
    description = info.description or ""
    about, default = _parted(description)
    kind = _without_none(info.annotation)
    if isinstance(kind, type) and issubclass(kind, BaseModel):
        return Group(key, about, _shapes(kind))
    inner = get_args(kind)
    if get_origin(kind) is tuple and isinstance(inner[0], type) and issubclass(inner[0], BaseModel):
        return Rows(key, about, _shapes(inner[0]))
    usual = (info.default.inch, info.default.mm) if isinstance(info.default, Usual) else _by_unit(default)
    required = info.is_required()
    if get_origin(kind) is tuple:
        return Leaf(key, "lengths", required, about, usual)
    if get_origin(kind) is Literal:
        return Leaf(key, "choice", required, about, usual, tuple(map(str, inner)))
    if kind is bool:
        return Leaf(key, "bool", required, about, usual)
    schema = _schema(info)
    simple: dict[str | None, Kind] = {"number": "number", "integer": "whole", "string": "text"}
    suggested = tuple(schema.get("examples", ()))
    return Leaf(key, simple.get(schema.get("type"), "length"), required, about, usual, suggested=suggested)


def _schema(info: FieldInfo) -> dict[str, Any]:
    for part in info.metadata:
        if isinstance(part, WithJsonSchema):
            return dict(part.json_schema or {})
    assert info.annotation not in (Fraction, str)  # noqa: S101  (every value of the model says what it is)
    return {}


def _without_none(annotation: Any) -> Any:
    if get_origin(annotation) in (Union, UnionType):
        return next(part for part in get_args(annotation) if part is not NoneType)
    return annotation


def _by_unit(default: str) -> tuple[str, str]:
    """Return a default in words for an inch and for a millimetre document.

    >>> _by_unit("16 in, or 400 mm in a millimetre document"), _by_unit("anywhere")
    (('16', '400'), ('anywhere', 'anywhere'))
    """
    found = _BOTH.fullmatch(default)
    return (found[1], found[2]) if found else (default, default)


def _parted(description: str) -> tuple[str, str]:
    """Return a description without its last words on the default, and those.

    >>> _parted("Price of one; 0: already owned. Default: 0.")
    ('Price of one; 0: already owned.', '0')
    >>> _parted('Style. Default: "shelf".'), _parted('Wood. Default: "unknown", as the weakest, spruce.')[1]
    (('Style.', 'shelf'), '"unknown", as the weakest, spruce')
    """
    text = description.removesuffix(_REQUIRED)
    found = _DEFAULT.search(text)
    if found is None:
        return text, ""
    default = found[1].strip()
    return text[: found.start()], _QUOTED.sub(r"\1", default)
