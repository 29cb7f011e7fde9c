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
from nesting.sequence.divisions import StockFacts
from nesting.sequence.job import Job, Op, merge
from nesting.sequence.reasons import rules_in_force, settings_sheet_by_sheet, why_settings_recur
from nesting.sequence.settings import Found, fewest
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
    which rules ``setups.bound`` holds.
    """

    layouts: tuple[Layout, ...]
    sequence: Steps
    sheet_by_sheet: int | None
    recurring: tuple[str, ...]
    rules: tuple[str, ...]
    group: int | None = None


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
    stop = stop.within(SLOW * seconds) if stop else Stop.after(SLOW * seconds)
    effort = EFFORT * seconds
    divider = Divider(saw, tuple(layouts), dict(stocks or {}), rearrange=rearrange)
    wholes = [divider.divide(layout) for layout in layouts]
    divider.check()
    workshop = Workshop(layouts, wholes, saw.kerf)
    bound = 0
    carried = _Carried(saw.sled_shares_table)
    whole_pieces = [(layout.id, d) for layout, d in zip(layouts, wholes, strict=True) if d is not None]
    size = group or max(1, len(whole_pieces))
    for start in range(0, len(whole_pieces), size):
        job = merge(whole_pieces[start : start + size])
        share = stop.within(stop.left() * size / (len(whole_pieces) - start))
        found = _orders(job, saw, share, seed, effort * min(size, len(whole_pieces) - start) / len(whole_pieces))
        for phase, tilt in enumerate(job.phases):
            workshop.work(found[phase].order)
            bound += found[phase].bound - carried.into(job.of_phase(phase), tilt)
    made = workshop.layouts(renumber=rearrange)
    steps = number(workshop.steps(), saw)
    given = Divider(saw, tuple(layouts), dict(stocks or {}), rearrange=False) if rearrange else divider
    drawn = [given.divide(layout) for layout in layouts] if rearrange else wholes
    return Work(
        made,
        Steps(steps, count(steps, saw, bound), cautions(made, steps, saw, divider.trim_of)),
        None if given.reasons else settings_sheet_by_sheet(drawn, saw),
        why_settings_recur(steps, saw),
        rules_in_force(saw, group, rearrange=rearrange),
        group,
    )


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
