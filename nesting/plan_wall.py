"""The wall in the plan file: rows and their pieces, studs, keep-outs, holders where they hang and as they are built.

x and y are measured from the lower left corner of the usable area, x along the wall, y up. Rows are counted from the
top. Besides ``rows`` with their pieces and ``holders`` with their places all keys are additions of ours.
"""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from nesting.plan_fields import Count, Document, Number, Rank, Size, SizeOrZero, listed


class WallPiece(Document):
    """One piece of wall cleat where it hangs."""

    x: Number = Field(description="Its low end.")
    length: Size = Field(description="Its length.")
    part: str = Field(description="Its name in the layouts.")
    studs: tuple[Number, ...] = listed("Centres of the studs it is screwed to.", default=())


class Stretch(Document):
    """A stretch of a row."""

    x: Number = Field(description="Its low end.")
    length: Size = Field(description="Its length.")


class BareStretch(Stretch):
    """A stretch of a row that takes no cleat."""

    studs: Count = Field(description="How many studs stand behind it; two are needed.")


class WallRow(Document):
    """One row of wall cleats."""

    y: Number = Field(description="Lower edge of its cleats.")
    pieces: tuple[WallPiece, ...] = listed("Its pieces, from the low end.")
    runs: tuple[Stretch, ...] = listed("The stretches that its pieces fill.", default=())
    bare: tuple[BareStretch, ...] = listed("What stays bare between keep-outs for want of studs.", default=())


class WallStuds(Document):
    """The studs."""

    centres: tuple[Number, ...] = listed("Their centres, from the left.")
    width: Size = Field(description="Width of a stud's face.")
    species: str = Field(description="Wood of the studs.")
    assumed: bool = Field(default=False, description="Whether the project leaves out where they stand.")


class WallLayer(Document):
    """One layer of sheathing."""

    name: str = Field(description="What it is.")
    thickness: Size = Field(description="Its thickness.")


class WallKeepout(Document):
    """A part of the wall that stays free."""

    name: str = Field(description="What is there.")
    x: Number = Field(description="Its left edge.")
    y: Number = Field(description="Its lower edge.")
    width: Size = Field(description="Its width.")
    height: Size = Field(description="Its height.")
    clearance: SizeOrZero = Field(description="Room to leave around it.")


class HungHolder(Document):
    """One copy of a holder where it hangs."""

    holder: str = Field(description="Name of the holder.")
    x: Number = Field(description="Its left edge.")
    row: Rank = Field(description="The row it is hooked on, from the top.")
    copy_: Rank = Field(default=1, alias="copy", description="Which copy of it.")
    y: Number | None = Field(default=None, description="Its foot, the lower edge of its back.")
    width: Size | None = Field(default=None, description="Its width.")
    height: Size | None = Field(default=None, description="Height of its back.")
    foot: str | None = Field(default=None, description="What its foot rests on.")


class LeftOut(Document):
    """Copies of a holder for which the wall has no place."""

    holder: str = Field(description="Name of the holder.")
    copies: Rank = Field(description="How many.")
    text: str = Field(description="Why, and what would make room, in sentences.")


class BuiltScrews(Document):
    """Screws of one kind in one holder."""

    joins: str = Field(description="What they join.")
    count: Count = Field(description="How many.")
    gauge: Rank = Field(description="Size by number.")
    length: Size = Field(description="Length.")
    note: str = Field(default="", description="How they are driven.")


class BuiltPartDocument(Document):
    """A part of a holder."""

    name: str = Field(description="Its name in the layouts.")
    quantity: Rank = Field(description="How many of it one copy of the holder takes.")
    note: str = Field(default="", description="What to know of it.")


class BuiltGusset(Document):
    """A rectangle to be parted along its diagonal into two gussets."""

    part: str = Field(description="Its name in the layouts.")
    length: Size = Field(description="Length of the rectangle.")
    width: Size = Field(description="Width of the rectangle.")
    tall: Size = Field(description="Leg of each triangle along the back, at least.")
    deep: Size = Field(description="Leg of each triangle under the shelf, at least.")
    quantity: Rank = Field(description="How many such rectangles for all copies.")


