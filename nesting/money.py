"""Prices in words for a person."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction


def money(value: Fraction | float, currency: str = "") -> str:
    """Return a price with two decimals, or up to four where two do not say it.

    >>> money(Fraction(173), "USD"), money(0.125), money(86.5, "EUR"), money(Fraction(1234567))
    ('173.00 USD', '0.125', '86.50 EUR', '1,234,567.00')
    """
    exact = Fraction(str(value)) if isinstance(value, float) else value
    fourth = round(exact * 10_000)
    digits = 2 if fourth % 100 == 0 else 3 if fourth % 10 == 0 else 4
    amount = f"{Decimal(fourth) / 10_000:,.{digits}f}"
    return f"{amount} {currency}" if currency else amount


def gap(cost: Fraction | float, bound: Fraction | float) -> str:
    """Return how far a cost lies above its bound, in per cent of the cost.

    >>> gap(200, 150), gap(0, 0), gap(1000000, 999999)
    ('25.0 %', '0.0 %', 'less than 0.1 %')
    """
    share = 100 * (float(cost) - float(bound)) / float(cost) if cost else 0.0
    return "less than 0.1 %" if 0 < share < 0.05 else f"{max(share, 0.0):.1f} %"
