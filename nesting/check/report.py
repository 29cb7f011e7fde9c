"""What a check finds, and the terms it checks against.

The bevel rule is written here once more from the plan format's own words, so that a slip in the planning code
cannot hide in its check.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from nesting.project.model import AnyStock, CleatAsked, Part, Project, trim_of

TOLERANCE = 2e-6
"""The plan file's numbers are exact to 1e-6; sums of two of them to this."""
CENT = 0.005


@dataclass(frozen=True, slots=True)
class CheckFault:
    """One rule that a plan breaks: its name, where, and what is wrong in a plain sentence.

    >>> print(CheckFault("kerf", "A1.2", "the pieces leave 0.2 between them, the kerf is 0.125"))
    kerf, A1.2: the pieces leave 0.2 between them, the kerf is 0.125
    """

    rule: str
    place: str
    text: str

    def __str__(self) -> str:
        return f"{self.rule}, {self.place}: {self.text}"


@dataclass(frozen=True, slots=True)
class CheckReport:
    """All faults (none: the plan is sound), notes on what could not be checked, and the rules that were.

    ``unsaid`` names the warnings that the rules of the saw ask for and the plan does not bear.
    """

    faults: tuple[CheckFault, ...]
    notes: tuple[str, ...] = ()
    rules_checked: tuple[str, ...] = ()
    unsaid: tuple[str, ...] = ()


@dataclass(slots=True)
class Findings:
    """Faults gathered while checking."""

    faults: list[CheckFault] = field(default_factory=list)

    def add(self, rule: str, place: str, text: str) -> None:
        """Take down one fault."""
        self.faults.append(CheckFault(rule, place, text))

    def equal(self, rule: str, place: str, what: str, found: float, wanted: float, within: float = TOLERANCE) -> bool:
        """Take down a fault unless two numbers agree."""
        if abs(found - wanted) <= within:
            return True
        self.add(rule, place, f"{what} is {found:g}, should be {wanted:g}")
        return False


@dataclass(frozen=True, slots=True)
class Blade:
    """What geometry follows from: kerf, fence step (0: not known) and bevel in degrees."""

    kerf: float
    step: float
    bevel: float

    def rise(self, thickness: float) -> float:
        """Return t tan b: how much a cleat's tall face exceeds its short one."""
        return thickness * math.tan(math.radians(self.bevel))

    @property
    def gap(self) -> float:
        """Return k / cos b: what a bevel rip takes, measured in the plane of the sheet."""
        return self.kerf / math.cos(math.radians(self.bevel))

    def on_grid(self, length: float) -> bool:
        """Whether a length can be set on the fence; any can where its finest mark is not known."""
        return not self.step or abs(length / self.step - round(length / self.step)) * self.step <= TOLERANCE


@dataclass(frozen=True, slots=True)
class Terms(Blade):
    """What a plan must keep to, in plain numbers of the document's unit; read from the project."""

    project: Project
    stocks: Mapping[str, AnyStock]
    parts: Mapping[str, Part]
    cleats: Mapping[str, CleatAsked]

    def trim(self, stock: str) -> float:
        """Return what must stay unused at each edge of a stock."""
        return float(trim_of(self.stocks[stock], self.project.saw.edge_trim))


def terms_of(project: Project) -> Terms:
    """Read the terms of a project."""
    return Terms(
        float(project.saw.kerf),
        float(project.project.fence_step),
        float(project.cleats.bevel),
        project,
        {stock.name: stock for stock in project.stocks},
        {part.name: part for part in project.part},
        {cleat.name: cleat for cleat in project.cleat},
    )
