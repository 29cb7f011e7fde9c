"""The working order of a new plan: what is done first, as it was done; then the open steps in the order they had.

New steps go in where their setting stands already; square ones before the blade is tilted. So the hands find what they
know, and few settings are made that were not made before.
"""

from __future__ import annotations

from collections.abc import Sequence

from nesting.errors import Bug
from nesting.sequence.count import Bench
from nesting.steps import Step
from nesting.trade.saw import Saw


def in_order(done: Sequence[Step], kept: Sequence[Step], new: Sequence[Step], there: set[str], saw: Saw) -> list[Step]:
    """Return all steps in working order, numbers as they were; ``there`` are the stock pieces.

    The steps of ``kept`` stay in their order, those of ``new`` in theirs where the pieces are there in time.
    """
    bench, lying = Bench(saw.sled_shares_table), set(there)
    order: list[Step] = []
    waiting, coming = list(new), list(kept)

    def do(step: Step) -> None:
        bench.take(step.station, step.setting, step.bevel)
        lying.discard(step.piece)
        lying.update(step.makes)
        order.append(step)

    for step in done:
        do(step)
    while waiting or coming:
        ready = [step for step in waiting if step.piece in lying]
        chosen = next((step for step in ready if _stands(bench, step)), None)
        if chosen is None and ready and (not coming or coming[0].bevel != bench.tilt):
            level = [step for step in ready if step.bevel == bench.tilt]
            chosen = next(iter(level), None if coming else ready[0])
        if chosen is not None:
            waiting.remove(chosen)
            do(chosen)
        elif coming:
            do(coming.pop(0))
        else:
            raise Bug(f"no step makes {', '.join(sorted({step.piece for step in waiting}))}")
    return order


def _stands(bench: Bench, step: Step) -> bool:
    """Whether a station has the setting of a step already."""
    if step.station == "breakdown saw" or step.bevel != bench.tilt:
        return False
    return bench.fence == (step.setting, step.bevel) if step.station == "table saw" else bench.stop == step.setting


def least_settings(steps: Sequence[Step]) -> int:
    """Return how many settings any order of these steps needs: one for each different one, one for each guided cut."""
    guided = sum(step.station == "breakdown saw" for step in steps)
    return guided + len({(s.station, s.setting, s.bevel) for s in steps if s.station != "breakdown saw"})
