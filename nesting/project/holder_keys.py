"""The keys of a tool holder that is built and hung on the wall's cleats."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Final, Literal

from pydantic import Field

from nesting.lengths import Unit
from nesting.project.fields import Cells, Length, Name, OwnLength, Quantity, Weight
from nesting.project.table import Table
from nesting.project.wall_keys import Gauge

Style = Literal["back", "shelf", "box", "rack", "bin", "bracket"]
Zone = Literal["low", "reach", "high"]

USUAL_DEPTH: Final[Mapping[Style, tuple[int, int]]] = {
    "shelf": (8, 200),
    "box": (6, 150),
    "rack": (4, 100),
    "bin": (6, 150),
    "bracket": (10, 250),
}
"""Out from the wall, in inches and in millimetres; common practice, no source. A flat back has no depth of its own."""
USUAL_CELLS: Final = 2
STYLE_KEYS: Final[Mapping[str, tuple[Style, ...]]] = {
    "holes": ("rack",),
    "slots": ("rack",),
    "cells": ("bin",),
    "gussets": ("shelf", "rack"),
    "depth": ("shelf", "box", "rack", "bin", "bracket"),
}
"""Keys that only some styles have."""


class Holes(Table):
    """Round holes in a rack's shelf, evenly spread."""

    diameter: Length = Field(description="Diameter of each hole. Required.")
    count: Quantity = Field(description="How many holes in all. Required.")
    rows: Quantity = Field(default=1, description="Rows of holes, one behind the other. Default: 1.")


class Slots(Table):
    """Slots in a rack's shelf, open at its front edge, evenly spread."""

    width: Length = Field(description="Width of each slot. Required.")
    length: OwnLength = Field(
        default=None, description="How far it runs in from the front edge. Default: half the shelf's depth."
    )
    count: Quantity = Field(description="How many slots. Required.")


class HolderScrews(Table):
    """The screws that hold a holder to its cleat and its parts together."""

    gauge: Gauge = Field(default=6, description="Screw size by number, 6 to 24. Default: 6.")
    length: OwnLength = Field(
        default=None, description="Length of the screw into the holder's cleat. Default: computed from the thicknesses."
    )


class Holder(Table):
    """A tool holder: its parts follow from its style and its outer sizes."""

    name: Name = Field(description="Name, used once among all holders; its parts are named after it. Required.")
    style: Style = Field(
        description='"back" (flat board), "shelf", "box", "rack" (shelf with holes or slots), "bin" (divided box) or '
        '"bracket" (pair of arms for long stock). Required.'
    )
    width: Length = Field(description="Width along the wall, over all. Required.")
    height: Length = Field(description="Height of the back. Required.")
    depth: OwnLength = Field(
        default=None,
        description="Out from the wall, over all without the cleat. Default: 8 in for a shelf, 6 in for a box or bin, "
        "4 in for a rack, 10 in for a bracket; 200, 150, 100, 250 mm in a millimetre document.",
    )
    load: Weight = Field(default=Fraction(0), description="Weight of the contents of one, lb or kg. Default: 0.")
    thickness: OwnLength = Field(
        default=None,
        description="Thickness of its parts: a stock's nominal thickness, or its measured one within 1/64 in (0.4 mm). "
        "Default: that of the cleats.",
    )
    quantity: Quantity = Field(default=1, description="How many are wanted. Default: 1.")
    zone: Zone | None = Field(
        default=None, description='"low", "reach" (between hip and eye) or "high" on the wall. Default: anywhere.'
    )
    holes: Holes | None = Field(default=None, description="Holes of a rack. Default: none.")
    slots: Slots | None = Field(default=None, description="Slots of a rack. Default: none.")
    cells: Cells = Field(default=None, description="Cells of a bin, side by side. Default: 2 for a bin.")
    gussets: bool | None = Field(
        default=None,
        description="Whether a shelf (standing on it) or rack (under it) has two gussets. Default: true for these.",
    )
    screws: HolderScrews = Field(
        default=HolderScrews(), description="The screws. Default: every key at its own default."
    )

    def deep(self, unit: Unit) -> Fraction | None:
        """Return how far it stands out, cleat left out; None for a flat back."""
        if self.style == "back":
            return None
        inch, mm = USUAL_DEPTH[self.style]
        return self.depth or Fraction(inch if unit == "in" else mm)

    @property
    def has_gussets(self) -> bool:
        """Whether it has two gussets."""
        return self.style in STYLE_KEYS["gussets"] and self.gussets is not False
