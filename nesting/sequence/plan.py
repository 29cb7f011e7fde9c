"""From layouts to steps: the one way through."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from nesting.layout import Layout
from nesting.sequence.carry_out import Workshop
from nesting.sequence.cautions import cautions
from nesting.sequence.count import count, number
from nesting.sequence.divide import Divider
from nesting.sequence.divisions import Division, StockFacts
from nesting.sequence.job import Job, Op, merge
from nesting.sequence.reasons import rules_in_force, settings_sheet_by_sheet, why_settings_recur
from nesting.sequence.settings import Found, fewest, simple_bound
from nesting.sequence.tidy import tidied
from nesting.solve.stop import Stop
from nesting.steps import Sequence as Steps
from nesting.trade.saw import Saw

EFFORT = 0.5
"""Of the solver's own seconds, which pass about so fast, granted for a second of the clock."""
SLOW = 15.0
"""Times as long as asked for that the clock may run, on a slow or busy machine, before it ends the search."""


@dataclass(frozen=True, slots=True)
class Work:
    """What comes of planning the work: the layouts as they are cut, and the steps that cut them.

    With ``rearrange`` the layouts are new: the same parts and offcuts of the same sizes, but parallel cuts joined and
    taken in another order, waste gathered at the high edge, every piece with a new id.

    ``group`` is how many layouts were worked at a time, None for all together.
    ``sheet_by_sheet`` is what the layouts as given need when each is worked to its end before the next (None where only
    the rearranged ones can be cut at all), ``recurring`` says why a setting is made more than once, ``rules`` under
    which rules ``setups.bound`` holds, ``among`` how many sets of layouts of equal cost there were to choose from.
    """

    layouts: tuple[Layout, ...]
    sequence: Steps
    sheet_by_sheet: int | None
    recurring: tuple[str, ...]
    rules: tuple[str, ...]
    group: int | None = None
    among: int = 1


def plan_work(
    layouts: Sequence[Layout],
    saw: Saw,
    *,
    stocks: Mapping[str, StockFacts] | None = None,
    rearrange: bool = True,
    group: int | None = None,
    seconds: float = 1.0,
    seed: int = 0,
    stop: Stop | None = None,
) -> Work:
    """Plan the work at the saw for all layouts together.

    ``stocks`` tells kind and trim of each stock by name (without it every stock has the saw's ``edge_trim``).
    ``rearrange`` allows strips to be taken in another order than drawn. ``group`` works the layouts so many at a time.
    ``seconds`` limits the search for fewer settings, ``seed`` fixes its chance. What counts is the solver's own measure
    of its work, so that the same job gives the same order every time; the clock ends it only where that takes several
    times as long, or at ``stop``.
    Raises :class:`nesting.errors.CannotBeDone` with every cut that no station can make.
    """
    stop = clock(seconds, stop)
    cut_up = Divided(layouts, saw, stocks or {}, rearrange=rearrange, group=group)
    return cut_up.worked(EFFORT * seconds, seed, stop)[0]


def clock(seconds: float, stop: Stop | None) -> Stop:
    """Return when the clock ends a search that was given so many seconds."""
    return stop.within(SLOW * seconds) if stop else Stop.after(SLOW * seconds)


