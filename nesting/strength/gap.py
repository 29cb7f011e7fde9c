"""A screw across a gap: drywall between cleat and stud bends the screw long before the tables say so.

NDS 12.3.1(a) requires member faces in contact (transcribed), so Table 12L does not hold through drywall. The forms
below are the same limits of equilibrium with a gap g that bears nothing: own derivation, equal to the table at g = 0
in all six modes; their published home is the technical report AWC TR12, General Dowel Equations (from memory).
Pounds, inches, psi.
"""

from __future__ import annotations

import math

from nesting.strength.lateral import Mode, Shear, governing, reduction, yield_values


def yield_values_across(shear: Shear) -> dict[Mode, float]:
    """Return Z in lb for each of the six modes with a gap between the members.

    With q = F_e D in each member and M = F_yb D^3 / 6, P is the positive root of A P^2 + B P + C = 0.

    >>> near = Shear(0.152, 80_000.0, 3350, 0.703, 3350, 1.71)
    >>> wide = Shear(0.152, 80_000.0, 3350, 0.703, 3350, 1.71, gap=0.5)
    >>> round(min(yield_values_across(near).values()), 2), round(min(yield_values_across(wide).values()), 2)
    (81.17, 49.32)
    """
    loads: dict[Mode, float] = {
        "Im": shear.main_bearing * shear.diameter * shear.main_length,
        "Is": shear.side_bearing * shear.diameter * shear.side_length,
    }
    for mode, (a, b, c) in coefficients(shear).items():
        loads[mode] = (-b + math.sqrt(b * b - 4 * a * c)) / (2 * a)
    return {mode: load / reduction(shear.diameter, mode, shear.angle) for mode, load in loads.items()}


def coefficients(shear: Shear) -> dict[Mode, tuple[float, float, float]]:
    """Return A, B, C of each mode that a gap weakens."""
    qs, qm = shear.side_bearing * shear.diameter, shear.main_bearing * shear.diameter
    ls, lm, g = shear.side_length, shear.main_length, shear.gap
    bend = shear.bending_yield * shear.diameter**3 / 6
    return {
        "II": (1 / (4 * qs) + 1 / (4 * qm), ls / 2 + g + lm / 2, -qs * ls**2 / 4 - qm * lm**2 / 4),
        "IIIm": (1 / (2 * qs) + 1 / (4 * qm), g + lm / 2, -bend - qm * lm**2 / 4),
        "IIIs": (1 / (4 * qs) + 1 / (2 * qm), ls / 2 + g, -qs * ls**2 / 4 - bend),
        "IV": (1 / (2 * qs) + 1 / (2 * qm), g, -2 * bend),
    }


def lateral_value(shear: Shear) -> tuple[Mode, float]:
    """Return the governing mode and Z in lb, by the table where faces touch and by the gap form where they do not."""
    if shear.main_length <= 0 or shear.side_length <= 0:
        return ("Im" if shear.main_length <= 0 else "Is"), 0.0
    return governing(yield_values_across(shear) if shear.gap else yield_values(shear))
