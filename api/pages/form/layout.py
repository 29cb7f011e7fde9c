"""How the form is laid out: in which order it asks, and what is folded away until it is wanted.

Only places and titles stand here; what a field is, the model says. Every field of the model has one place.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final, TypeAlias


@dataclass(frozen=True, slots=True)
class Table:
    """The fields of one table: those always shown, those folded, and what lies within it."""

    at: str
    title: str
    main: tuple[str, ...] = ()
    more: tuple[str, ...] = ()
    inner: tuple[Block, ...] = ()
    folded: tuple[Block, ...] = ()
    styles: tuple[str, ...] = ()
    """Styles of a holder that have it; it is folded away from the others."""


@dataclass(frozen=True, slots=True)
class RowsOf:
    """A list of tables, each laid out like ``row``; ``one`` is what a row is called."""

    at: str
    title: str
    one: str
    row: Table
    lead: str = ""


Block: TypeAlias = "Table | RowsOf"


@dataclass(frozen=True, slots=True)
class Section:
    """A part of the page."""

    id: str
    title: str
    lead: str
    blocks: tuple[Block, ...] = field(default=())


_STOCK_MAIN: Final = ("name", "length", "width", "thickness", "nominal")

SECTIONS: Final = (
    Section(
        "job",
        "The job",
        "",
        (Table("project", "", ("name", "unit", "currency"), ("fence_step", "carry_length", "carry_width")),),
    ),
    Section(
        "wall",
        "The wall",
        "Measure the area that may be used; x and y count from its lower left corner. Leave all of it blank where no "
        "wall is to be fitted out.",
        (
            Table(
                "wall",
                "",
                ("width", "height", "floor_gap", "gap"),
                ("rows", "start", "overhang", "embedment"),
                (
                    Table(
                        "studs",
                        "Studs",
                        ("first", "spacing", "positions", "species"),
                        ("stud_width",),
                    ),
                    RowsOf(
                        "keepout",
                        "What stays free",
                        "keep-out",
                        Table("", "", ("name", "x", "y", "width", "height", "clearance")),
                        "Outlets, switches, windows, doors, pipes.",
                    ),
                    RowsOf(
                        "sheathing",
                        "Between studs and cleats",
                        "layer",
                        Table("", "", ("name", "thickness")),
                        "Drywall, plywood, panelling.",
                    ),
                ),
                (Table("screws", "Screws into the studs", ("gauge", "length", "per_stud", "kind")),),
            ),
        ),
    ),
    Section(
        "holders",
        "Tool holders",
        "Their parts, gussets, holes, cleats and screws follow from style and outer sizes.",
        (
            RowsOf(
                "holder",
                "",
                "holder",
                Table(
                    "",
                    "",
                    ("name", "style", "width", "height", "depth", "load", "quantity"),
                    ("thickness", "zone"),
                    (
                        Table("", "", ("cells",), styles=("bin",)),
                        Table("", "", ("gussets",), styles=("shelf", "rack")),
                        Table("holes", "Holes", ("diameter", "count", "rows"), styles=("rack",)),
                        Table("slots", "Slots, in place of holes", ("width", "length", "count"), styles=("rack",)),
                    ),
                    (Table("screws", "Screws", ("gauge", "length")),),
                ),
            ),
        ),
    ),
    Section(
        "cleats",
        "Cleats",
        "One geometry for the whole wall, its holders and the cleats asked for by themselves.",
        (Table("cleats", "", ("wall_height", "holder_height", "thickness", "bevel")),),
    ),
    Section(
        "stock",
        "What there is to cut from",
        "Sheets and boards on sale, or in the rack already at no price; and leftovers.",
        (
            RowsOf(
                "sheet",
                "Sheets",
                "sheet",
                Table("", "", (*_STOCK_MAIN, "price", "available"), ("grain", "edge_trim")),
            ),
            RowsOf(
                "board",
                "Boards",
                "board",
                Table("", "", (*_STOCK_MAIN, "price", "available"), ("grain", "edge_trim")),
                "Solid lumber: only pieces no wider than a board are cut from it.",
            ),
            RowsOf(
                "offcut",
                "Leftovers",
                "leftover",
                Table("", "", (*_STOCK_MAIN, "quantity"), ("grain",)),
                "Owned, without factory edges to trim.",
            ),
        ),
    ),
    Section(
        "parts",
        "Parts and cleats by themselves",
        "What is wanted beside the wall and its holders.",
        (
            RowsOf(
                "part",
                "Parts",
                "part",
                Table("", "", ("name", "length", "width", "thickness", "quantity", "grain"), ("filler",)),
            ),
            RowsOf("cleat", "Cleats", "cleat", Table("", "", ("name", "kind", "length", "quantity"))),
        ),
    ),
    Section(
        "saw",
        "The saw",
        "What it can do, and what is safe on it. The usual values are those of a table saw with a sled.",
        (
            Table(
                "saw",
                "",
                ("kerf", "blade_leans", "fence_side", "rip_capacity", "crosscut_capacity", "edge_trim"),
                (
                    "breakdown_saw", "sled_shares_table", "fence_crosscuts", "narrowest_rip", "shortest_against_fence",
                    "first_cut", "max_stages",
                ),
            ),
        ),
    ),
)  # fmt: skip
