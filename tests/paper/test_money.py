"""Prices in words."""

from fractions import Fraction

import pytest

from nesting.money import gap, money


@pytest.mark.parametrize(
    ("value", "shown"),
    [(0, "0.00"), (Fraction(1, 3), "0.3333"), (0.1, "0.10"), (1e9, "1,000,000,000.00"), (Fraction(865, 10), "86.50")],
)
def test_prices(value, shown):
    assert money(Fraction(value) if isinstance(value, int) else value) == shown


def test_a_bound_above_the_cost_is_no_gap():
    assert gap(10, 10.0000001) == "0.0 %"
