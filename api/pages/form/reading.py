"""From what was typed to a project, or to every fault beside the field where it was typed."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from api.limits import Limits
from api.pages.form.typed import Typed, at, blank, to_keys
from nesting.errors import BadInput, Fault
from nesting.project.faults import Place
from nesting.project.model import Project
from nesting.project.read import project_from_mapping


@dataclass(frozen=True, slots=True)
class FieldFault:
    """A fault at a place of the form; ``absent``: nothing is typed there yet."""

    place: Place
    message: str
    accepted: str
    absent: bool

    @property
    def text(self) -> str:
        """What is wrong and what is accepted, as the command line says it."""
        return f"{self.message}; accepted: {self.accepted}" if self.accepted else self.message

    @property
    def where(self) -> str:
        """The place in words, rows counted from 1.

        >>> FieldFault(("sheet", 1, "edge_trim"), "is missing", "", True).where
        'Sheet 2, edge trim'
        """
        return in_words(self.place)


@dataclass(frozen=True, slots=True)
class Reading:
    """What was typed, understood: a project and its document, or faults."""

    project: Project | None
    data: Mapping[str, Any]
    faults: tuple[FieldFault, ...]

    @property
    def document(self) -> str:
        """The project as JSON, each value as it was typed."""
        return json.dumps(self.data, ensure_ascii=True, default=_number)

    def shown(self, *, all_of_them: bool) -> tuple[FieldFault, ...]:
        """Return the faults to show: all, or those of what is typed already."""
        return tuple(fault for fault in self.faults if all_of_them or not fault.absent)


def reading_of(typed: Typed, limits: Limits) -> Reading:
    """Return what was typed, understood."""
    keys = to_keys(typed)
    try:
        project = project_from_mapping(keys.data)
        limits.of(project)
    except BadInput as error:
        return Reading(
            None, keys.data, tuple(_fault(typed, keys.typed_place(_place(one)), one) for one in error.faults)
        )
    return Reading(project, keys.data, ())


def in_words(place: Place) -> str:
    """Return a place of the form as a person would say it.

    >>> in_words(("wall", "keepout", 0, "x")), in_words(("wall", "studs", "positions", 2)), in_words(())
    ('Wall, keepout 1, x', 'Wall, studs, positions 3', 'The project')
    """
    said = ""
    for step in place:
        said += f" {step + 1}" if isinstance(step, int) else (", " if said else "") + step.replace("_", " ")
    return said[:1].upper() + said[1:] or "The project"


def _fault(typed: Typed, place: Place, fault: Fault) -> FieldFault:
    return FieldFault(place, fault.message, fault.accepted, blank(at(typed, place)))


def _place(fault: Fault) -> Place:
    """Return a fault's place from its JSON pointer (RFC 6901)."""
    steps = [step.replace("~1", "/").replace("~0", "~") for step in fault.pointer.split("/")[1:]]
    return tuple(int(step) if step.isascii() and step.isdigit() else step for step in steps)


def _number(value: object) -> float:
    assert isinstance(value, Decimal)  # noqa: S101  (nothing else of a project is no JSON)
    return float(value)  # at most 13 digits: its shortest text is what was typed
