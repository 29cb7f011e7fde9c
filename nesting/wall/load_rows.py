"""One line of the load table: what is asked of a piece, what it may carry, what gives way first, and in plain words.

Reckoned in pounds, inches and pounds a square inch; turned into the document's units when a row is written: lb, in and
psi, or kg, mm and MPa (N/mm2).
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Final, Literal

from nesting.lengths import Unit, show_length
from nesting.strength.units import from_inches, from_pounds, from_psi

Kind = Literal["force", "length", "stress"]

WARN: Final = 0.8
"""Share of what may be carried above which a row is warned of (common practice, no source)."""
STOP: Final = 1.0
CARRIES_NOTHING: Final = 999.0
"""The ratio where there is a demand and no capacity at all."""
_DECIMALS: Final = 6
_UNITS: Final[dict[Kind, dict[Unit, str]]] = {
    "force": {"in": "lb", "mm": "kg"},
    "length": {"in": "in", "mm": "mm"},
    "stress": {"in": "psi", "mm": "MPa"},
}
_INTO: Final = {"force": from_pounds, "length": from_inches, "stress": from_psi}


@dataclass(frozen=True, slots=True)
class Check:
    """One thing that was checked, in pounds and inches.

    ``item`` is a holder, a piece of a row, a row or the wall; ``governs`` what gives way first; ``source`` the
    publications; ``sentence`` what a person needs to know.
    """

    item: str
    check: str
    demand: float
    capacity: float
    kind: Kind
    governs: str
    source: str
    sentence: str

    @property
    def ratio(self) -> float:
        """Demand over capacity."""
        return share(self.demand, self.capacity)


@dataclass(frozen=True, slots=True)
class LoadRow:
    """A check in the document's units; ``remedy`` is the smallest change found that passes, else empty."""

    item: str
    check: str
    demand: float
    capacity: float
    unit: str
    ratio: float
    governs: str
    source: str
    sentence: str
    remedy: str = ""


def share(demand: float, capacity: float) -> float:
    """Return demand over capacity; 999 where there is a demand and no capacity.

    >>> share(3, 4), share(1, 0), share(0, 0)
    (0.75, 999.0, 0.0)
    """
    if demand <= 0:
        return 0.0
    return min(CARRIES_NOTHING, demand / capacity) if capacity > 0 else CARRIES_NOTHING


def load_row(check: Check, unit: Unit, remedy: str = "") -> LoadRow:
    """Return a check as a row of the table, rounded to six decimals; the ratio is that of the rounded figures.

    >>> check = Check("shelf", "shelf bends", 400.0, 800.0, "stress", "bending", "somewhere", "It bends.")
    >>> load_row(check, "mm").unit, load_row(check, "mm").ratio
    ('MPa', 0.5)
    """
    into = _INTO[check.kind]
    demand, capacity = (round(into(value, unit), _DECIMALS) for value in (check.demand, max(check.capacity, 0.0)))
    ratio = round(share(demand, capacity), _DECIMALS)
    name = _UNITS[check.kind][unit]
    return LoadRow(
        check.item, check.check, demand, capacity, name, ratio, check.governs, check.source, check.sentence, remedy
    )


@dataclass(frozen=True, slots=True)
class Words:
    """How figures are told in a document: lengths on its finest mark, weights and stresses to what matters."""

    unit: Unit
    step: Fraction

    @property
    def mark(self) -> float:
        """An inch, or the 25 mm that stand for it where things are measured in millimetres; in inches."""
        return 1.0 if self.unit == "in" else 25 / 25.4

    def length(self, inches: float) -> str:
        """Return a length given in inches, with its unit.

        >>> Words("in", Fraction(1, 32)).length(1.15625), Words("mm", Fraction(1, 2)).length(1.0)
        ('1 5/32 in', '25.4 mm')
        """
        value = Fraction(round(from_inches(inches, self.unit), 6)).limit_denominator(10**6)
        return f"{show_length(value, self.unit, self.step)} {self.unit}"

    def sag(self, inches: float) -> str:
        """Return a small length; one below the finest mark is not told as nothing.

        >>> Words("in", Fraction(1, 32)).sag(0.007), Words("in", Fraction(1, 32)).sag(0.05)
        ('less than 1/32 in', '1/16 in')
        """
        text = self.length(inches)
        return text if inches <= 0 or not text.startswith("0 ") else f"less than {self.length(self._finest)}"

    @property
    def _finest(self) -> float:
        return float(self.step) if self.unit == "in" else 0.1 / 25.4

    def weight(self, pounds: float) -> str:
        """Return a force given in pounds, in lb or kg.

        >>> Words("in", Fraction(1, 32)).weight(31.26), Words("in", Fraction(1, 32)).weight(3.126)
        ('31 lb', '3.1 lb')
        """
        value = from_pounds(pounds, self.unit)
        return f"{value:.{1 if 0 < value < 9.95 else 0}f} {_UNITS['force'][self.unit]}"

    def screw(self, gauge: int, length: float) -> str:
        """Return a screw by number and length.

        >>> Words("in", Fraction(1, 32)).screw(8, 2.5)
        'No. 8 × 2 1/2 in'
        """
        return f"No. {gauge} × {self.length(length)}"


def percent(ratio: float) -> str:
    """Return a ratio as a share that is read at a glance.

    >>> percent(0.476), percent(999.0), percent(0.0004)
    ('48 %', 'far more than 100 %', 'less than 1 %')
    """
    if ratio >= 10:
        return "far more than 100 %"
    return "less than 1 %" if 0 < ratio < 0.005 else f"{100 * ratio:.0f} %"
