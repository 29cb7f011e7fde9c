"""What a plan says of the plan before it: what was done and lost, and which pieces became which (additions of ours)."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import Field

from nesting.plan_fields import Count, Document, Money, Rank, Size, listed


class LostPiece(Document):
    """A piece that was spoiled, or that is smaller than drawn; it is waste in this plan."""

    piece: str = Field(description="Its id, in the earlier plan and in this one.")
    why: str = Field(description="spoiled or measured.")
    parts: tuple[str, ...] = listed("Names of the parts and cleats lost with it.", default=())
    length: Size = Field(description="Length as it was drawn.")
    width: Size = Field(description="Width as it was drawn; of a bevelled piece its tall face.")
    left: tuple[LeftPiece, ...] = listed("What can still be had of it: stock of this plan.", default=())
    note: str = Field(default="", description="What went wrong, in words.")


class LeftPiece(Document):
    """What remains of a lost piece."""

    stock: str | None = Field(
        description="Name of the stock that it is in this plan's job; null: it keeps its bevel and is cut where it is."
    )
    length: Size = Field(description="Length, along the face grain.")
    width: Size = Field(description="Width; of a bevelled piece its tall face.")


class Recut(Document):
    """A piece that is cut otherwise than the earlier plan had it."""

    piece: str = Field(description="Its id, in the earlier plan and in this one.")
    was: str = Field(description="What it was to become: cut, offcut or waste.")
    parts: tuple[str, ...] = listed("Names of the parts and cleats that it becomes now.")


class ReplacesDocument(Document):
    """What became of the plan before."""

    number: Rank = Field(description="How often the job was planned anew; the earlier plan is kept under this number.")
    plan: str = Field(description="Fingerprint of the earlier plan.")
    cost: Money = Field(description="What the earlier plan cost; all of it counts as bought.")
    more: Money = Field(description="What has to be bought on top of it.")
    text: str = Field(description="What changed, in a sentence.")
    done: tuple[Rank, ...] = listed("Numbers of the earlier plan's steps that were done.")
    done_steps: Count = Field(description="How many steps of this plan, the first ones, were done before it was made.")
    lost: tuple[LostPiece, ...] = listed("Pieces spoiled, or found too small.")
    recut: tuple[Recut, ...] = listed("Pieces that are cut otherwise than before.", default=())
    layouts: tuple[str, ...] = listed("Ids of the layouts that are new.", default=())
    open_steps: Count = Field(description="How many steps of the earlier plan were neither done nor lost.")
    changed_steps: Count = Field(description="How many of these this plan leaves out.")
    new_steps: Count = Field(description="How many steps of this plan the earlier one did not have.")
    before: tuple[Annotated[dict[str, Any], Field(strict=False)], ...] = listed(
        "The same of the plans before that, the first one first.", default=()
    )


LostPiece.model_rebuild()
