"""Cut in the shop of purchase: what a job costs where sheets are too large to carry and must be cut before.

The first cuts are then free to choose but forced to be made. Each way of making them (one crosscut or rip where the
vehicle or half the sheet ends, or as many equal pieces as it takes) turns a sheet into stocks of its own, and the
job is planned on these: a layout allows for the shop's cut because none crosses it. The shop's blade is taken to be
as thick as yours, and its cut is trimmed at home like a factory edge (common practice, no source). Whatever can be cut
from the pieces can be cut from the whole sheet, so the bound of the uncut plan holds here too.
"""

from __future__ import annotations

import threading
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import zip_longest
from math import ceil
from typing import Any, Final, Literal

from nesting.carry import fits, too_large
from nesting.compare.budget import Run
from nesting.compare.work import answer_of, plan_task
from nesting.errors import Bug
from nesting.lengths import show_length
from nesting.plan import BuyLine, Plan, number
from nesting.project.model import Project, Sheet
from nesting.project.read import project_from_mapping, project_to_mapping

MOST_PIECES: Final = 8
"""Of one sheet, cut in the shop."""
_DECIMALS: Final = 10_000


@dataclass(frozen=True, slots=True)
class ShopCut:
    """How one sheet is cut in the shop: parallel cuts, and the length and width of its pieces, the low one first."""

    sheet: Sheet
    cut: Literal["rip", "crosscut"]
    pieces: tuple[tuple[Fraction, Fraction], ...]


@dataclass(frozen=True, slots=True)
class Carried:
    """The cheapest plan found with cuts in the shop: the plan, its cuts, and which sheets would not fit uncut.

    ``plan`` is None where no way of cutting gave one; ``tried`` how many ways were planned.
    """

    too_large: tuple[Sheet, ...]
    cuts: tuple[ShopCut, ...]
    plan: Plan | None
    tried: int


def shop_cuts(project: Project, sheet: Sheet) -> tuple[ShopCut, ...]:
    """Return the ways to cut a sheet in the shop into as few pieces as fit, all parallel; none where none does."""
    found: dict[tuple[tuple[Fraction, Fraction], ...], ShopCut] = {}
    for pieces in range(2, MOST_PIECES + 1):
        for cut in ("crosscut", "rip"):
            side = sheet.length if cut == "crosscut" else sheet.width
            for sizes in _parted(project, side, pieces):
                sized = tuple((s, sheet.width) if cut == "crosscut" else (sheet.length, s) for s in sizes)
                if all(fits(project, *piece) for piece in sized):
                    found.setdefault(tuple(sorted(sized)), ShopCut(sheet, cut, sized))
        if found:
            break
    return tuple(found.values())


def _parted(project: Project, side: Fraction, pieces: int) -> Iterator[tuple[Fraction, ...]]:
    """Yield ways to part a side: equal pieces on the fence's grid, and with two pieces as long a one as fits."""
    kerf, step, head = project.saw.kerf, project.project.fence_step, project.project
    equal = (side - (pieces - 1) * kerf) / pieces // step * step
    yield (*(equal,) * (pieces - 1), side - (pieces - 1) * (equal + kerf))
    if pieces == 2:
        for longest in (head.carry_length, head.carry_width):
            if longest is not None and side - longest - kerf > 0:
                yield longest, side - longest - kerf


def carried(
    project: Project,
    uncut: Plan | None,
    *,
    run: Run,
    seconds: float = 10.0,
    seed: int = 0,
    cancel: threading.Event | None = None,
    observer: Callable[[str], None] = lambda words: None,
) -> Carried | None:
    """Return the cheapest plan found with cuts in the shop; None where every stock to buy fits the vehicle.

    ``uncut`` is the plan without such cuts, whose bound holds here too.
    """
    large = too_large(project)
    if not large:
        return None
    ways = [shop_cuts(project, sheet) for sheet in large]
    if not all(ways):
        return Carried(large, (), None, 0)
    chosen = [tuple(cut or options[0] for cut, options in zip(row, ways, strict=True)) for row in zip_longest(*ways)]
    observer(f"{len(chosen)} ways of cutting in the shop")
    tasks = [plan_task(_on_pieces(project, cuts), seconds, seed) for cuts in chosen]
    texts = run(tasks, cancel or threading.Event(), lambda at, answer: None)
    best: tuple[Plan, tuple[ShopCut, ...]] | None = None
    for cuts, text in zip(chosen, texts, strict=True):
        plan = None if text is None else answer_of(text).plan
        if plan is not None:
            whole = _with_whole_sheets(project, plan, cuts, 0.0 if uncut is None else uncut.cost_bound)
            if best is None or whole.cost < best[0].cost:
                best = whole, cuts
    return Carried(large, best[1] if best else (), best[0] if best else None, len(chosen))


