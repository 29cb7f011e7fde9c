"""Numbers to compare with, and why a setting recurs."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from nesting.lengths import show_length
from nesting.sequence.count import Bench
from nesting.sequence.divisions import Division, Way
from nesting.steps import Step
from nesting.trade.saw import Saw


def settings_sheet_by_sheet(wholes: Sequence[Division | None], saw: Saw) -> int:
    """Count the settings of working each stock piece to the end before the next, depth first.

    A piece is cut up in one direction completely, strips as drawn; then its strips follow, one after another.
    ``wholes`` are the trees as given, one cut each (a :class:`Divider` that does not rearrange).
    """
    bench = Bench(saw.sled_shares_table)
    for whole in wholes:
        waiting = [whole] if whole else []
        while waiting:
            chain: list[Division] = []
            below: list[Division] = []
            link: Division | None = waiting.pop()
            while link is not None:
                chain.append(link)
                inner = [s.inner for s in link.strips if s.inner is not None]
                link = next((d for d in inner if d.cut == chain[-1].cut and d.bevel == chain[-1].bevel == 0), None)
                below += [d for d in inner if d is not link]
            for division, after in zip(chain, [*chain[1:], None], strict=True):
                way = _drawn(division, after)
                bench.take(way.station, way.setting, division.bevel)
            waiting += reversed(below)
    return bench.total


def _drawn(division: Division, after: Division | None) -> Way:
    """Return the way that measures the strip cut off, not the rest that is cut on."""
    ways = division.operations[0].ways
    rest = next((s.size for s in division.strips if s.inner is not None and s.inner is after), None)
    return next((way for way in ways if way.setting != rest), ways[0])


def why_settings_recur(steps: Sequence[Step], saw: Saw) -> tuple[str, ...]:
    """Return one sentence for each setting of fence or stop that is made again: what comes between.

    A setting recurs where one piece needs it before another setting and another piece after it.
    """
    made_by = {piece: step for step in steps for piece in step.makes}
    runs: dict[tuple[str, object, object], list[int]] = {}
    for step in steps:
        if step.station != "breakdown saw":
            setups = runs.setdefault((step.station, step.setting, step.bevel), [])
            if step.setup not in setups:
                setups.append(step.setup)
    by_setup: dict[int, list[Step]] = {}
    for step in steps:
        by_setup.setdefault(step.setup, []).append(step)

    def above(step: Step) -> list[Step]:
        line = []
        while (maker := made_by.get(step.piece)) is not None:
            line.append(maker)
            step = maker
        return line

    sentences = []
    for setups in runs.values():
        for first, again in pairwise(setups):
            causes = [
                (later, between)
                for later in by_setup[again]
                for between in above(later)
                if first < between.setup < again
            ]
            if any(cause.bevel for _, cause in causes):
                causes = [(later, cause) for later, cause in causes if cause.bevel]
            crossing = [
                (earlier, between, later)
                for later, cause in causes
                if cause.station != "breakdown saw" and not cause.bevel
                for between in by_setup[cause.setup]
                for earlier in above(between)
                if earlier.setup == first
            ]
            here = by_setup[again][0]
            what = f"{_named(here, saw)} is set again (settings {first} and {again})"
            if crossing:
                earlier, between, later = crossing[0]
                order = f"before {_named(between, saw)} on {earlier.layout} and after it on {later.layout}"
                if earlier.layout == later.layout:
                    order = f"before {_named(between, saw)} on one piece of {later.layout} and after it on another"
                why = f"it comes {order}"
            elif causes:
                later, between = causes[0]
                what_first = "the bevel rips" if between.bevel else _named(between, saw)
                why = f"piece {later.piece} of {later.layout} is there only after {what_first}"
            else:
                why = "other settings had to come first on the same table"
            sentences.append(f"{what}: {why}.")
    return tuple(sentences)


def _named(step: Step, saw: Saw) -> str:
    setting = f"{show_length(step.setting, saw.unit, saw.fence_step)} {saw.unit}"
    if step.station == "breakdown saw":
        return f"the guided cut at {setting}"
    return f"the {setting} {'stop' if step.station == 'crosscut sled' else 'fence setting'}"


def rules_in_force(saw: Saw, group: int | None, *, rearrange: bool) -> tuple[str, ...]:
    """Return the rules under which the number of settings is the least known, one sentence each."""
    rules = [
        "Square work first, then every bevel rip in one go, then what is cut from the bars.",
        "Full sheets go to the guided saw first; each of its cuts is a position of its own."
        if saw.breakdown_saw
        else "There is no guided saw: everything is cut at the table.",
        "Sled and fence share one table: using one loses the setting of the other."
        if saw.sled_shares_table
        else "Sled and fence keep their settings while the other works.",
        "Wide pieces may be crosscut against the fence."
        if saw.fence_crosscuts
        else "Crosscuts are made on the sled or with the guided saw, never against the fence.",
        "Strips of a piece come in any order; waste or a leftover comes last, else one strip falls free."
        if rearrange
        else "Cuts are made as the layouts have them, measured from either side.",
    ]
    if group:
        rules.append(f"Stock pieces are worked {group} at a time.")
    return tuple(rules)
