"""Within a budget: how much of a job a sum of money or a number of sheets does, and the plan for it.

What comes first: whole rows of the wall, from the side where it starts; then running length of the next row, from its
low end to a stud; then everything else in the order of cleats, holders and parts in the file, copy by copy; fillers
in what is left over. Without a wall a row is a wall cleat asked for, in the order of the file.

Each of these is a ladder: whatever can be done with the next rung can be done without it, so the highest rung
within the limit is found by probing a few at a time. That the next one is out of reach is said to be proven only
where the bound on its cost lies above the limit.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil
from typing import Any, Final

from nesting.compare.together import cores
from nesting.compare.work import Answer, answer_of, plan_task
from nesting.errors import Bug
from nesting.plan import Plan, number
from nesting.project.model import Project
from nesting.project.read import project_from_mapping, project_to_mapping
from nesting.wall.rows import Row, rows

LATER: Final = "left for later"
DEAREST: Final = 10**9
"""No price is higher, as in a project file."""

Run = Callable[[Sequence[str], threading.Event, Callable[[int, str], None]], list[str | None]]
"""Carries out tasks: :func:`nesting.compare.together.all_of`, or its counterpart on a cluster."""


@dataclass(frozen=True, slots=True)
class Limit:
    """What may be spent: an amount of money, or a number of sheets to buy."""

    money: float | None = None
    sheets: int | None = None

    def keeps(self, plan: Plan) -> bool:
        """Whether a plan stays within the limit."""
        if self.money is not None:
            return plan.cost <= self.money + 1e-9
        return self.sheets is None or bought(plan) <= self.sheets

    def refutes(self, plan: Plan, dearest: Fraction) -> bool:
        """Whether the bound of a plan shows that no plan for the same job stays within the limit."""
        if self.money is not None:
            return plan.cost_bound > self.money + 1e-9
        return self.sheets is not None and plan.cost_bound > float(self.sheets * dearest) + 1e-6


@dataclass(frozen=True, slots=True)
class Part:
    """How much of the job: whole rows, then up to ``until`` along the next one, then so many other pieces."""

    rows: int = 0
    until: Fraction | None = None
    others: int = 0


@dataclass(frozen=True, slots=True)
class Within:
    """What a limit buys: of ``rows`` and ``others`` how many of how many; length of wall cleats of how much.

    ``plan`` is None where nothing at all can be done. ``proven``: no plan does one row more, or, all rows done, one
    piece more. ``early``: it was stopped before its end.
    """

    limit: Limit
    part: Part
    plan: Plan | None
    rows: tuple[int, int]
    rail: tuple[Fraction, Fraction]
    others: tuple[int, int]
    proven: bool
    early: bool = False


def bought(plan: Plan) -> int:
    """Return how many pieces of stock a plan buys."""
    return sum(line.count for line in plan.buy if line.unit_price)


def within(
    project: Project,
    limit: Limit,
    *,
    run: Run,
    seconds: float = 10.0,
    seed: int = 0,
    cancel: threading.Event | None = None,
    observer: Callable[[str], None] = lambda words: None,
) -> Within:
    """Return the most that a limit does of a project, with the plan for it.

    Raises :class:`~nesting.errors.CannotBeDone` where the wall takes no row at all.
    """
    search = _Search(project, limit, run, seconds, seed, cancel or threading.Event(), observer)
    return search.result()


class _Search:
    def __init__(
        self,
        project: Project,
        limit: Limit,
        run: Run,
        seconds: float,
        seed: int,
        cancel: threading.Event,
        observer: Callable[[str], None],
    ) -> None:
        self.project, self.limit, self.run, self.seconds, self.seed = project, limit, run, seconds, seed
        self.cancel, self.observer = cancel, observer
        self.rows = in_order(project)
        self.cleats = () if self.rows else wall_cleats(project)
        self.others = others(project, wall=bool(self.rows))
        self.prices = _by_count(project) if limit.sheets is not None else project
        self.dearest = max((Fraction(stock.price) for stock in self.prices.stocks), default=Fraction(0))
        self.kept: dict[Part, Plan] = {}

    def result(self) -> Within:
        total = len(self.rows) or len(self.cleats)
        done, sure = self.highest(total, lambda n: Part(rows=n))
        part = Part(rows=done)
        if self.rows and done < total:
            ends = list(stops(self.rows[done]))
            reached, _ = self.highest(len(ends), lambda n: Part(done, ends[n - 1] if n else None))
            part = Part(done, ends[reached - 1] if reached else None)
        more, sure_of_more = self.highest(len(self.others), lambda n: replace(part, others=n))
        part = replace(part, others=more)
        proven = sure if done < total else sure_of_more
        plan = self.finished(part)
        return Within(
            self.limit,
            part,
            plan,
            (done, total),
            (self.rail(part), self.rail(Part(rows=total))),
            (more, len(self.others)),
            proven and not self.cancel.is_set(),
            self.cancel.is_set(),
        )

    def highest(self, count: int, part: Callable[[int], Part]) -> tuple[int, bool]:
        """Return the highest rung within the limit, and whether the next one is proven out of reach."""
        low, high, sure = 0, count + 1, True
        while high - low > 1 and not self.cancel.is_set():
            first = high == count + 1 and low == 0
            probes = _between(low, high, max(1, cores()), top=first)
            answers = self.planned([part(n) for n in probes], self.prices)
            for n, answer in zip(probes, answers, strict=True):
                plan = None if answer is None else answer.plan
                if plan is not None and self.limit.keeps(plan):
                    low = max(low, n)
                    self.kept[part(n)] = plan
                elif n < high and answer is not None:
                    high, sure = n, plan is not None and self.limit.refutes(plan, self.dearest)
        return low, sure

    def planned(self, parts: Sequence[Part], project: Project, *, fillers: bool = False) -> list[Answer | None]:
        jobs = [self.job(part, project, fillers=fillers) for part in parts]
        tasks = [plan_task(job, self.seconds, self.seed) for job in jobs]
        self.observer(", ".join(self.words(part) for part in parts))
        return [
            None if text is None else answer_of(text)
            for text in self.run(tasks, self.cancel, lambda number, answer: None)
        ]

    def finished(self, part: Part) -> Plan | None:
        """Return the plan for what can be done, with the fillers where these too were planned in time."""
        if part == Part():
            return None
        (answer,) = self.planned([part], self.prices, fillers=True)
        plan = answer.plan if answer is not None else None
        if plan is None or not self.limit.keeps(plan):
            plan = self.kept.get(part)
        if plan is None or self.limit.sheets is None:
            return plan
        return at_true_prices(plan, self.project)

    def words(self, part: Part) -> str:
        total = len(self.rows) or len(self.cleats)
        rest = f" and {part.others} other pieces" if part.others else ""
        return f"{part.rows} of {total} rows{' and part of one' if part.until is not None else ''}{rest}"

    def rail(self, part: Part) -> Fraction:
        """Return the length of the wall cleats that a part of the job has."""
        if not self.rows:
            return sum((self.project.cleat[at].length for _, at in self.cleats[: part.rows]), Fraction(0))
        whole = sum((run.length for row in self.rows[: part.rows] for run in row.runs), Fraction(0))
        if part.until is None:
            return whole
        started = [run for run in self.rows[part.rows].runs if run.x < part.until]
        return whole + sum((min(run.end, part.until) - run.x for run in started), Fraction(0))

    def job(self, part: Part, project: Project, *, fillers: bool) -> Project:
        """Return the project that asks for a part of the job alone."""
        data: dict[str, Any] = project_to_mapping(project)
        wanted = [*self.cleats[: part.rows], *self.others[: part.others]]
        for kind in ("cleat", "holder", "part"):
            entries = []
            for at, entry in enumerate(data[kind]):
                copies = sum(one == (kind, at) for one in wanted)
                if copies:
                    entries.append(entry | {"quantity": copies})
                elif fillers and entry.get("filler"):
                    entries.append(entry)
            data[kind] = entries
        wall = data.pop("wall", None)
        if wall is not None and (part.rows or part.until is not None):
            data["wall"] = self.wall(wall, part)
        return project_from_mapping(data)

    def wall(self, wall: dict[str, Any], part: Part) -> dict[str, Any]:
        """Return the wall with the rows of a part of the job, what is left of a row kept free as it were."""
        chosen = list(self.rows[: part.rows])
        keepouts = list(wall.get("keepout", ()))
        if part.until is not None:
            row = self.rows[part.rows]
            chosen.append(row)
            rest = {"x": part.until, "y": row.y, "height": self.project.cleats.wall_height}
            width = self.project.wall.width - part.until if self.project.wall is not None else Fraction(0)
            keepouts.append({"name": _free_name(keepouts), "width": width, **rest})
        kept = {key: value for key, value in wall.items() if key != "gap"}
        return kept | {"rows": [row.y for row in chosen], "keepout": keepouts}


def in_order(project: Project) -> tuple[Row, ...]:
    """Return the rows of a project's wall that take cleats, the first to be put up first; none without a wall."""
    found = tuple(row for row in rows(project) if row.runs)
    return found if project.wall is None or project.wall.start == "top" else tuple(reversed(found))


