"""From layouts to steps: the one way through."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from nesting.layout import Layout
from nesting.sequence.carry_out import Workshop
from nesting.sequence.count import count, number
from nesting.sequence.divisions import Divider, StockFacts
from nesting.sequence.job import Job, merge
from nesting.sequence.settings import Found, fewest
from nesting.solve.stop import Stop
from nesting.steps import Sequence as Steps
from nesting.trade.saw import Saw


@dataclass(frozen=True, slots=True)
class Work:
    """What comes of planning the work: the layouts as they are cut, and the steps that cut them.

    With ``rearrange`` the layouts are new: the same parts and offcuts of the same sizes, but parallel cuts joined and
    taken in another order, waste gathered at the high edge, every piece with a new id.
    """

    layouts: tuple[Layout, ...]
    sequence: Steps


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
    ``seconds`` limits the search for fewer settings, ``seed`` fixes its chance.
    Raises :class:`nesting.errors.CannotBeDone` with every cut that no station can make.
    """
    stop = stop.within(seconds) if stop else Stop.after(seconds)
    divider = Divider(saw, tuple(layouts), dict(stocks or {}), rearrange=rearrange)
    wholes = [divider.divide(layout) for layout in layouts]
    divider.check()
    workshop = Workshop(layouts, wholes, saw.kerf)
    size = group or max(1, len(layouts))
    bound = 0
    for start in range(0, len(layouts), size):
        chosen = [(lay.id, d) for lay, d in zip(layouts, wholes, strict=True) if d is not None][start : start + size]
        job = merge(chosen)
        for phase in range(len(job.phases)):
            found = _order(job, phase, saw, stop, seed)
            workshop.work(found.order)
            bound += found.bound
    made = workshop.layouts(renumber=rearrange)
    steps = number(workshop.steps(), saw)
    return Work(made, Steps(steps, count(steps, saw, bound), ()))


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


def _order(job: Job, phase: int, saw: Saw, stop: Stop, seed: int) -> Found:
    ops = job.of_phase(phase)
    roots = [g for g in job.groups if g.phase == phase and (g.made_by is None or g.made_by.group.phase < phase)]
    return fewest(ops, roots, phase, stop, seed, shared=saw.sled_shares_table)
