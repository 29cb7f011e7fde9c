"""From a project to what has to be cut: stocks, panels, cleats and fillers, one group for each thickness."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal


@dataclass(frozen=True, slots=True)
class Stock:
    """One kind of piece to cut from. Lengths in the document's unit; ``trim`` is lost at every edge, kerf included.

    ``length`` lies along the face grain; ``available`` is None where there is no limit.
    """

    name: str
    kind: Literal["sheet", "board", "offcut"]
    length: Fraction
    width: Fraction
    thickness: Fraction
    trim: Fraction
    price: Fraction
    available: int | None
    grain: bool


@dataclass(frozen=True, slots=True)
class Panel:
    """A rectangular part wanted ``quantity`` times; a filler is cut only from what is left over.

    ``stocks`` are the indices of the group's stocks whose thickness suits it.
    """

    name: str
    length: Fraction
    width: Fraction
    quantity: int
    grain: Literal["length", "width", "any"]
    filler: bool
    stocks: frozenset[int]


@dataclass(frozen=True, slots=True)
class Cleat:
    """A cleat wanted ``quantity`` times; ``height`` is its tall face."""

    name: str
    kind: Literal["wall", "holder"]
    height: Fraction
    length: Fraction
    quantity: int
    stocks: frozenset[int]


@dataclass(frozen=True, slots=True)
class Group:
    """Everything of one thickness: it shares stocks with nothing outside and is solved by itself."""

    stocks: tuple[Stock, ...]
    panels: tuple[Panel, ...]
    cleats: tuple[Cleat, ...]