def piece_name(project: Project, sheet: Sheet, size: tuple[Fraction, Fraction], *, paid: bool) -> str:
    """Return the name of a piece: the sheet, its size, and of all but the one that is paid for that it comes along."""
    shown = " × ".join(show_length(side, project.unit, Fraction(1, 64)) for side in size)
    return f"{sheet.name[:80]}: {shown}" + ("" if paid else ", comes along")


def _on_pieces(project: Project, cuts: Sequence[ShopCut]) -> Project:
    """Return the project with every piece a stock of its own, priced by its share of the sheet's area."""
    data: dict[str, Any] = project_to_mapping(project)
    for cut in cuts:
        whole = sum((length * width for length, width in cut.pieces), Fraction(0))
        rows = []
        for size, many in Counter(cut.pieces).items():
            price = round(Fraction(cut.sheet.price) * size[0] * size[1] / whole * _DECIMALS) / Fraction(_DECIMALS)
            limit = None if cut.sheet.available is None else cut.sheet.available * many
            rows.append(_stock(project, cut.sheet, size, max(price, Fraction(1, _DECIMALS)), limit, paid=True))
        _replace(data, cut.sheet, rows)
    return project_from_mapping(data)


def _with_whole_sheets(project: Project, plan: Plan, cuts: Sequence[ShopCut], bound: float) -> Plan:
    """Return a plan on pieces with whole sheets paid for: of each one piece bears the price, the others come along.

    Raises :class:`~nesting.errors.Bug` where the plan then fails its check.
    """
    from nesting.check import check_plan

    data: dict[str, Any] = project_to_mapping(project)
    layouts = list(plan.layouts)
    for cut in cuts:
        rows = []
        many = Counter(cut.pieces)
        places = {
            size: [at for at, one in enumerate(layouts) if one.stock == piece_name(project, cut.sheet, size, paid=True)]
            for size in many
        }
        sheets = max(ceil(len(places[size]) / count) for size, count in many.items())
        bearer = max(many, key=lambda size: (ceil(len(places[size]) / many[size]), size))
        rows.append(_stock(project, cut.sheet, bearer, Fraction(cut.sheet.price), cut.sheet.available, paid=True))
        for size, count in many.items():
            paid = sheets if size == bearer else 0
            along = places[size][paid:]
            for at in along:
                name = piece_name(project, cut.sheet, size, paid=False)
                layouts[at] = layouts[at].model_copy(update={"stock": name})
            left = (count - (size == bearer)) * sheets
            if left:
                rows.append(_stock(project, cut.sheet, size, Fraction(0), left, paid=False))
        _replace(data, cut.sheet, rows)
    job = project_to_mapping(project_from_mapping(data))
    stocks = [*job["sheet"], *job["board"]]
    prices = {row["name"]: number(Fraction(str(row.get("price", 0)))) for row in stocks}
    used = Counter(layout.stock for layout in layouts)
    buy = tuple(
        BuyLine(stock=name, count=count, unit_price=prices.get(name, 0.0), cost=prices.get(name, 0.0) * count)
        for name, count in sorted(used.items())
    )
    cost = sum(line.cost for line in buy)
    least = min(bound, cost)
    changed = plan.model_copy(
        update={
            "layouts": tuple(layouts),
            "buy": buy,
            "cost": cost,
            "cost_bound": least,
            "proven": least >= cost,
            "bound_kind": None,
            "bound_text": None,
            "job": job,
        }
    )
    report = check_plan(changed)
    if report.faults:
        raise Bug("the plan fails its own check:\n" + "\n".join(str(fault) for fault in report.faults))
    return changed


def _stock(
    project: Project, sheet: Sheet, size: tuple[Fraction, Fraction], price: Fraction, limit: int | None, *, paid: bool
) -> dict[str, Any]:
    row = sheet.model_dump(mode="json", exclude_none=True, context={"unit": project.unit})
    row |= {"name": piece_name(project, sheet, size, paid=paid), "length": size[0], "width": size[1], "price": price}
    row.pop("available", None)
    return row if limit is None else row | {"available": limit}


def _replace(data: dict[str, Any], sheet: Sheet, rows: Sequence[dict[str, Any]]) -> None:
    kind = sheet.kind
    data[kind] = [one for row in data[kind] for one in (rows if row["name"] == sheet.name else (row,))]
