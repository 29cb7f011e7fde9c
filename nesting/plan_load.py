"""The load table in the plan file: what is asked of each piece and what it may carry; all of it an addition of ours."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from nesting.plan_fields import Document, SizeOrZero, listed


class LoadRowDocument(Document):
    """One check; the same columns stand in load.csv."""

    item: str = Field(description="Holder, piece of a row, row, or the wall.")
    check: str = Field(description="What was checked.")
    demand: SizeOrZero = Field(description="What is asked of it.")
    capacity: SizeOrZero = Field(description="What it may carry.")
    unit: str = Field(description="Unit of both: lb, in or psi; kg, mm or MPa where lengths are in millimetres.")
    ratio: Annotated[float, Field(ge=0, le=999)] = Field(
        description="Demand over capacity: above 0.8 warned of, above 1 not to be built; 999 where nothing is carried."
    )
    governs: str = Field(description="What gives way first.")
    source: str = Field(description="Publications and methods.")
    sentence: str = Field(default="", description="What a person needs to know.")
    remedy: str = Field(default="", description="Smallest change that passes, of a ratio above 0.8.")


class LoadDocument(Document):
    """What the wall carries: an estimate, not an engineered rating."""

    rows: tuple[LoadRowDocument, ...] = listed("The checks.")
    species: str | None = Field(default=None, description="Wood of the studs as it was reckoned.")
    gravity: Annotated[float, Field(gt=0, lt=2)] | None = Field(default=None, description="Its specific gravity.")
    assumed: bool = Field(default=False, description="Whether the studs' wood is not known and the weakest was taken.")
    not_covered: tuple[str, ...] = listed("What the estimate leaves out, as sentences.", default=())
