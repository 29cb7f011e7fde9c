"""What all objects of the plan file have in common: frozen, strict, unknown keys kept, numbers within reason."""

from __future__ import annotations

from typing import Annotated, Any, Final

from pydantic import BaseModel, ConfigDict, Field

_LARGEST: Final = 1e9

Number = Annotated[float, Field(ge=-_LARGEST, le=_LARGEST)]
Size = Annotated[float, Field(gt=0, le=_LARGEST)]
SizeOrZero = Annotated[float, Field(ge=0, le=_LARGEST)]
Money = Annotated[float, Field(ge=0, le=1e12)]
Count = Annotated[int, Field(ge=0, le=10**9)]
Rank = Annotated[int, Field(ge=1, le=10**9)]


class Document(BaseModel):
    """One object of the plan file."""

    model_config = ConfigDict(frozen=True, extra="allow", strict=True, allow_inf_nan=False)


def listed(description: str, **more: Any) -> Any:
    """Return a key that holds a list; any list is as good as a tuple."""
    return Field(strict=False, description=description, **more)
