"""A cleat as a rail on its studs: what a stud carries at worst of loads that may be shifted along the rail.

How a rail shares a load depends on how its screws give. Two limits are known, and the greater is taken at every place:
each span by itself, statically determinate, and one continuous beam on rigid supports. For the latter the share of a
support as a function of where the load stands is the shape of the beam with that support raised by one
(Mueller-Breslau, 1886, from memory): the natural cubic spline through 1 there and 0 at the others, straight beyond.

The worst placement is bounded by the rearrangement inequality (Hardy, Littlewood and Polya, *Inequalities*, 1934,
ch. X, from memory): shares sorted downward against loads sorted downward by weight a length give no less than any
placement does, and for one load the worst itself. Consistent units; places from the rail's low end.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Final

_CELLS: Final = 16
"""Cells a span is cut into; in each, no less than the greatest share in it is reckoned with."""
_Curve = tuple[float, float, tuple[float, float, float, float]]


@dataclass(frozen=True, slots=True)
class Spread:
    """A load spread evenly over a width."""

    width: float
    total: float

    @property
    def density(self) -> float:
        """Load a length."""
        return self.total / self.width


@dataclass(frozen=True)
class Rail:
    """A piece of cleat: its length and its studs' places, ascending, two or more."""

    length: float
    studs: tuple[float, ...]

    @property
    def spans(self) -> tuple[float, ...]:
        """Distances from stud to stud."""
        return tuple(high - low for low, high in pairwise(self.studs))

    @property
    def overhangs(self) -> tuple[float, float]:
        """How far it runs past its outer studs."""
        return self.studs[0], self.length - self.studs[-1]

    def span_by_span(self, stud: int, place: float) -> float:
        """Return the share of a load at ``place`` that a stud carries where each span bears by itself.

        >>> rail = Rail(40, (4, 20, 36))
        >>> rail.span_by_span(0, 12), rail.span_by_span(0, 0), rail.span_by_span(1, 0)
        (0.5, 1.25, -0.25)
        """
        at = self._span(place)
        share = (place - self.studs[at]) / self.spans[at]
        return {at: 1 - share, at + 1: share}.get(stud, 0.0)

    def continuous(self, stud: int, place: float) -> float:
        """Return the share that a stud carries of a load at ``place`` where the rail is one beam on rigid supports.

        >>> rail = Rail(32, (0, 16, 32))
        >>> rail.continuous(1, 16), rail.continuous(1, 8)  # 11/16 in the middle of one of two equal spans
        (1.0, 0.6875)
        """
        start, _, (constant, slope, half, sixth) = self._curves[stud][self._interval(place)]
        at = place - start
        return constant + at * (slope + at * (half + at * sixth))

    def most_at(self, stud: int, loads: Sequence[Spread]) -> float:
        """Return no less than a stud can carry of ``loads``, wherever on the rail they hang beside each other.

        >>> round(Rail(40, (4, 20, 36)).most_at(1, [Spread(8, 20)]), 2)  # 20 centred on the stud
        19.64
        """
        cells = self._cells[stud]
        densest = sorted(loads, key=lambda load: -load.density)
        carried, cell, left = 0.0, 0, cells[0][1]
        for load in densest:
            width = load.width
            while width > 0 and cell < len(cells):
                taken = min(width, left)
                carried += cells[cell][0] * taken * load.density
                width, left = width - taken, left - taken
                if left <= 0:
                    cell += 1
                    left = cells[cell][1] if cell < len(cells) else 0.0
        return carried

    def most(self, loads: Sequence[Spread]) -> float:
        """Return no less than any stud can carry of ``loads``."""
        return max(self.most_at(stud, loads) for stud in range(len(self.studs)))

    def most_moment(self, loads: Sequence[Spread]) -> float:
        """Return no less than the rail can be bent by ``loads``, each span by itself, or past an outer stud.

        The share of a load in a span's middle moment is a triangle of s / 4 over the span s, in that over an outer
        stud the distance from it; both sorted downward are straight (the rearrangement of the triangle is exact).

        >>> Rail(40, (4, 20, 36)).most_moment([Spread(8, 20)])  # W (2 s - w) / 8
        60.0
        """
        peaks = [(span / 4, span) for span in self.spans] + [(over, over) for over in self.overhangs]
        return max(_under_line(peak, base, loads) for peak, base in peaks)

    def _span(self, place: float) -> int:
        return max(0, sum(stud <= place for stud in self.studs[:-1]) - 1)

    def _interval(self, place: float) -> int:
        """Return which stretch holds a place: 0 before the first stud, then the spans, then past the last stud."""
        return sum(stud <= place for stud in self.studs) if place != self.studs[-1] else len(self.spans)

    @cached_property
    def _bends(self) -> tuple[tuple[float, ...], ...]:
        """Second derivatives at the studs of every stud's spline: three moments (Clapeyron, 1857, from memory)."""
        count, spans = len(self.studs), self.spans
        found = []
        for stud in range(count):
            slopes = [(float(n + 1 == stud) - float(n == stud)) / span for n, span in enumerate(spans)]
            wanted = [6 * (slopes[n] - slopes[n - 1]) for n in range(1, count - 1)]
            diagonal = [2 * (spans[n - 1] + spans[n]) for n in range(1, count - 1)]
            for n in range(1, count - 2):  # elimination of a tridiagonal system
                factor = spans[n] / diagonal[n - 1]
                diagonal[n] -= factor * spans[n]
                wanted[n] -= factor * wanted[n - 1]
            bends = [0.0] * count
            for n in range(count - 2, 0, -1):
                bends[n] = (wanted[n - 1] - spans[n] * bends[n + 1]) / diagonal[n - 1]
            found.append(tuple(bends))
        return tuple(found)

    @cached_property
    def _curves(self) -> tuple[tuple[_Curve, ...], ...]:
        """For every stud and stretch: (start, end, coefficients of the powers of the distance from the start)."""
        found = []
        for stud, bends in enumerate(self._bends):
            inner: list[_Curve] = []
            for n, span in enumerate(self.spans):
                low, high, here = float(n == stud), float(n + 1 == stud), bends[n]
                slope = (high - low) / span - span * (2 * here + bends[n + 1]) / 6
                powers = (low, slope, here / 2, (bends[n + 1] - here) / (6 * span))
                inner.append((self.studs[n], self.studs[n + 1], powers))
            first, last, span = inner[0][2], inner[-1][2], self.spans[-1]
            begins = (first[0] - first[1] * self.studs[0], first[1], 0.0, 0.0)
            leaves = last[1] + 2 * last[2] * span + 3 * last[3] * span**2
            past = (float(stud == len(self.spans)), leaves, 0.0, 0.0)
            found.append(((0.0, self.studs[0], begins), *inner, (self.studs[-1], self.length, past)))
        return tuple(found)

    @cached_property
    def _cells(self) -> tuple[tuple[tuple[float, float], ...], ...]:
        """For every stud (no less than the share in it, width) of cells that fill the rail, greatest share first."""
        found = []
        for stud, curves in enumerate(self._curves):
            cells: list[tuple[float, float]] = []
            for start, end, (_, _, half, sixth) in curves:
                width = (end - start) / _CELLS
                bend = max(abs(2 * half), abs(2 * half + 6 * sixth * (end - start)))
                rise = bend * width**2 / 8  # so far a curve rises over its chord at most
                shares = [self._share(stud, start + width * n) for n in range(_CELLS + 1)]
                cells += [(max(pair) + rise, width) for pair in pairwise(shares) if width > 0]
            found.append(tuple(sorted(cells, reverse=True)))
        return tuple(found)

    def _share(self, stud: int, place: float) -> float:
        return max(0.0, self.span_by_span(stud, place), self.continuous(stud, place))


def _under_line(peak: float, base: float, loads: Sequence[Spread]) -> float:
    """Return the integral of loads, densest first, against a line that falls from ``peak`` to 0 over ``base``."""
    total, at = 0.0, 0.0
    for load in sorted(loads, key=lambda load: -load.density):
        end = min(base, at + load.width)
        if end > at:
            total += load.density * peak * ((end - at) - (end**2 - at**2) / (2 * base))
        at = end
    return total
