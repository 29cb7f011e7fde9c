"""What the service answers with about the rack, as the OpenAPI description tells it."""

from __future__ import annotations

from datetime import datetime
from typing import Any, Final, Literal

from pydantic import BaseModel, ConfigDict, Field

from api.shapes import at
from api.store.rack import ChangeRow
from nesting.rack.piece import RackPiece, piece_mapping
from nesting.rack.rack import Smallest

_FREE: Final = RackPiece.model_json_schema()
PIECE: Final[dict[str, Any]] = {
    "type": "object",
    "additionalProperties": False,
    "required": ["length", "width", "thickness"],
    "properties": _FREE["properties"],
    "example": {"length": "31", "width": "9 1/4", "thickness": "23/32", "place": "rack 2, left"},
}
"""A piece as a request describes it; a label is given where none is sent."""
SMALLEST: Final[dict[str, Any]] = {
    "type": "object",
    "additionalProperties": False,
    "required": ["smallest"],
    "properties": {
        "smallest": {
            "type": "object",
            "additionalProperties": False,
            "properties": Smallest.model_json_schema()["properties"],
        }
    },
    "example": {"smallest": {"length": "10", "width": "2 1/2"}},
}


class _Shape(BaseModel):
    model_config = ConfigDict(extra="forbid")


class PieceShown(_Shape):
    """A piece in the rack; lengths are exact texts in its unit."""

    label: str = Field(examples=["R-12"])
    unit: Literal["in", "mm"]
    length: str = Field(description="Along the face grain.", examples=["31"])
    width: str = Field(examples=["9 1/4"])
    thickness: str = Field(description="As measured.", examples=["23/32"])
    nominal: str = Field(description="Thickness it was sold as.", examples=["3/4"])
    grain: bool = Field(description="Whether it has a face grain.")
    stock: str = Field(description="What it was cut from.")
    place: str = Field(description="Where it stands.")
    origin: str = Field(description="Project it was left over from.")
    note: str

    @classmethod
    def of(cls, piece: RackPiece) -> PieceShown:
        """Return a piece as it is shown."""
        return cls(**piece_mapping(piece))


class SmallestShown(_Shape):
    """The smallest leftover worth keeping."""

    unit: Literal["in", "mm"]
    length: str = Field(description="Longer side.", examples=["12"])
    width: str = Field(description="Shorter side.", examples=["3"])

    @classmethod
    def of(cls, size: Smallest) -> SmallestShown:
        """Return a size as it is shown."""
        return cls(**size.model_dump(mode="json", context={"unit": size.unit}))


class ChangeShown(_Shape):
    """A change of the rack."""

    words: str = Field(examples=["carried out: Bike co-op repair bay"])
    taken: list[str] = Field(description="Labels of the pieces that left the rack.")
    given: list[str] = Field(description="Labels of the pieces that came.")
    plan: str | None = Field(description="Plan that was ticked off.")
    at: datetime

    @classmethod
    def of(cls, row: ChangeRow) -> ChangeShown:
        """Return a change as it is shown."""
        change = row.change
        taken, given = ([piece.label for piece in pieces] for pieces in (change.taken, change.given))
        return cls(words=change.words, taken=taken, given=given, plan=change.plan or None, at=at(row.created))


class RackShown(_Shape):
    """The whole rack."""

    smallest: SmallestShown
    pieces: list[PieceShown] = Field(description="By label.")
    changes: list[ChangeShown] = Field(description="That can be taken back, the latest first.")


class Imported(_Shape):
    """What came in with a table."""

    pieces: list[str] = Field(description="Labels of the pieces that came.")
    removed: list[str] = Field(description="Labels of the pieces that left the rack, where the table replaced it.")
