"""What every table of the project file has in common: frozen, strict, and defaults that depend on the unit."""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel, ConfigDict, Field

from nesting.project.fields import Usual


class Table(BaseModel):
    """One table of the project file; its attributes bear the names of the file's keys."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, allow_inf_nan=False)


def usual(inch: str, mm: str, description: str) -> Any:
    """Return a key whose default is the trade's usual length, one for inch and one for millimetre documents."""
    return Field(
        default=Usual(inch, mm),
        validate_default=True,
        description=f"{description} Default: {inch} in, or {mm} mm in a millimetre document.",
    )