class BuiltHole(Document):
    """A hole to be drilled, or the inner end of a slot."""

    along: Number = Field(description="Its centre, from the board's left end.")
    from_rear: Number = Field(description="Its centre, from the edge that meets the back.")
    diameter: Size = Field(description="Its diameter; of a slot its width.")
    kind: str = Field(description='"hole", or "slot": sawn out to the front edge.')


class BuiltHolder(Document):
    """How a holder is built; facts of one copy."""

    holder: str = Field(description="Name of the holder.")
    style: str = Field(description="Its style.")
    quantity: Rank = Field(description="How many are made.")
    width: Size = Field(description="Width along the wall.")
    height: Size = Field(description="Height of its back.")
    depth: SizeOrZero = Field(description="How far it stands out from its cleat.")
    thickness: Size = Field(description="Thickness of its parts, as measured.")
    load: Annotated[float, Field(ge=0)] = Field(description="Weight of its contents.")
    top: Number = Field(description="Its upper edge above the lower edge of its wall cleat.")
    lift: SizeOrZero = Field(description="How far it is lifted to come off.")
    parts: tuple[BuiltPartDocument, ...] = listed("Its parts, cleat and spacer included.", default=())
    joints: tuple[str, ...] = listed("Which part runs past which, as sentences.", default=())
    gussets: tuple[BuiltGusset, ...] = listed("Diagonal cuts.", default=())
    drilling: tuple[BuiltHole, ...] = listed("Holes and slots.", default=())
    screws: tuple[BuiltScrews, ...] = listed("Its screws.", default=())


class WallScrewsDocument(Document):
    """One line of the screw schedule."""

    use: str = Field(description="What they are for.")
    count: Count = Field(description="How many.")
    gauge: Rank = Field(description="Size by number.")
    length: Size = Field(description="Length.")
    kind: str = Field(default="wood screw", description="What kind of screw.")
    note: str = Field(default="", description="What to know of them, as sentences.")


class Splicing(Document):
    """What it saves that the cutting chose the splices."""

    joints: Count = Field(description="Joints in all rows.")
    fewest_joints: Count = Field(description="The fewest joints that these runs could have.")
    fixed_cost: Annotated[float, Field(ge=0)] | None = Field(
        default=None, description="Cost with fixed pieces, each run in as few and as long ones as can be."
    )
    fixed_sheets: Count | None = Field(default=None, description="Stock pieces that would take.")
    fixed_proven: bool = Field(default=False, description="Whether fixed pieces cannot do it for less.")
    text: str = Field(default="", description="What is saved, in a sentence.")


class WallDocument(Document):
    """A wall fitted out; width and height are left out where only holders are built."""

    rows: tuple[WallRow, ...] = listed("Rows of wall cleats, from the top.")
    holders: tuple[HungHolder, ...] = listed("Holders where they hang.", default=())
    width: Size | None = Field(default=None, description="Width of the usable area.")
    height: Size | None = Field(default=None, description="Height of the usable area.")
    floor_gap: SizeOrZero = Field(default=0.0, description="Height of its lower edge above the floor.")
    cleat_height: Size | None = Field(default=None, description="Height of a wall cleat on its tall face.")
    overhang: SizeOrZero = Field(default=0.0, description="A cleat may run this far past its last stud.")
    studs: WallStuds | None = Field(default=None, description="The studs.")
    sheathing: tuple[WallLayer, ...] = listed("Layers between studs and cleats.", default=())
    keepouts: tuple[WallKeepout, ...] = listed("What stays free.", default=())
    screws: tuple[WallScrewsDocument, ...] = listed("The screw schedule.", default=())
    per_stud: Rank = Field(default=1, description="Screws of each piece at each of its studs.")
    built: tuple[BuiltHolder, ...] = listed("How the holders are built.", default=())
    left_out: tuple[LeftOut, ...] = listed("Holders that found no place.", default=())
    hanging_proven: bool = Field(default=True, description="Whether no better hanging map exists.")
    splicing: Splicing | None = Field(default=None, description="What the choice of splices saves.")
