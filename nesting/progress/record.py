"""The record of a job: which steps of its plan are done, which pieces were spoiled, which were measured.

It stands beside the plan as ``progress.json`` and says nothing that the plan says already. Sizes are decimals in the
plan's unit. What is not known here is refused: a record with a slip in a key would quietly lose what it tells.
"""

from __future__ import annotations

import hashlib
import json
from typing import Annotated, Final, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from nesting.errors import BadInput
from nesting.json_text import NotJson, read_json
from nesting.plan import Plan, document_faults
from nesting.plan_fields import Rank, Size
from nesting.project.faults import fault

SCHEMA: Final = "cleatwright/progress/1"
LARGEST_FILE: Final = 4_000_000
DEEPEST: Final = 16
LONGEST_NOTE: Final = 500
MOST_LEFT: Final = 20

PieceId = Annotated[str, Field(min_length=1, max_length=120)]
Sides = tuple[Size, Size]
"""Length along the face grain, width across it; of a bevelled piece the width on its tall face."""


class _Record(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, allow_inf_nan=False)


class Spoiled(_Record):
    """A piece that is lost, and the rectangles that can still be had of it."""

    piece: PieceId = Field(description="Id of the piece in the plan.")
    left: Annotated[tuple[Sides, ...], Field(max_length=MOST_LEFT)] = Field(
        default=(),
        description="What remains of it: rectangles as length (along the face grain) and width. Default: nothing.",
    )
    note: Annotated[str, Field(max_length=LONGEST_NOTE)] = Field(default="", description="What went wrong, in words.")


class Measured(_Record):
    """The size that a piece was found to have."""

    piece: PieceId = Field(description="Id of the piece in the plan.")
    length: Size = Field(description="Length as measured, along the face grain.")
    width: Size = Field(description="Width as measured; of a bevelled piece on its tall face.")


class Progress(_Record):
    """How far a job has come."""

    schema_name: Literal["cleatwright/progress/1"] = Field(
        default=SCHEMA, alias="schema", description="Name and version of this format."
    )
    plan: Annotated[str, Field(max_length=64)] | None = Field(
        default=None, description="Fingerprint of the plan that the numbers and ids belong to. Default: not told."
    )
    done: tuple[Rank, ...] = Field(default=(), description="Numbers of the steps carried out, in rising order.")
    spoiled: tuple[Spoiled, ...] = Field(default=(), description="Pieces lost since the plan was made.")
    measured: tuple[Measured, ...] = Field(default=(), description="Pieces measured since the plan was made.")

    @property
    def begun(self) -> bool:
        """Whether anything was done or found yet: from then on the plan's buying list counts as bought."""
        return bool(self.done or self.spoiled or self.measured)


def fingerprint(plan: Plan) -> str:
    """Return what tells a plan from every other: the same for the same layouts and steps."""
    layouts = [
        [layout.id, layout.stock, layout.length, layout.width]
        + [[n.id, n.x, n.y, n.length, n.width, n.role, n.part] for n in layout.tree.walk()]
        for layout in plan.layouts
    ]
    steps = [[step.n, step.piece, step.station, step.cut, step.bevel, step.setting, step.makes] for step in plan.steps]
    text = json.dumps([plan.unit, layouts, steps], separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()[:32]


def begin(plan: Plan) -> Progress:
    """Return the record that a plan starts with: nothing, or the steps done before it was made anew."""
    done = 0 if plan.replaces is None else plan.replaces.done_steps
    return Progress(plan=fingerprint(plan), done=tuple(range(1, done + 1)))


def progress_to_json(progress: Progress) -> str:
    """Return the text of a progress file: stable, readable, ending with a newline.

    >>> print(progress_to_json(Progress(done=(1, 2))), end="")
    {
     "schema": "cleatwright/progress/1",
     "done": [1, 2],
     "spoiled": [],
     "measured": []
    }
    """
    whole = progress.model_dump(by_alias=True, exclude_none=True, mode="json")
    lines = [f" {json.dumps(key)}: {json.dumps(value, ensure_ascii=False)}" for key, value in whole.items()]
    return "{\n" + ",\n".join(lines) + "\n}\n"


def progress_from_json(text: str) -> Progress:
    """Return the record of a progress file's text.

    Raises :class:`~nesting.errors.BadInput` with every fault and its place. Whether its steps and pieces are those of
    a plan is for :func:`nesting.progress.marks.agreed` to say.
    """
    if len(text) > LARGEST_FILE:
        raise BadInput([fault((), f"the progress file is larger than {LARGEST_FILE:,} characters")])
    try:
        raw = read_json(text, DEEPEST)
    except NotJson as error:
        raise BadInput([fault((), f"the progress file is not JSON: {error}")]) from error
    if not isinstance(raw, dict):
        raise BadInput([fault((), "the progress file is not a JSON object", "an object with the key done and more")])
    faults = [] if "schema" in raw else [fault(("schema",), "is missing", f'"{SCHEMA}"')]
    progress = None
    try:
        progress = Progress.model_validate_json(text)
    except ValidationError as error:
        faults += document_faults(error, ())
    if faults or progress is None:
        raise BadInput(faults)
    return progress


def progress_schema_text() -> str:
    """Return the JSON Schema (draft 2020-12) of the progress file, as shipped beside this module.

    It is written anew by ``python -m nesting.progress.schema``.
    """
    schema = Progress.model_json_schema(by_alias=True)
    schema["required"] = ["schema"]
    head = {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": "urn:cleatwright:schema:progress:1",
        "title": "Progress file of cleatwright",
    }
    return json.dumps(head | {key: value for key, value in schema.items() if key != "title"}, indent=1) + "\n"
