"""The cutting-stock problem of one thickness group, on an exact integer grid.

Everything is *inflated by the kerf*: a piece needs its side plus one kerf, a bin offers its usable side
(edge trim taken off) plus one kerf, so that guillotine cuts between pieces need no further account
of the blade. A rest not wider than the kerf is eaten by the blade and counts as nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Ways = tuple[bool, bool]
"""Whether an item may lie (as it is, with a quarter turn) in a bin."""


@dataclass(frozen=True, slots=True)
class Bin:
    """A stock: usable inflated sides, cost of one in integer money, how many there are (None: any number)."""

    length: int
    width: int
    cost: int
    limit: int | None = None


@dataclass(frozen=True, slots=True)
class Item:
    """A rectangular part type: inflated sides, copies wanted, and for each bin the ways it may lie.

    ``blank``: it stands for a blank, whose bevel rip and the crosscuts of whose bars are stages too.
    """

    length: int
    width: int
    demand: int
    ways: tuple[Ways, ...]
    blank: bool = False


@dataclass(frozen=True, slots=True)
class Bar:
    """A cleat type: ``kind`` 0 or 1 tells its height, inflated length along x, copies wanted."""

    kind: int
    length: int
    demand: int


@dataclass(frozen=True, slots=True)
class BlankWidth:
    """A strip that a bevel rip turns into one bar (``high`` None) or two: kinds and inflated width."""

    low: int
    high: int | None
    width: int


@dataclass(frozen=True, slots=True)
class Run:
    """So many stretches of wall alike, each to be filled by one of the alternatives.

    An alternative lists the bars it takes and how many of each, no bar twice; it asks for them on top of what the bars
    ask for themselves. In a problem of rectangles (a relaxation) the indices are those of items.
    """

    alternatives: tuple[tuple[tuple[int, int], ...], ...]
    copies: int = 1


@dataclass(frozen=True, slots=True)
class Problem:
    """Cover all demands from bins at the least total cost, guillotine cuts only.

    ``blanks`` holds for each bin the strips that give bars there. ``first_cut`` and ``max_stages``
    (None: any depth) limit the alternations of rip and crosscut from the root of a pattern.
    ``runs`` ask for more bars, of which the solver chooses; see :mod:`nesting.solve.splices`.
    """

    bins: tuple[Bin, ...]
    items: tuple[Item, ...]
    kerf: int = 0
    bars: tuple[Bar, ...] = ()
    blanks: tuple[tuple[BlankWidth, ...], ...] = ()
    first_cut: Literal["rip", "crosscut", "any"] = "any"
    max_stages: int | None = None
    runs: tuple[Run, ...] = ()


@dataclass(frozen=True, slots=True)
class Bound:
    """A valid lower bound on the total cost, the method that gave it, and one sentence to believe it by."""

    cost: int
    kind: str
    sentence: str = ""