class Divided:
    """Layouts taken apart into operations, for one saw under one set of rules; nothing is ordered yet."""

    def __init__(
        self,
        layouts: Sequence[Layout],
        saw: Saw,
        stocks: Mapping[str, StockFacts],
        *,
        rearrange: bool,
        group: int | None,
    ) -> None:
        """Raise :class:`nesting.errors.CannotBeDone` with every cut that no station can make."""
        self.layouts, self.saw, self.stocks, self.rearrange, self.group = layouts, saw, stocks, rearrange, group
        self.divider = Divider(saw, tuple(layouts), dict(stocks), rearrange=rearrange)
        self.wholes = [self.divider.divide(layout) for layout in layouts]
        self.divider.check()
        pieces = [(layout.id, d) for layout, d in zip(layouts, self.wholes, strict=True) if d is not None]
        size = group or max(1, len(pieces))
        self.jobs = [merge(pieces[start : start + size]) for start in range(0, len(pieces), size)]

    @property
    def size(self) -> int:
        """How many operations there are."""
        return sum(len(job.ops) for job in self.jobs)

    def at_least(self) -> int:
        """Return a quick bound: different settings of each phase, less what may still stand from the one before."""
        carried = _Carried(self.saw.sled_shares_table)
        bound = 0
        for job in self.jobs:
            for phase, tilt in enumerate(job.phases):
                ops = job.of_phase(phase)
                bound += simple_bound(ops) - carried.into(ops, tilt)
        return bound

    def worked(self, effort: float, seed: int, stop: Stop) -> tuple[Work, float]:
        """Return the order with the fewest settings found with so much effort, and the effort it took."""
        saw = self.saw
        workshop = Workshop(self.layouts, self.wholes, saw.kerf)
        carried = _Carried(saw.sled_shares_table)
        bound, spent, to_do = 0, 0.0, sum(len(job.ops) for job in self.jobs)
        for job in self.jobs:
            part = len(job.ops) / max(1, to_do)
            to_do -= len(job.ops)
            found = _orders(job, saw, stop.within(stop.left() * part), seed, (effort - spent) * part)
            for phase, tilt in enumerate(job.phases):
                workshop.work(found[phase].order)
                bound += found[phase].bound - carried.into(job.of_phase(phase), tilt)
                spent += found[phase].effort
        made = workshop.layouts(renumber=self.rearrange)
        job_of = {layout: n for n, job in enumerate(self.jobs) for group in job.groups for layout, _ in group.pieces}
        steps = tidied(made, number(workshop.steps(), saw), saw.unit, lambda step: job_of[step.layout])
        steps = number(steps, saw)
        work = Work(
            made,
            Steps(steps, count(steps, saw, bound), cautions(made, steps, saw, self.divider.trim_of)),
            self._sheet_by_sheet(),
            why_settings_recur(steps, saw),
            rules_in_force(saw, self.group, rearrange=self.rearrange),
            self.group,
        )
        return work, spent

    def _sheet_by_sheet(self) -> int | None:
        drawn: Sequence[Division | None] = self.wholes
        if self.rearrange:
            given = Divider(self.saw, tuple(self.layouts), dict(self.stocks), rearrange=False)
            drawn = [given.divide(layout) for layout in self.layouts]
            if given.reasons:
                return None
        return settings_sheet_by_sheet(drawn, self.saw)


def plan_steps(
    layouts: Sequence[Layout],
    saw: Saw,
    *,
    stocks: Mapping[str, StockFacts] | None = None,
    group: int | None = None,
    seconds: float = 1.0,
    seed: int = 0,
    stop: Stop | None = None,
) -> Steps:
    """Return the steps that cut exactly the trees given; see :func:`plan_work` for the rest."""
    work = plan_work(layouts, saw, stocks=stocks, rearrange=False, group=group, seconds=seconds, seed=seed, stop=stop)
    return work.sequence


def _orders(job: Job, saw: Saw, stop: Stop, seed: int, effort: float) -> dict[int, Found]:
    """Return the order of each phase; the small ones are solved first, the effort left goes to the largest."""
    ops = {phase: job.of_phase(phase) for phase in range(len(job.phases))}
    found = {}
    for phase in sorted(ops, key=lambda p: len(ops[p])):
        roots = [g for g in job.groups if g.phase == phase and (g.made_by is None or g.made_by.group.phase < phase)]
        found[phase] = fewest(ops[phase], roots, phase, stop, seed, shared=saw.sled_shares_table, effort=effort)
        effort -= found[phase].effort
    return found


class _Carried:
    """Keeps which settings may still stand when a phase begins, so that the bounds of phases may be added up."""

    def __init__(self, shared: bool) -> None:
        self.shared = shared
        self.standing: dict[str, set[tuple[str, Fraction, Fraction]]] = {}

    def into(self, ops: Sequence[Op], tilt: Fraction) -> int:
        """Return how many settings at most a phase takes over from the one before, and go on to the next."""
        used: dict[str, set[tuple[str, Fraction, Fraction]]] = {}
        for op in ops:
            for way in op.ways.values():
                table = "table" if self.shared else way.station
                used.setdefault(table, set()).add((way.station, way.setting, tilt))
        saved = sum(bool(settings & self.standing.get(table, set())) for table, settings in used.items())
        self.standing |= used
        return saved
