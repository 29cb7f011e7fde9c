"""What if on buying: price per usable area, two half sheets against one, and the mix that is cheapest as planned."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from nesting.lengths import Unit
from nesting.project.model import Project, Sheet

AREA: Final[dict[Unit, tuple[str, Fraction]]] = {"in": ("sq ft", Fraction(144)), "mm": ("m²", Fraction(1_000_000))}
"""What area is told in, and how much of the document's square unit that is."""
ALIKE: Final[dict[Unit, Fraction]] = {"in": Fraction(1, 4), "mm": Fraction(6)}
"""Two halves may be this much short of a whole in all, a kerf and a rounding (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Offer:
    """One stock to buy: what it costs, how much is left of it between the edge trims, and the price of one area unit.

    ``area`` is in square feet or square metres.
    """

    stock: Sheet
    area: Fraction
    per_area: Fraction


@dataclass(frozen=True, slots=True)
class Halves:
    """Two of one stock make one of another: what two cost more (negative: less), and what they lose in usable area."""

    whole: Sheet
    half: Sheet
    dearer: Fraction
    less_area: Fraction


def offers(project: Project) -> tuple[Offer, ...]:
    """Return every stock to buy with the price of its usable area, the cheapest first.

    >>> from nesting.project.starter import starter_text
    >>> from nesting.project.read import project_from_text
    >>> found = offers(project_from_text(starter_text(), "toml"))
    >>> [(offer.stock.name, round(float(offer.per_area), 2)) for offer in found]
    [('1/2 in ply, 4x8', 1.7), ('18 mm birch, 4x8', 2.72), ('18 mm birch, 4x4 half', 3.03)]
    """
    found = [
        Offer(stock, area, Fraction(stock.price) / area)
        for stock in (*project.sheet, *project.board)
        if stock.price and (area := usable_area(project, stock))
    ]
    return tuple(sorted(found, key=lambda offer: offer.per_area))


def usable_area(project: Project, stock: Sheet) -> Fraction:
    """Return the area of a stock between its edge trims, in square feet or square metres."""
    trim = 2 * project.trim(stock)
    return (stock.length - trim) * (stock.width - trim) / AREA[project.unit][1]


def halves(project: Project) -> tuple[Halves, ...]:
    """Return every pair of stocks to buy of which two of one make one of the other."""
    return tuple(_halves(project))


def _halves(project: Project) -> Iterator[Halves]:
    stocks = [stock for stock in (*project.sheet, *project.board) if stock.price]
    short = ALIKE[project.unit]
    for whole in stocks:
        for half in stocks:
            if half.thickness != whole.thickness or half.nominal != whole.nominal:
                continue
            for along, across in (("length", "width"), ("width", "length")):
                missing = getattr(whole, along) - 2 * getattr(half, along)
                if 0 <= missing <= short and abs(getattr(whole, across) - getattr(half, across)) <= short:
                    lost = usable_area(project, whole) - 2 * usable_area(project, half)
                    yield Halves(whole, half, 2 * Fraction(half.price) - Fraction(whole.price), lost)
