"""What a solve tells while it runs; the library prints nothing itself."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias


@dataclass(frozen=True, slots=True)
class News:
    """Best cost and bound so far in integer money (None: no plan yet), and what is being tried."""

    cost: int | None
    bound: int
    phase: str


Observer: TypeAlias = Callable[[News], None]
