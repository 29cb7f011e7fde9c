"""The differences that matter, in one or two plain sentences."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final

from nesting.compare.table import FOOT, Row
from nesting.lengths import Unit
from nesting.money import money

MATTERS: Final = 0.04
"""Share by which two figures must differ to be worth a word."""
MOST_NAMED: Final = 2


def differences(rows: Sequence[Row], unit: Unit, currency: str) -> tuple[str, ...]:
    """Return what sets the cheapest plan apart from the dearest, or from the other one: cost first, then the rest."""
    planned = sorted((row for row in rows if row.plan is not None), key=_cost)
    if len(planned) < 2:
        return ()
    cheap, dear = planned[0], planned[-1]
    return (_money(planned, currency), *_rest(*_in_order(rows, cheap, dear), unit))


def _cost(row: Row) -> float:
    assert row.plan is not None  # noqa: S101  (only planned rows are asked)
    return row.plan.cost


def _bound(row: Row) -> float:
    assert row.plan is not None  # noqa: S101  (only planned rows are asked)
    return row.plan.cost_bound


def _in_order(rows: Sequence[Row], one: Row, other: Row) -> tuple[Row, Row]:
    """Return two rows in the order of the table, and the first and last of all where they cost the same."""
    if _cost(one) == _cost(other):
        planned = [row for row in rows if row.plan is not None]
        return planned[0], planned[-1]
    first, second = sorted((one, other), key=list(rows).index)
    return first, second


def _money(planned: Sequence[Row], currency: str) -> str:
    cheap, dear = planned[0], planned[-1]
    if _cost(cheap) == _cost(dear):
        every = "Both" if len(planned) == 2 else f"All {len(planned)}"
        return f"{every} cost {money(_cost(cheap), currency)}."
    alike = [row for row in planned if _cost(row) == _cost(cheap)]
    who = " and ".join(row.alternative.label for row in alike[:MOST_NAMED])
    who += f" and {len(alike) - MOST_NAMED} others" if len(alike) > MOST_NAMED else ""
    verb = "cost" if len(alike) > 1 else "costs"
    doubt = "" if _bound(dear) >= _cost(dear) else ", as far as was found"
    more = money(_cost(dear) - _cost(cheap), currency)
    return f"{who} {verb} least, {money(_cost(cheap), currency)}; {dear.alternative.label} costs {more} more{doubt}."


def _rest(one: Row, other: Row, unit: Unit) -> tuple[str, ...]:
    """Say in one sentence what else differs most between two plans."""
    long, per = FOOT[unit]
    figures: list[tuple[str, Callable[[Row], float | None], str]] = [
        ("cleats a sheet", lambda row: row.cleats_per_sheet, "{:.0f}"),
        ("rows on the wall", lambda row: row.rows, "{:.0f}"),
        ("holders that fit", lambda row: row.holders[0] if row.holders else None, "{:.0f}"),
        (f"{long} of rail", lambda row: None if row.rail is None else row.rail / float(per), "{:.0f}"),
        ("of the worst load's capacity used", lambda row: _percent(row.worst_load), "{:.0f} %"),
        ("waste", lambda row: _percent(row.waste), "{:.0f} %"),
        ("settings", lambda row: row.plan.setups.total if row.plan else None, "{:.0f}"),
        ("sheets to buy", lambda row: row.sheets, "{:.0f}"),
    ]
    ranked = []
    for place, (name, figure, form) in enumerate(figures):
        left, right = figure(one), figure(other)
        if left is None or right is None or form.format(left) == form.format(right):
            continue
        share = abs(left - right) / max(abs(left), abs(right))
        if share >= MATTERS:
            ranked.append((-share, place, f"{form.format(left)} against {form.format(right)} {name}"))
    ranked.sort()
    told = [text for _, _, text in ranked[:3]]
    if not told:
        return ()
    listed = told[0] if len(told) == 1 else f"{', '.join(told[:-1])} and {told[-1]}"
    return (f"{one.alternative.label} against {other.alternative.label}: {listed}.",)


def _percent(share: float | None) -> float | None:
    return None if share is None else 100 * share
