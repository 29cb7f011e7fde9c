"""Counting settings: what has to be set anew at each step, and how often in all."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise

from nesting.steps import Setups, Station, Step
from nesting.trade.saw import Saw


@dataclass(slots=True)
class Bench:
    """How the saws stand: settings of fence and stop (None: lost or never made), tilt, and the counts so far."""

    shared: bool
    fence: tuple[Fraction, Fraction] | None = None
    stop: Fraction | None = None
    tilt: Fraction = Fraction(0)
    fence_setup: int = 0
    stop_setup: int = 0
    fences: int = 0
    stops: int = 0
    guides: int = 0
    tilts: int = 0

    @property
    def total(self) -> int:
        """Settings made so far."""
        return self.fences + self.stops + self.guides

    def take(self, station: Station, setting: Fraction, bevel: Fraction) -> int:
        """Make a station ready for a cut and return the number of its setting.

        A change of tilt moves the blade at the table, so that the fence has to be set anew after it. Where sled and
        fence share a table, using one loses the setting of the other. The guided saw is placed for every cut.
        """
        if station == "breakdown saw":
            self.guides += 1
            return self.total
        if bevel != self.tilt:
            self.tilt, self.tilts = bevel, self.tilts + 1
        if station == "table saw":
            if self.fence != (setting, bevel):
                self.fence, self.fences = (setting, bevel), self.fences + 1
                self.fence_setup = self.total
            if self.shared:
                self.stop = None
            return self.fence_setup
        if self.stop != setting:
            self.stop, self.stops = setting, self.stops + 1
            self.stop_setup = self.total
        if self.shared:
            self.fence = None
        return self.stop_setup


def number(steps: Iterable[Step], saw: Saw) -> tuple[Step, ...]:
    """Return the steps numbered from 1 in the order given, each with the number of its setting."""
    bench = Bench(saw.sled_shares_table)
    return tuple(
        replace(step, n=n, setup=bench.take(step.station, step.setting, step.bevel))
        for n, step in enumerate(steps, start=1)
    )


def count(steps: Iterable[Step], saw: Saw, bound: int = 0) -> Setups:
    """Count the settings of steps in working order; ``bound`` is what is known to be the least."""
    bench = Bench(saw.sled_shares_table)
    for step in steps:
        bench.take(step.station, step.setting, step.bevel)
    return Setups(bench.fences, bench.stops, bench.guides, bench.tilts, bound, bench.total <= bound)


def station_changes(steps: Iterable[Step]) -> int:
    """Count how often the work moves from one station to another."""
    stations = [step.station for step in steps]
    return sum(a != b for a, b in pairwise(stations))
