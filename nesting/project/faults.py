"""From a value that was refused to a fault in plain words, at a place that a person and a program can find."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Mapping
from typing import Any, Final, TypeAlias, get_args

from pydantic import BaseModel, ValidationError

from nesting.errors import Fault
from nesting.lengths import said
from nesting.project.fields import REFUSED

Place: TypeAlias = tuple[str | int, ...]
"""Keys and positions (counted from 0) from the top of the document: ``("sheet", 1, "width")``."""

_BARE: Final = re.compile(r"[A-Za-z0-9_-]{1,60}")


def path(place: Place) -> str:
    """Return a place as a person would name it, counted from 1; an odd key in quotes.

    >>> path(("sheet", 1, "width")), path(("saw", "my kerf"))
    ('sheet[2].width', "saw.'my kerf'")
    """
    text = ""
    for step in place:
        if isinstance(step, int):
            text += f"[{step + 1}]"
        else:
            text += ("." if text else "") + (step if _BARE.fullmatch(step) else said(step))
    return text


def pointer(place: Place) -> str:
    """Return a place as a JSON pointer (RFC 6901), counted from 0.

    >>> pointer(("sheet", 1, "a/b~c"))
    '/sheet/1/a~1b~0c'
    """
    return "".join("/" + str(step).replace("~", "~0").replace("/", "~1") for step in place)


def fault(place: Place, message: str, accepted: str = "") -> Fault:
    """Return a fault at a place."""
    return Fault(path(place), pointer(place), message, accepted)


def nearest(word: str, known: Iterable[str]) -> str | None:
    """Return the known word that is spelt most like ``word``; None where none is like it.

    The likeness is that of Ratcliff and Metzener (1988), as :mod:`difflib` has it.

    >>> nearest("lenght", ("length", "width")), nearest("colour", ("length", "width"))
    ('length', None)
    """
    return next(iter(difflib.get_close_matches(word[:60].lower(), tuple(known), n=1)), None)


def unknown_key(place: Place, known: Iterable[str], elsewhere: Mapping[str, str]) -> Fault:
    """Return the fault of a key that is none of ``known``; ``elsewhere`` maps keys of other tables to their table."""
    word = str(place[-1])
    known = tuple(known)
    if like := nearest(word, known):
        message = f"is not a known key; did you mean {like}?"
    elif word in elsewhere:
        message = f"is not a known key here; it belongs in {elsewhere[word]}"
    else:
        message = "is not a known key"
    return fault(place, message, ", ".join(known))


def faults_of(error: ValidationError, model: type[BaseModel], top: Place, elsewhere: Mapping[str, str]) -> list[Fault]:
    """Return what a model refused, in plain words, each at its place below ``top``; ``elsewhere`` as above."""
    found = []
    for detail in error.errors(include_url=False):
        if detail["type"] == "default_factory_not_called":  # follows from a key that is refused itself
            continue
        place = top + tuple(detail["loc"])
        if detail["type"] == "missing":
            found.append(fault(place, "is missing", _wanted(_inner(model, detail["loc"][:-1]), str(place[-1]))))
        elif detail["type"] == "extra_forbidden":
            found.append(unknown_key(place, _inner(model, detail["loc"][:-1]).model_fields, elsewhere))
        elif detail["type"] == "model_type":
            keys = ", ".join(_inner(model, detail["loc"]).model_fields)
            found.append(fault(place, f"is {said(detail['input'])}, not a table", f"a table of {keys}"))
        else:
            found.append(fault(place, *_words(detail["type"], detail["input"], detail.get("ctx", {}))))
    return found


def _inner(model: type[BaseModel], inward: Iterable[str | int]) -> type[BaseModel]:
    """Return the model of the table that a way of keys and positions leads to."""
    for key in inward:
        if isinstance(key, str):
            model = _model_in(model.model_fields[key].annotation)
    return model


def _model_in(annotation: Any) -> type[BaseModel]:
    """Return the model that an annotation such as ``tuple[Keepout, ...]`` or ``Holes | None`` holds."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    return next(_model_in(inner) for inner in get_args(annotation) if inner not in (type(None), ...))


def _wanted(model: type[BaseModel], key: str) -> str:
    """Return what a key is for, from its description."""
    description = (model.model_fields[key].description or "").removesuffix(" Required.").removesuffix(".")
    return description[:1].lower() + description[1:]


def _words(kind: str, value: object, context: Mapping[str, Any]) -> tuple[str, str]:
    if kind == REFUSED:
        return context["reason"], context["accepted"]
    if kind == "literal_error":
        choices = context["expected"].replace("'", '"')
        return f"{said(value)} is none of the choices", choices
    if kind == "bool_type":
        return f"{said(value)} is not a yes or no", "true or false, without quotes"
    return f"{said(value)} is not what belongs here", ""
