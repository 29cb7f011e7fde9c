"""Steps as data: passes of a saw in working order, the settings they need, and what to warn about."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from nesting.layout import CutKind

Station = Literal["breakdown saw", "table saw", "crosscut sled"]


@dataclass(frozen=True, slots=True)
class Step:
    """One pass of a saw; the keys are those of the plan file, lengths exact.

    ``setting`` runs from the reference edge (``against``) to the near side of the kerf, at the table.
    ``makes`` are node ids, low side first. ``setup`` numbers the settings in working order.
    """

    n: int
    layout: str
    piece: str
    station: Station
    cut: CutKind
    bevel: Fraction
    setting: Fraction
    against: Literal["low", "high"]
    leans: Literal["away", "toward"] | None
    makes: tuple[str, ...]
    setup: int


@dataclass(frozen=True, slots=True)
class Setups:
    """How many settings the steps need; ``bound`` holds for these layouts under the rules in force."""

    fence: int
    stop: int
    guide: int
    tilt: int
    bound: int
    proven: bool

    @property
    def total(self) -> int:
        """Fence settings, stop settings and guide positions together."""
        return self.fence + self.stop + self.guide


@dataclass(frozen=True, slots=True)
class Caution:
    """Something the person at the saw must know: a stable code, a whole sentence, and where it applies."""

    code: str
    text: str
    where: str = ""


@dataclass(frozen=True, slots=True)
class Sequence:
    """The whole working order with its count of settings and its warnings."""

    steps: tuple[Step, ...]
    setups: Setups
    cautions: tuple[Caution, ...]