def stops(row: Row) -> Iterator[Fraction]:
    """Yield where a row may end for now: every stud from the second behind a run on, the end of every run but one."""
    for run in row.runs:
        yield from (centre for centre in run.studs[1:] if centre < run.end)
        if run is not row.runs[-1]:
            yield run.end


Copies = tuple[tuple[str, int], ...]
"""Each copy of a piece as its table and its place in the file."""


def wall_cleats(project: Project) -> Copies:
    """Return each copy of each wall cleat asked for directly, in the order of the file."""
    asked = [(at, one.quantity) for at, one in enumerate(project.cleat) if one.kind == "wall"]
    return tuple(("cleat", at) for at, quantity in asked for _ in range(quantity))


def others(project: Project, *, wall: bool) -> Copies:
    """Return each copy of everything but rows and fillers; ``wall``: wall cleats asked for directly are among it."""
    asked = [("cleat", at, one.quantity) for at, one in enumerate(project.cleat) if wall or one.kind != "wall"]
    asked += [("holder", at, one.quantity) for at, one in enumerate(project.holder)]
    asked += [("part", at, one.quantity) for at, one in enumerate(project.part) if not one.filler]
    return tuple((kind, at) for kind, at, quantity in asked for _ in range(quantity))


def _between(low: int, high: int, most: int, *, top: bool) -> list[int]:
    """Return up to ``most`` rungs between two, evenly spread; ``top``: the topmost first of all.

    >>> _between(0, 11, 2, top=True), _between(0, 10, 2, top=False), _between(3, 5, 4, top=False)
    ([5, 10], [3, 6], [4])
    """
    inner = range(low + 1, high)
    if len(inner) <= most:
        return list(inner)
    if top:
        return sorted({*_between(low, high - 1, most - 1, top=False), high - 1}) if most > 1 else [high - 1]
    return sorted({low + (high - low) * n // (most + 1) for n in range(1, most + 1)} - {low})


def _by_count(project: Project) -> Project:
    """Return a project whose prices count sheets first and money second, so that the fewest sheets are cheapest."""
    dearest = max((stock.price for stock in (*project.sheet, *project.board)), default=Fraction(0))
    much = min(1000 * (1 + ceil(dearest)), DEAREST - ceil(dearest))

    def priced(stock: Any) -> Any:
        return stock.model_copy(update={"price": stock.price + much}) if stock.price else stock

    return project.model_copy(
        update={"sheet": tuple(map(priced, project.sheet)), "board": tuple(map(priced, project.board))}
    )


def at_true_prices(plan: Plan, project: Project) -> Plan:
    """Return a plan that was made to buy few sheets with the money that they cost; its cost is not proven least.

    Raises :class:`~nesting.errors.Bug` where the plan then fails its check.
    """
    from nesting.check import check_plan

    prices = {stock.name: number(Fraction(stock.price)) for stock in project.stocks}
    buy = tuple(
        line.model_copy(update={"unit_price": prices[line.stock], "cost": prices[line.stock] * line.count})
        for line in plan.buy
    )
    job = dict(plan.job or {})
    for kind in ("sheet", "board"):
        job[kind] = [{**row, "price": prices[row["name"]]} for row in job.get(kind, ())]
    cost = sum(line.cost for line in buy)
    told = {"buy": buy, "cost": cost, "cost_bound": 0.0, "proven": cost == 0, "bound_kind": None, "bound_text": None}
    changed = plan.model_copy(update=told | {"job": job})
    report = check_plan(changed)
    if report.faults:
        raise Bug("the plan fails its own check:\n" + "\n".join(str(fault) for fault in report.faults))
    return changed


def _free_name(keepouts: Sequence[dict[str, Any]]) -> str:
    taken = {keepout["name"] for keepout in keepouts}
    return next(name for name in (LATER, *(f"{LATER} {n}" for n in range(2, len(taken) + 3))) if name not in taken)
