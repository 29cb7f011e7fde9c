"""A holder on its bevel: does the hook stay seated, do the screws hold its cleat, does its back stand the bending."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from nesting.strength import beams, panels
from nesting.strength.factors import STORED
from nesting.strength.hook import Hung, Tipped
from nesting.wall.fastening import SOURCE, into_face, screw_check
from nesting.wall.load_facts import HolderFacts, WallFacts
from nesting.wall.load_rows import Check, Words, percent

SEATED: Final = "hook stays seated"
CLEAT_SCREWS: Final = "screws into its cleat"
BACK: Final = "back bends"
BEARING: Final = "bevel bears its weight"


def holder_checks(holder: HolderFacts, wall: WallFacts, words: Words) -> Iterator[Check]:
    """Yield the checks of a holder as a whole."""
    yield seated(holder, wall, words)
    yield cleat_screws(holder, wall, words)
    yield back_bends(holder, wall, words)
    yield bearing(holder, wall, words)


def seated(holder: HolderFacts, wall: WallFacts, words: Words) -> Check:
    """Check that the hook stays seated without friction: out / pad at most tan b (free body, derived)."""
    item = holder.hung(wall.bevel)
    allowed = holder.pad * math.tan(math.radians(wall.bevel))
    stays = "stays seated" if item.seated else "is held by friction alone and may swing off"
    sentence = (
        f"Its load stands {words.length(holder.out)} out from the bevel, its back bears {words.length(holder.pad)} "
        f"below it: the hook {stays}."
    )
    governs = "load far out against a high foot"
    return Check(
        holder.name, SEATED, holder.out, allowed, "length", governs, "free body without friction, derived", sentence
    )


def tipping(holder: HolderFacts, wall: WallFacts) -> Tipped:
    """Return the holder's cleat as it tips about its upper edge: the wall cleat's case upside down.

    The bevel pulls it to the wall with H, the wall presses its lower part back with C; the rest, W e / h, the screws
    carry. Its screws stand in the middle of its short face, that against the back.
    """
    item = Hung(holder.weight, holder.out, holder.pad, wall.bevel)
    rise = wall.thickness * math.tan(math.radians(wall.bevel))
    row = (wall.holder_height - rise) / 2
    return Tipped(holder.weight, item.at_foot, wall.holder_height, wall.thickness, row, wall.bevel)


def cleat_screws(holder: HolderFacts, wall: WallFacts, words: Words) -> Check:
    """Check the screws through the back into the holder's cleat, glue not counted."""
    screws, tipped = holder.into_cleat, tipping(holder, wall)
    shear, pull = holder.weight / screws.count, tipped.pull / screws.count
    holds = into_face(screws, holder.thickness, wall.thickness)
    sentence = (
        f"Each of the {screws.count} {words.screw(screws.gauge, screws.length)} screws into its cleat carries "
        f"{words.weight(shear)} down and {words.weight(pull)} outward, {percent(holds.ratio(shear, pull))} of what it "
        "may, glue not counted."
    )
    return screw_check(holder.name, CLEAT_SCREWS, holds, shear, pull, f"{SOURCE}; statics", sentence)


def back_bends(holder: HolderFacts, wall: WallFacts, words: Words) -> Check:
    """Check the back where it stands by itself, between its cleat and what stiffens it: gussets, ends or arms.

    Its face grain runs along the wall, so that it bends across the grain. Above the stiff part the moment is at most
    W e z / h at a depth z below the bevel, below it W e (h - z) / h (free body, derived).
    """
    item = holder.hung(wall.bevel)
    stiff_from, stiff_to = _stiff(holder, wall)
    lever = max(min(stiff_from, holder.pad), holder.pad - stiff_to, 0.0)
    moment = holder.weight * holder.out * lever / holder.pad
    section = beams.Section(holder.width, holder.thickness)
    stress, may = moment / section.modulus, STORED * panels.bending_strength("across")
    sentence = (
        f"Its foot presses on the wall with {words.weight(item.at_foot)}; that bends the back to "
        f"{percent(stress / may)} of what it may."
    )
    return Check(
        holder.name,
        BACK,
        stress,
        may,
        "stress",
        "bending across the face grain",
        "panel manual, Table M9.2-1",
        sentence,
    )


def _stiff(holder: HolderFacts, wall: WallFacts) -> tuple[float, float]:
    """Return from where to where, below the bevel, something stiffens the back."""
    contact = wall.holder_height - wall.thickness * math.tan(math.radians(wall.bevel)) / 2
    foot = holder.height - contact
    gusset = holder.gusset[0] if holder.gusset else 0.0
    if holder.style in ("box", "bin"):
        return 0.0, foot
    if holder.style == "shelf":
        return foot - holder.thickness - gusset, foot
    if holder.style == "bracket" and holder.board is not None:
        return foot - holder.board.width, foot
    if holder.style == "rack":
        shelf = holder.height / 2 - contact
        return shelf, shelf + holder.thickness + gusset
    return foot, foot


def bearing(holder: HolderFacts, wall: WallFacts, words: Words) -> Check:
    """Check the pressure on the bevel, W / (L t), against the bearing of a panel's face."""
    pressure = holder.hung(wall.bevel).bearing(holder.width, wall.thickness)
    sentence = f"{words.weight(holder.weight)}, its own weight included, rest on {words.length(holder.width)} of bevel."
    governs, source = "crushing of the bevel", "free body, derived; panel manual, bearing (from memory)"
    return Check(holder.name, BEARING, pressure, panels.FACE_BEARING, "stress", governs, source, sentence)
