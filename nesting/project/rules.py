"""What no single key can tell: names given twice, thicknesses without a stock, cleats lower than their bevel.

The rules work on whatever could be read, so that a file with a slip in one table still hears of all others.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import TypeVar

from nesting.errors import Fault
from nesting.lengths import Unit, exact_text
from nesting.project.faults import Place, fault
from nesting.project.holder_keys import Holder
from nesting.project.model import AnyStock, CleatAsked, CleatKind, Cleats, Part, Saw, suits, trim_of
from nesting.project.wall_keys import Wall
from nesting.project.wall_rules import broken_holder_rules, broken_wall_rules, names_of_derived
from nesting.trade.bevel import Bevel

T = TypeVar("T")
Placed = Mapping[Place, T]


@dataclass(frozen=True, slots=True)
class Draft:
    """What could be read of a project, each table with its place.

    ``whole_stocks``: no stock was refused; ``fitted``: a wall was given, whether or not it could be read.
    """

    unit: Unit
    saw: Saw | None
    stocks: Placed[AnyStock]
    whole_stocks: bool
    parts: Placed[Part]
    cleats: Cleats | None
    cleat: Placed[CleatAsked]
    wall: Wall | None
    fitted: bool
    holders: Placed[Holder]
    stock_names: Placed[str]
    made_names: Placed[str]
    holder_names: Placed[str]


def broken_rules(draft: Draft) -> Iterator[Fault]:
    """Yield the faults of a project as a whole, in the order of the file's keys."""
    yield from _names_twice(draft.stock_names, "sheets, boards and offcuts")
    yield from _names_twice(draft.made_names, "parts and cleats")
    yield from _names_twice(draft.holder_names, "holders")
    yield from names_of_derived(draft.made_names, draft.holder_names, draft.fitted)
    yield from _trimmed_away(draft)
    yield from _without_stock(draft)
    yield from _lower_than_bevel(draft)
    if draft.cleats is not None:
        if draft.wall is not None:
            yield from broken_wall_rules(draft.wall, draft.cleats, draft.unit)
        for place, holder in draft.holders.items():
            yield from broken_holder_rules(place, holder, draft.cleats, draft.unit)


def _names_twice(names: Placed[str], among: str) -> Iterator[Fault]:
    first: dict[str, str] = {}
    for place, name in names.items():
        key = unicodedata.normalize("NFC", name)
        table = f"{place[0]}[{int(place[1]) + 1}]"
        if key in first:
            yield fault(place, f"is the same as that of {first[key]}", f"a name of its own among {among}")
        else:
            first[key] = table


def _trimmed_away(draft: Draft) -> Iterator[Fault]:
    if draft.saw is None:
        return
    for place, stock in draft.stocks.items():
        trim = trim_of(stock, draft.saw.edge_trim)
        for side in ("length", "width"):
            if getattr(stock, side) <= 2 * trim:
                lost = exact_text(2 * trim, draft.unit)
                yield fault((*place, side), f"nothing is left of it after the edge trim of {lost} in all")


def _without_stock(draft: Draft) -> Iterator[Fault]:
    if not draft.whole_stocks or not draft.stocks:
        return  # the stock that is meant may be one that was refused
    asked = {(*place, "thickness"): part.thickness for place, part in draft.parts.items()}
    asked |= {
        (*place, "thickness"): holder.thickness
        for place, holder in draft.holders.items()
        if holder.thickness is not None
    }
    if (draft.cleat or draft.fitted or draft.holder_names) and draft.cleats is not None:
        asked["cleats", "thickness"] = draft.cleats.thickness
    for place, thickness in asked.items():
        if not any(suits(thickness, stock, draft.unit) for stock in draft.stocks.values()):
            yield fault(place, f"no stock is {exact_text(thickness, draft.unit)} {draft.unit} thick", _on_sale(draft))


def _on_sale(draft: Draft) -> str:
    """Return every thickness there is, nominal and measured."""
    pairs = sorted({(stock.nominal, stock.thickness) for stock in draft.stocks.values()})
    shown = [
        exact_text(nominal, draft.unit)
        + (f" (measured {exact_text(measured, draft.unit)})" if measured != nominal else "")
        for nominal, measured in pairs[:12]
    ]
    return ", ".join(shown) + (" and others" if len(pairs) > 12 else "") + f" {draft.unit}"


def _lower_than_bevel(draft: Draft) -> Iterator[Fault]:
    if draft.cleats is None or draft.saw is None:
        return
    cleats = draft.cleats
    suiting = [s.thickness for s in draft.stocks.values() if suits(cleats.thickness, s, draft.unit)]
    thickest = max(suiting, default=cleats.thickness)
    rise = Bevel(thickest, draft.saw.kerf, cleats.bevel, Fraction(1)).rise
    kinds: tuple[CleatKind, ...] = ("wall", "holder")
    for kind in kinds:
        height = cleats.height(kind)
        if height <= rise:
            yield fault(
                ("cleats", f"{kind}_height"),
                f"{exact_text(height, draft.unit)} is not higher than the bevel is deep",
                f"more than thickness × tan(bevel) = {float(rise):.4g} {draft.unit}",
            )
