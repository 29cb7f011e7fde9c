"""Exact factors between the document's units and those of the publications: inches, pounds, pounds a square inch.

An inch is 25.4 mm and a pound 0.45359237 kg by definition (international yard and pound agreement, 1959); standard
gravity is 9.80665 m/s2 by definition (General Conference on Weights and Measures, 1901).
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from nesting.lengths import MM_PER_INCH, Unit

KG_PER_POUND: Final = Fraction(45_359_237, 100_000_000)
STANDARD_GRAVITY: Final = Fraction(980_665, 100_000)
NEWTONS_PER_POUND: Final = float(KG_PER_POUND * STANDARD_GRAVITY)
"""4.4482216152605, exactly."""
MPA_PER_PSI: Final = float(KG_PER_POUND * STANDARD_GRAVITY / MM_PER_INCH**2)


def inches(value: Fraction, unit: Unit) -> float:
    """Return a length of the document's unit in inches.

    >>> inches(Fraction(254), "mm"), inches(Fraction(23, 32), "in")
    (10.0, 0.71875)
    """
    return float(value / MM_PER_INCH if unit == "mm" else value)


def pounds(value: Fraction, unit: Unit) -> float:
    """Return a weight of the document (kg where it is in millimetres, lb where in inches) in pounds.

    >>> pounds(Fraction(45_359_237, 10_000_000), "mm"), pounds(Fraction(30), "in")
    (10.0, 30.0)
    """
    return float(value / KG_PER_POUND if unit == "mm" else value)


def from_inches(value: float, unit: Unit) -> float:
    """Return a length in inches in the document's unit."""
    return value * float(MM_PER_INCH) if unit == "mm" else value


def from_pounds(value: float, unit: Unit) -> float:
    """Return a force in pounds as the document says weights: lb, or kg where lengths are in millimetres."""
    return value * float(KG_PER_POUND) if unit == "mm" else value


def from_psi(value: float, unit: Unit) -> float:
    """Return a stress in pounds a square inch, or in MPa (N/mm2) where lengths are in millimetres.

    >>> round(from_psi(1000.0, "mm"), 4)
    6.8948
    """
    return value * MPA_PER_PSI if unit == "mm" else value
