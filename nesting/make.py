"""The one way through: project → demand → patterns → layouts → steps → plan, checked before it leaves."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import count, product
from string import ascii_uppercase
from typing import TYPE_CHECKING

from nesting import carry
from nesting.demand import Group, groups
from nesting.document import plan_document
from nesting.errors import Bug, CannotBeDone
from nesting.hints import near_misses
from nesting.layout import stages
from nesting.lengths import show_length
from nesting.plan import Plan
from nesting.project.model import Project
from nesting.refusals import refusals
from nesting.savings import Fixed, fixed_pieces
from nesting.steps import Caution
from nesting.wall.fitting import Fitting, fit_out
from nesting.wall.load import Loads, loads
from nesting.wall.naming import lettered, pieces_of

if TYPE_CHECKING:
    from nesting.sequence import Work
    from nesting.solve.cutting import Cutting
    from nesting.solve.stop import Stop
    from nesting.trade.saw import Saw

SEARCH_SHARE = 0.75
"""Of the time given; the rest is for the order of the work and for what easier cutting would cost."""
SEQUENCE_SECONDS, SEQUENCE_SHARE = 1.0, 0.6
EASIER_SECONDS = 6.0
HANGING_SHARE = 0.15
"""Of the time given, for the hanging map; most take a tenth of a second."""
EASY_STAGES = 3


@dataclass(frozen=True, slots=True)
class Progress:
    """Where a job stands: seconds since its start, cost and bound so far (None: no plan yet), what is tried."""

    elapsed: float
    cost: Fraction | None
    bound: Fraction
    phase: str


@dataclass(frozen=True, slots=True)
class Made:
    """A checked plan, and what to say about it in plain sentences."""

    plan: Plan
    summary: tuple[str, ...]


Watcher = Callable[[Progress], None]


def plan_project(
    project: Project,
    *,
    seconds: float = 10.0,
    seed: int = 0,
    cancel: threading.Event | None = None,
    observer: Watcher | None = None,
    group: int | None = None,
    easier: bool = True,
) -> Made:
    """Return a checked plan for a project, the cheapest found in about ``seconds``.

    Ends earlier where the plan is proven. Setting ``cancel`` ends the search; the best plan so far is kept and
    said to be unproven. ``group`` works the sheets so many at a time. ``easier`` has the summary say what cutting in
    fewer stages would cost, which the plan itself does not need. Raises
    :class:`~nesting.errors.CannotBeDone` with every reason where a part fits no stock, the stock runs out or no
    station can make a cut, and :class:`~nesting.errors.Bug` where the finished plan fails its check.
    """
    from nesting.check import check_plan
    from nesting.solve.stop import Stop

    stop = Stop.after(seconds, cancel)
    fitting = fit_out(project, HANGING_SHARE * seconds, seed, cancel)
    parted = groups(project, fitting)
    job = _Job(project, parted, stop, seed)
    if reasons := refusals(project, parted, job.rules):
        raise CannotBeDone(reasons)
    cuttings = job.cut(observer)
    if fitting is not None:
        cuttings = [_lettered(fitting, cutting) for cutting in cuttings]
    saved = job.saved(cuttings)
    work = job.work(cuttings, group)
    summary, cautions = job.told(cuttings, work, easier=easier)
    cautions += carry.cautions(project, (layout.stock for layout in work.layouts))
    carried: Loads | None = None
    if fitting is not None:
        summary = (*summary, *([saved.sentence] if saved is not None and saved.sentence else []))
        carried = loads(project, fitting.built, tuple(pieces_of(fitting.runs, work.layouts)), fitting.hanging.hung)
        cautions = [*fitting.cautions, *carried.cautions, *cautions]
    plan = plan_document(project, cuttings, work, cautions, seed, seconds, fitting, saved, carried)
    report = check_plan(plan, project)
    if report.faults:
        raise Bug("the plan fails its own check:\n" + "\n".join(str(fault) for fault in report.faults))
    return Made(plan, summary)


def _lettered(fitting: Fitting, cutting: Cutting) -> Cutting:
    return replace(cutting, candidates=tuple(lettered(fitting.runs, layouts) for layouts in cutting.candidates))


def saw_of(project: Project) -> Saw:
    """Return the saw of a project as the working order knows it."""
    from nesting.trade.saw import Saw

    saw = project.saw
    return Saw(
        saw.kerf,
        project.unit,
        project.project.fence_step,
        saw.blade_leans,
        saw.fence_side,
        saw.rip_capacity,
        saw.crosscut_capacity,
        saw.narrowest_rip,
        saw.shortest_against_fence,
        saw.breakdown_saw,
        saw.sled_shares_table,
        saw.fence_crosscuts,
        saw.edge_trim,
    )


def letters() -> Iterator[str]:
    """Yield A, B, … Z, AA, AB, …: the names of stocks in layout ids."""
    for size in count(1):
        yield from ("".join(chosen) for chosen in product(ascii_uppercase, repeat=size))


class _Job:
    """One project on its way; holds what every stage needs, changes nothing of it."""

    def __init__(self, project: Project, parted: Sequence[Group], stop: Stop, seed: int) -> None:
        from nesting.solve.grid import Rules

        saw = project.saw
        self.project, self.groups, self.stop, self.seed = project, parted, stop, seed
        self.rules = Rules(saw.kerf, project.project.fence_step, project.cleats.bevel, saw.first_cut, saw.max_stages)
        self.letters = dict(zip((stock.name for stock in project.stocks), letters(), strict=False))

    def length(self, value: Fraction) -> str:
        """Return a length as a person reads it."""
        return show_length(value, self.project.unit, self.project.project.fence_step)

    # -- layouts

    def cut(self, observer: Watcher | None) -> list[Cutting]:
        """Solve each thickness by itself, sharing out the time that is left."""
        from nesting.solve.cutting import cut_group

        begun = time.perf_counter()
        search = self.stop.within(SEARCH_SHARE * self.stop.left())
        cuttings: list[Cutting] = []
        for at, group in enumerate(self.groups):
            before = sum((cutting.cost for cutting in cuttings), Fraction(0))
            bounded = sum((cutting.bound for cutting in cuttings), Fraction(0))
            last = at == len(self.groups) - 1

            def tell(
                cost: Fraction | None,
                bound: Fraction,
                phase: str,
                before: Fraction = before,
                bounded: Fraction = bounded,
                last: bool = last,
            ) -> None:
                if observer is not None:
                    whole = before + cost if last and cost is not None else None
                    observer(Progress(time.perf_counter() - begun, whole, bounded + bound, phase))

            share = search.within(search.left() / (len(self.groups) - at))
            cuttings.append(cut_group(group, self.rules, self.project.unit, self.letters, share, self.seed, tell))
        missing = [reason for cutting in cuttings for reason in cutting.missing]
        if missing:
            raise CannotBeDone(missing)
        for group, cutting in zip(self.groups, cuttings, strict=True):
            if not cutting.candidates:
                thick = self.length(group.stocks[0].thickness)
                raise CannotBeDone([f"no plan for the {thick} thick stock was found before the search ended"])
        return cuttings

    # -- steps

    def work(self, cuttings: Sequence[Cutting], group: int | None) -> Work:
        """Among layouts of equal cost take those that need the fewest settings, solved over all sheets together."""
        from nesting.sequence import plan_choice

        bench = saw_of(self.project)
        stocks = {stock.name: stock for group_ in self.groups for stock in group_.stocks}
        free = self.rules.max_stages is None and self.rules.first_cut == "any"  # joined trims would add stages
        return plan_choice(
            [cutting.candidates for cutting in cuttings],
            bench,
            stocks=stocks,
            rearrange=free,
            group=group,
            seconds=min(SEQUENCE_SECONDS, SEQUENCE_SHARE * self.stop.left()),
            stop=self.stop,
        )

    def saved(self, cuttings: Sequence[Cutting]) -> Fixed | None:
        """Return what the job would take with fixed wall pieces, where there is a choice."""
        return fixed_pieces(self.project, self.groups, cuttings, self.rules, self.letters, self.stop, self.seed)

    # -- words

    def told(self, cuttings: Sequence[Cutting], work: Work, *, easier: bool) -> tuple[tuple[str, ...], list[Caution]]:
        """Return the summary in sentences, and the warnings of layouts and sizes."""
        summary: list[str] = []
        cautions: list[Caution] = list(near_misses(self.project, self.groups))
        for group, cutting in zip(self.groups, cuttings, strict=True):
            if not cutting.exact:
                cautions.append(
                    Caution("rounded_grid", "Some lengths are finer than the search can hold; sizes were rounded up.")
                )
            cautions += [Caution("plain_search", f"{warning[0].upper()}{warning[1:]}.") for warning in cutting.warnings]
            thickness = f"{self.length(group.stocks[0].thickness)} {self.project.unit}"
            if not cutting.candidates[0]:
                continue
            if cutting.proven:
                why = f": {cutting.why.sentence}" if cutting.why.sentence else ""
                summary.append(f"{thickness} thick: nothing cheaper can do it{why}.")
            else:
                gap = cutting.cost - cutting.bound
                summary.append(
                    f"{thickness} thick: not proven cheapest; a plan could cost at most "
                    f"{float(gap):.2f} {self.project.project.currency} less."
                )
                cautions.append(
                    Caution("unproven", f"The cost of the {thickness} thick stock is not proven to be the least.")
                )
        if easier and self.rules.max_stages is None and not self.stop.reached():
            summary += self._easier(cuttings, work)
        return tuple(summary), cautions

    def _easier(self, cuttings: Sequence[Cutting], work: Work) -> Iterator[str]:
        """Say what cutting in three stages would cost, where the plan needs more."""
        from nesting.solve.cutting import cut_group

        deepest = max((stages(layout) for layout in work.layouts), default=0)
        if deepest <= EASY_STAGES:
            return
        rules = replace(self.rules, max_stages=EASY_STAGES)
        hard = [
            (group, cutting)
            for group, cutting in zip(self.groups, cuttings, strict=True)
            if max((stages(layout) for layout in cutting.candidates[0]), default=0) > EASY_STAGES
        ]
        stop = self.stop.within(EASIER_SECONDS)
        total = sum((cutting.cost for cutting in cuttings), Fraction(0))
        for at, (group, cutting) in enumerate(hard):
            bare = replace(group, panels=tuple(panel for panel in group.panels if not panel.filler))
            share = stop.within(stop.left() / (len(hard) - at))
            easy = cut_group(bare, rules, self.project.unit, self.letters, share, self.seed, patience=0.0)
            if not easy.candidates:
                yield f"The plan cuts in {deepest} stages; no plan of {EASY_STAGES} stages was found in the time given."
                return
            total += easy.cost - cutting.cost
        cost = sum((cutting.cost for cutting in cuttings), Fraction(0))
        currency = self.project.project.currency
        if total <= cost:
            yield (
                f"The plan cuts in {deepest} stages; easier cutting in at most {EASY_STAGES} would cost no more, "
                f"though it may take more settings (max_stages = {EASY_STAGES})."
            )
        else:
            yield (
                f"The plan cuts in {deepest} stages; easier cutting in at most {EASY_STAGES} would cost "
                f"{float(total - cost):.2f} {currency} more, as far as was found."
            )
