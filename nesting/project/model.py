"""The project file as data: what is on sale, which saw, what is asked for; every length exact.

The attributes bear the names of the file's keys, so lists are in the singular: ``project.sheet`` is all
``[[sheet]]`` tables. Lengths are :class:`~fractions.Fraction` in the document's unit, prices in its
currency. Make one with :func:`nesting.project.read.project_from_mapping` or ``read_project``, which
also check what no single key can tell (names given twice, thicknesses that match no stock).
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any, ClassVar, Final, Literal, TypeAlias

from pydantic import Field

from nesting.lengths import Unit
from nesting.project.fields import (
    Available,
    Bevel,
    Currency,
    Length,
    LengthOrZero,
    Name,
    OwnLength,
    OwnTrim,
    Price,
    Quantity,
    Stages,
)
from nesting.project.holder_keys import Holder
from nesting.project.table import Table, usual
from nesting.project.wall_keys import Wall

StockKind = Literal["sheet", "board", "offcut"]
CleatKind = Literal["wall", "holder"]
PartGrain = Literal["length", "width", "any"]
FirstCut = Literal["rip", "crosscut", "any"]
Side = Literal["left", "right"]

MEASURED_WITHIN: Final[Mapping[Unit, Fraction]] = {"in": Fraction(1, 64), "mm": Fraction(2, 5)}
"""How far an asked thickness may be from a stock's measured one, in the document's unit."""


def _as_measured(given: dict[str, Any]) -> Fraction:
    thickness: Fraction = given["thickness"]
    return thickness


class Head(Table):
    """What holds for the whole document."""

    name: Name = Field(description="Name of the job. Required.")
    unit: Unit = Field(
        default="in",
        description='"in" (weights in lb) or "mm" (weights in kg): the unit of bare numbers. Default: "in".',
    )
    fence_step: Length = usual("1/32", "0.5", "Finest mark a fence or stop can be set to.")
    currency: Currency = Field(default="USD", description='Name of the currency of all prices. Default: "USD".')
    carry_length: OwnLength = Field(
        default=None, description="Length of the largest piece that fits the vehicle. Default: any length fits."
    )
    carry_width: OwnLength = Field(
        default=None, description="Width of the largest piece that fits the vehicle. Default: any width fits."
    )


class Saw(Table):
    """The saw, its accessories and what may be done with them."""

    kerf: LengthOrZero = Field(description="Width the blade removes in a square cut; 0 is legal. Required.")
    max_stages: Stages = Field(
        default=None, description="Most alternations of rip and crosscut. Default: cuts of any depth."
    )
    first_cut: FirstCut = Field(
        default="any", description='"rip", "crosscut" or "any": how a sheet is first cut. Default: "any".'
    )
    blade_leans: Side = Field(
        default="left", description='Side to which the blade tilts, seen from the operator. Default: "left".'
    )
    fence_side: Side = Field(
        default="right", description='Side of the blade on which the fence is used. Default: "right".'
    )
    rip_capacity: Length = usual("30", "760", "Widest fence setting.")
    crosscut_capacity: Length = usual("24", "610", "Longest cut the sled or mitre gauge carries across a piece.")
    narrowest_rip: LengthOrZero = usual("1 1/2", "38", "Nothing narrower is ripped against the fence.")
    shortest_against_fence: LengthOrZero = usual("12", "305", "Nothing shorter is run along the fence.")
    breakdown_saw: bool = Field(
        default=True, description="Whether a guided circular saw is at hand for full sheets. Default: true."
    )
    sled_shares_table: bool = Field(
        default=True, description="Whether sled and fence are used on the same table saw. Default: true."
    )
    fence_crosscuts: bool = Field(
        default=True, description="Whether wide pieces may be crosscut against the fence. Default: true."
    )
    edge_trim: LengthOrZero = usual(
        "1/8", "3", "Lost at each factory edge of sheets and boards, its kerf included; 0: factory edges are used."
    )


class _Stock(Table):
    kind: ClassVar[StockKind]

    name: Name = Field(description="Name, used once among all sheets, boards and offcuts. Required.")
    length: Length = Field(description="Length, along the face grain. Required.")
    width: Length = Field(description="Width, across the face grain. Required.")
    thickness: Length = Field(description="Thickness as measured: all geometry uses it. Required.")
    nominal: Length = Field(
        default_factory=_as_measured,
        description="Thickness it is sold as, by which parts may ask for it. Default: the measured thickness.",
    )
    grain: bool = Field(
        default=True, description="Whether it has a face grain; false: parts lie either way. Default: true."
    )


class Sheet(_Stock):
    """Sheet goods on sale or in the rack."""

    kind: ClassVar[StockKind] = "sheet"

    price: Price = Field(default=Fraction(0), description="Price of one; 0: already owned. Default: 0.")
    available: Available = Field(default=None, description="How many there are. Default: as many as needed.")
    edge_trim: OwnTrim = Field(
        default=None, description="Lost at each factory edge of this stock. Default: the saw's edge_trim."
    )

    @property
    def limit(self) -> int | None:
        """How many there are; None: as many as needed."""
        return self.available


class Board(Sheet):
    """Solid lumber, cut like a sheet: only pieces no wider than it fit."""

    kind: ClassVar[StockKind] = "board"


class Offcut(_Stock):
    """A leftover in the rack: owned, without factory edges to trim."""

    kind: ClassVar[StockKind] = "offcut"
    price: ClassVar[Fraction] = Fraction(0)

    quantity: Quantity = Field(default=1, description="How many such pieces there are. Default: 1.")

    @property
    def limit(self) -> int:
        """How many there are."""
        return self.quantity


AnyStock: TypeAlias = Sheet | Board | Offcut


class Part(Table):
    """A rectangular part asked for directly."""

    name: Name = Field(description="Name, used once among all parts and cleats. Required.")
    length: Length = Field(description="Length. Required.")
    width: Length = Field(description="Width. Required.")
    thickness: Length = Field(
        description="A stock's nominal thickness, or its measured one within 1/64 in (0.4 mm). Required."
    )
    quantity: Quantity = Field(default=1, description="How many are wanted. Default: 1.")
    grain: PartGrain = Field(
        default="length",
        description='"length": its length runs along the face grain; "width": its width; "any". Default: "length".',
    )
    filler: bool = Field(
        default=False,
        description="True: cut only from what would be left over, as many as fit, at most quantity. Default: false.",
    )


class Cleats(Table):
    """One geometry for all cleats of the wall."""

    wall_height: Length = usual("3", "75", "Height of a wall cleat on its tall face.")
    holder_height: Length = usual("3", "75", "Height of a holder cleat on its tall face.")
    thickness: Length = usual(
        "23/32", "18", "A stock's nominal thickness, or its measured one within 1/64 in (0.4 mm)."
    )
    bevel: Bevel = Field(
        default=Fraction(45), description="Degrees from square, more than 0 and at most 60. Default: 45."
    )

    def height(self, kind: CleatKind) -> Fraction:
        """Return the tall face of a cleat of this kind."""
        return self.wall_height if kind == "wall" else self.holder_height


def _usual_cleats(given: dict[str, Any]) -> Cleats:
    return Cleats.model_validate({}, context={"unit": given["project"].unit})


class CleatAsked(Table):
    """A cleat asked for directly."""

    name: Name = Field(description="Name, used once among all parts and cleats. Required.")
    kind: CleatKind = Field(default="wall", description='"wall" or "holder". Default: "wall".')
    length: Length = Field(description="Length, along the face grain. Required.")
    quantity: Quantity = Field(default=1, description="How many are wanted. Default: 1.")


class Project(Table):
    """A cutting job: stocks, a saw and what to make of them, as the project file says it."""

    project: Head
    saw: Saw
    sheet: tuple[Sheet, ...] = Field(default=(), description="Sheet goods.")
    board: tuple[Board, ...] = Field(default=(), description="Solid lumber.")
    offcut: tuple[Offcut, ...] = Field(default=(), description="Leftovers in the rack.")
    part: tuple[Part, ...] = Field(default=(), description="Rectangular parts.")
    cleats: Cleats = Field(
        default_factory=_usual_cleats, description="Geometry of all cleats. Default: every key at its own default."
    )
    cleat: tuple[CleatAsked, ...] = Field(default=(), description="Cleats.")
    wall: Wall | None = Field(default=None, description="A wall to be fitted out. Default: none.")
    holder: tuple[Holder, ...] = Field(default=(), description="Tool holders to be built and hung.")

    @property
    def name(self) -> str:
        """Name of the job."""
        return self.project.name

    @property
    def unit(self) -> Unit:
        """Unit of every length in the document."""
        return self.project.unit

    @property
    def stocks(self) -> tuple[AnyStock, ...]:
        """All stocks: sheets, then boards, then offcuts, in the order of the file."""
        return (*self.sheet, *self.board, *self.offcut)

    def trim(self, stock: AnyStock) -> Fraction:
        """Return what is lost at each edge of a stock: its own trim, else the saw's; nothing at an offcut."""
        return trim_of(stock, self.saw.edge_trim)

    def suits(self, asked: Fraction, stock: AnyStock) -> bool:
        """Whether a stock has the thickness asked for; see :func:`suits`."""
        return suits(asked, stock, self.unit)


def trim_of(stock: AnyStock, usual: Fraction) -> Fraction:
    """Return what is lost at each edge of a stock, where the saw's trim is ``usual``."""
    if isinstance(stock, Offcut):
        return Fraction(0)
    return usual if stock.edge_trim is None else stock.edge_trim


def suits(asked: Fraction, stock: AnyStock, unit: Unit) -> bool:
    """Whether a stock has the thickness asked for: its nominal one, or its measured one within 1/64 in (0.4 mm).

    >>> sizes = {"length": "96", "width": "48", "thickness": "23/32", "nominal": "3/4"}
    >>> ply = Sheet.model_validate({"name": "ply", **sizes}, context={"unit": "in"})
    >>> [suits(Fraction(n, 64), ply, "in") for n in (44, 45, 46, 47, 48, 49)]
    [False, True, True, True, True, False]
    """
    return asked == stock.nominal or abs(asked - stock.thickness) <= MEASURED_WITHIN[unit]
