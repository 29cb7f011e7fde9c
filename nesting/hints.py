"""Hints on the sizes asked for: where a kerf or a trim costs a piece that a little less would give."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from nesting.demand import Cleat, Group, Panel
from nesting.lengths import show_length
from nesting.project.model import Project
from nesting.steps import Caution
from nesting.trade.near_misses import near_miss


def near_misses(project: Project, groups: Sequence[Group]) -> Iterator[Caution]:
    """Warn of sizes of which one more would come out but for a kerf or the edge trim."""
    from nesting.solve.grid import ways_on

    step, kerf = project.project.fence_step, project.saw.kerf

    def length(value: Fraction) -> str:
        return show_length(value, project.unit, step)

    seen: set[tuple[str, Fraction]] = set()
    for group in groups:
        pieces: tuple[Panel | Cleat, ...] = (*group.panels, *group.cleats)
        for piece in pieces:
            for index in sorted(piece.stocks):
                stock = group.stocks[index]
                if isinstance(piece, Panel) and not ways_on(piece, stock)[0]:
                    continue
                miss = near_miss(piece.length, stock.length, stock.length - 2 * stock.trim, kerf, step)
                if miss is None or not 2 <= miss.wanted <= piece.quantity or (piece.name, miss.fits) in seen:
                    continue
                seen.add((piece.name, miss.fits))
                yield Caution(
                    "kerf_miss",
                    f"{miss.wanted} of {piece.name!r}, {length(piece.length)} long, do not come out of "
                    f"{length(stock.length)}: the blade takes {length(kerf)} a cut"
                    + (f" and the trim {length(stock.trim)} an edge" if stock.trim else "")
                    + f". {length(miss.fits)} would fit {miss.wanted} times.",
                    piece.name,
                )
