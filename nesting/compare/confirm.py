"""Yield by the solver: the same counts, found and refuted by the search that plans every job."""

from __future__ import annotations

from fractions import Fraction

from nesting.demand import Cleat, Group, Stock
from nesting.yield_curve import SweetSpot, Yield

SECONDS = 5.0
"""Most for one question; nearly all are answered in a tenth of one."""
LENGTH = Fraction(96)
"""Of sheet and cleats alike; it does not matter which."""


def fits_one_sheet(sheet: Yield, height: Fraction, count: int) -> bool | None:
    """Say whether the solver cuts ``count`` cleats as long as the sheet from one; None: neither found nor refuted."""
    from nesting.solve.cutting import cut_group, homeless
    from nesting.solve.grid import Rules
    from nesting.solve.stop import Stop

    rule = sheet.rule
    stock = Stock("sheet", "sheet", LENGTH, sheet.usable, rule.thickness, Fraction(0), Fraction(1), None, grain=True)
    cleat = Cleat("cleat", "wall", height, LENGTH, count, frozenset({0}))
    group, rules = Group((stock,), (), (cleat,)), Rules(rule.kerf, rule.step, rule.angle)
    if homeless(group, rules):
        return False
    cutting = cut_group(group, rules, "in", {"sheet": "A"}, Stop.after(SECONDS), seed=0, patience=SECONDS)
    if cutting.candidates and cutting.cost == 1:
        return True
    return False if cutting.bound > 1 else None


def confirmed(sheet: Yield, spot: SweetSpot) -> bool:
    """Say whether the solver cuts a sweet spot's count at its height, and refutes it one ``fence_step`` above."""
    above = spot.tallest + sheet.rule.step
    return fits_one_sheet(sheet, spot.tallest, spot.count) is True and fits_one_sheet(sheet, above, spot.count) is False
