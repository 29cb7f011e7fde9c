"""Divisions: parallel cuts of one piece taken together, and the cuts that are to be made of each.

A binary tree of cuts is one representative of many: consecutive parallel cuts of one rectangle divide it into strips
that may come in any order. A :class:`Division` holds such strips; what is waste in it is gathered into one slack
that goes last, at the high edge, so that the last strip of a piece never carries the error. Four kinds:

- ``strips``: cut one by one from the low edge; where there is no slack, the last strip falls free;
- ``trim``: the cut that makes the low edge straight, before anything is measured from it;
- ``split``: the cut of the guided saw that breaks a full sheet down into two groups of strips;
- ``cut``: one cut taken as it is in the tree (every bevel rip).
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, Protocol

from nesting.layout import CutKind, Node
from nesting.steps import Station

Against = Literal["low", "high"]
Key = int


class StockFacts(Protocol):
    """What has to be known of a stock: its kind, and what its factory edges lose."""

    @property
    def kind(self) -> Literal["sheet", "board", "offcut"]:
        """Sheet goods, solid lumber or a leftover."""

    @property
    def trim(self) -> Fraction:
        """What is lost at each factory edge, kerf included; 0: factory edges are used."""


@dataclass(frozen=True, slots=True)
class Way:
    """One way to make a cut: where, with which setting, which edge is the reference, how the blade leans."""

    station: Station
    setting: Fraction
    against: Against
    leans: Literal["away", "toward"] | None = None


@dataclass(frozen=True, slots=True)
class Operation:
    """Equal cuts of one division, made in one visit to a station: the ways they can be made, the strips they give.

    ``last`` operations come after all others of their division.
    """

    ways: tuple[Way, ...]
    strips: tuple[int, ...]
    last: bool = False


@dataclass(frozen=True, slots=True)
class Strip:
    """One piece that comes out of a division; ``node`` is its rectangle in the layout, None for a new group.

    ``offset`` is where it begins in a division of the kind ``cut``, from the low edge.
    """

    size: Fraction
    node: Node | None
    inner: Division | None
    offset: Fraction = Fraction(0)


@dataclass(frozen=True, slots=True)
class Division:
    """Parallel cuts of one piece. ``slack`` is the waste left (0 or less: the blade eats it; None: nothing is left).

    ``free``: one strip falls free, without an operation of its own; ``forced``: the operation that has to be it.
    ``key`` is equal for divisions that need the same operations all the way down.
    """

    kind: Literal["strips", "trim", "split", "cut"]
    cut: CutKind
    bevel: Fraction
    strips: tuple[Strip, ...]
    slack: Fraction | None
    operations: tuple[Operation, ...]
    key: Key
    free: bool = False
    forced: int | None = None


def size_of(node: Node, cut: CutKind) -> Fraction:
    """Return a rectangle's size across a cut: width for rips, length for crosscuts."""
    return node.width if cut == "rip" else node.length


def low_of(node: Node, cut: CutKind) -> Fraction:
    """Return where a rectangle begins across a cut."""
    return node.y if cut == "rip" else node.x
