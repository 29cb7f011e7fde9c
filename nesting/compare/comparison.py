"""The comparison as a whole: every alternative planned, the yield curves of their sheets, sweet spots confirmed."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from nesting.compare.alternatives import Alternative, Asked, alternatives, cleat_stock, yield_of
from nesting.compare.budget import Limit, Run, Within, within
from nesting.compare.carry import Carried, carried
from nesting.compare.table import Row, row_of
from nesting.compare.together import all_of, compiling
from nesting.compare.work import answer_of, confirm_task, confirmed_of, plan_task
from nesting.lengths import show_length
from nesting.project.model import Project
from nesting.yield_curve import SweetSpot, Yield, usual_range

MOST_CONFIRMED: Final = 5
"""Curves whose sweet spots the solver confirms: those that are drawn."""


@dataclass(frozen=True, slots=True)
class News:
    """How far a comparison is: tasks done and in all, and what the last one came to, in words."""

    done: int
    total: int
    words: str


@dataclass(frozen=True, slots=True)
class Curve:
    """The yield of one sheet and blade; ``confirmed``: by the solver, spot by spot, fewer where it was stopped."""

    name: str
    sheet: Yield
    spots: tuple[SweetSpot, ...]
    confirmed: tuple[bool, ...] = ()


@dataclass(frozen=True, slots=True)
class Comparison:
    """All that is known of the alternatives, in the order they were asked for; ``between`` which heights curves run."""

    project: Project
    rows: tuple[Row, ...]
    curves: tuple[Curve, ...]
    heights: tuple[Fraction, ...]
    between: tuple[Fraction, Fraction]
    within: tuple[tuple[str, Within], ...] = ()
    """What a limit buys of each alternative, by its label."""
    carried: Carried | None = None
    """The cheapest alternative with cuts in the shop of purchase; None where everything fits the vehicle."""

    @property
    def best(self) -> Within | None:
        """Where most is done: rows first, then running length, then the rest, then for less money."""
        done = [one for _, one in self.within if one.plan is not None]
        return max(done, key=_how_much, default=None)


def compare(
    project: Project,
    asked: Asked,
    *,
    seconds: float = 10.0,
    seed: int = 0,
    cancel: threading.Event | None = None,
    observer: Callable[[News], None] = lambda news: None,
    run: Run = all_of,
    limit: Limit | None = None,
) -> Comparison:
    """Return what every alternative comes to, planned as :func:`nesting.make.plan_project` plans it alone.

    With a ``limit`` it is also found how much of each alternative that does. Setting ``cancel`` finishes with what
    there is. Raises :class:`~nesting.errors.BadInput` with every fault in what
    is asked; an alternative that cannot be done is a row with its reasons.
    """
    cancel = cancel or threading.Event()
    chosen = alternatives(project, asked)
    heights = tuple(dict.fromkeys(c.choice.cleat_height or project.cleats.wall_height for c in chosen))
    low, high = usual_range(tuple(h for h in heights if h > _rise(chosen)), project.unit)
    curves = tuple(_curves(project, chosen, low, high))
    possible = [alternative for alternative in chosen if alternative.project is not None]
    tasks = [plan_task(one.project, seconds, seed) for one in possible if one.project is not None]
    tasks += [confirm_task(curve.sheet, curve.spots) for curve in curves[:MOST_CONFIRMED]]
    observer(News(0, len(tasks), "begun"))
    done = 0

    def heard(number: int, text: str) -> None:
        nonlocal done
        done += 1
        observer(News(done, len(tasks), _words(possible[number], text) if number < len(possible) else "yield curve"))

    limited: list[tuple[str, Within]] = []
    cut: Carried | None = None
    with compiling():
        answers = run(tasks, cancel, heard)
        if limit is not None:
            for one in possible:
                told = Told(one.label, len(tasks), observer)
                assert one.project is not None  # noqa: S101  (it is possible)
                found = within(one.project, limit, run=run, seconds=seconds, seed=seed, cancel=cancel, observer=told)
                limited.append((one.label, found))
        planned = {
            id(one): None if text is None else answer_of(text) for one, text in zip(possible, answers, strict=False)
        }
        rows = tuple(row_of(one, planned.get(id(one))) for one in chosen)
        cheapest = _cheapest(rows)
        if cheapest.project is not None:
            told = Told(cheapest.label, len(tasks), observer)
            uncut = next(row.plan for row in rows if row.alternative is cheapest)
            cut = carried(cheapest.project, uncut, run=run, seconds=seconds, seed=seed, cancel=cancel, observer=told)
    checks = [() if text is None else confirmed_of(text) for text in answers[len(possible) :]]
    return Comparison(
        project,
        rows,
        tuple(
            Curve(curve.name, curve.sheet, curve.spots, checks[n] if n < len(checks) else ())
            for n, curve in enumerate(curves)
        ),
        heights,
        (low, high),
        tuple(limited),
        cut,
    )


def _curves(project: Project, chosen: Sequence[Alternative], low: Fraction, high: Fraction) -> Iterator[Curve]:
    """Yield the curve of every sheet and blade among the alternatives once, named by what tells them apart."""
    found: dict[Yield, str] = {}
    for alternative in chosen:
        sheet = None if alternative.project is None else yield_of(alternative.project)
        if alternative.project is not None and sheet is not None:
            stock = cleat_stock(alternative.project)
            found.setdefault(sheet, stock.name if stock else "")
    kerfs = {sheet.rule.kerf for sheet in found}
    for sheet, name in found.items():
        kerf = show_length(sheet.rule.kerf, project.unit, Fraction(1, 64))
        told = f"{name}, kerf {kerf} {project.unit}" if len(kerfs) > 1 else name
        yield Curve(told, sheet, sheet.sweet_spots(max(low, sheet.lowest), high, project.unit))


def _cheapest(rows: Sequence[Row]) -> Alternative:
    """Return the alternative of the cheapest plan, or the first where there is none."""
    return min(rows, key=lambda row: float("inf") if row.plan is None else row.plan.cost).alternative


def _how_much(one: Within) -> tuple[int, Fraction, int, float]:
    assert one.plan is not None  # noqa: S101  (only what was planned is asked)
    return one.rows[0], one.rail[0], one.others[0], -one.plan.cost


@dataclass(frozen=True, slots=True)
class Told:
    """Hands on what is being probed for one alternative."""

    label: str
    total: int
    observer: Callable[[News], None]

    def __call__(self, words: str) -> None:
        """Tell the observer."""
        self.observer(News(self.total, self.total, f"{self.label}, {words}"))


def _rise(chosen: Sequence[Alternative]) -> Fraction:
    """Return how deep the deepest bevel is: no cleat is as low as that."""
    sheets = [yield_of(one.project) for one in chosen if one.project is not None]
    return max((sheet.rule.rise for sheet in sheets if sheet is not None), default=Fraction(0))


def _words(alternative: Alternative, text: str) -> str:
    answer = answer_of(text)
    if answer.plan is None:
        return f"{alternative.label}: cannot be done"
    return f"{alternative.label}: {answer.plan.cost:.2f}"
