"""The saw and its rules: which station can make a cut, and what must be said before it is made.

A cut is described by how it meets the fence: ``along`` is the edge of the piece parallel to the cut,
``across`` the size that is parted, ``setting`` what lies between the reference edge and the blade.
Three stations are known: the *table saw* with its rip fence, the *crosscut sled* with a stop, and the
*breakdown saw*, a circular saw on a guide, each cut of which is a positioning of its own.

Published widths are in inches; for a document in millimetres they are converted exactly.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Literal

from nesting.layout import CutKind
from nesting.lengths import Unit
from nesting.steps import Station

MM_PER_INCH = Fraction(254, 10)


@lru_cache(maxsize=64)
def inches(value: int | Fraction, unit: Unit) -> Fraction:
    """Return a published size in inches in the document's unit.

    >>> inches(12, "in"), inches(6, "mm")
    (Fraction(12, 1), Fraction(762, 5))
    """
    return Fraction(value) * (MM_PER_INCH if unit == "mm" else 1)


@dataclass(frozen=True, slots=True)
class Saw:
    """What is at hand in the shop and how it is set up; lengths in ``unit``.

    ``kerf`` is the width a square cut removes, ``fence_step`` the finest mark fence and stop can be set to;
    ``rip_capacity`` the widest fence setting, ``crosscut_capacity`` the longest cut the sled carries;
    ``edge_trim`` what is lost at a factory edge where the stock says nothing else.
    The defaults are the trade's usual values in inches.
    """

    kerf: Fraction
    unit: Unit = "in"
    fence_step: Fraction = Fraction(1, 32)
    blade_leans: Literal["left", "right"] = "left"
    fence_side: Literal["left", "right"] = "right"
    rip_capacity: Fraction = Fraction(30)
    crosscut_capacity: Fraction = Fraction(24)
    narrowest_rip: Fraction = Fraction(3, 2)
    shortest_against_fence: Fraction = Fraction(12)
    breakdown_saw: bool = True
    sled_shares_table: bool = True
    fence_crosscuts: bool = True
    edge_trim: Fraction = Fraction(1, 8)


def lean(saw: Saw) -> Literal["away", "toward"]:
    """Say whether the tilted blade leans away from the fence or toward it.

    A left-tilting blade leans away from a fence on its right. Leaning away is the safe way: leaning toward,
    the piece is trapped under the blade (woodworking handbooks, as read; bevel rips of 6 in or less belong to the
    right of a left-tilting blade).

    >>> lean(Saw(Fraction(1, 8)))
    'away'
    """
    return "away" if saw.blade_leans != saw.fence_side else "toward"


def is_full_sheet(side: Fraction, other: Fraction, unit: Unit) -> bool:
    """Say whether a piece handles like a full sheet: longer than 60 in and wider than 36 in.

    Such a piece is broken down with the guided saw first (common practice, no source).

    >>> is_full_sheet(Fraction(96), Fraction(48), "in"), is_full_sheet(Fraction(96), Fraction(24), "in")
    (True, False)
    """
    return max(side, other) > inches(60, unit) and min(side, other) > inches(36, unit)


def widest_after_breakdown(along: Fraction, unit: Unit) -> Fraction | None:
    """Return how wide across a piece may be so that it no longer counts as a full sheet; None: any width.

    >>> widest_after_breakdown(Fraction(96), "in"), widest_after_breakdown(Fraction(48), "in")
    (Fraction(36, 1), Fraction(60, 1))
    """
    if along <= inches(36, unit):
        return None
    return inches(36 if along > inches(60, unit) else 60, unit)


def fits_fence(saw: Saw, cut: CutKind, along: Fraction, setting: Fraction) -> bool:
    """Say whether the fence can take the cut at all.

    The setting is within ``rip_capacity``. A crosscut needs the switch ``fence_crosscuts`` and a wide piece: the
    edge on the fence 12 in or more and no shorter than the setting (never crosscut against the fence a piece that
    is longer across than along: common practice, no source).
    """
    if setting <= 0 or setting > saw.rip_capacity:
        return False
    if cut == "rip":
        return True
    return saw.fence_crosscuts and along >= max(inches(12, saw.unit), setting)


def against_the_rules_at_fence(saw: Saw, along: Fraction, setting: Fraction) -> tuple[str, ...]:
    """Return the codes of what speaks against a fence cut: too narrow, too short, or longer across than along.

    ``narrowest_rip`` and ``shortest_against_fence`` are the user's (12 in along the fence: shop safety handbooks, as
    read); an edge shorter than the setting lets the piece swing (common practice, no source).
    """
    faults = []
    if setting < saw.narrowest_rip:
        faults.append("narrow_rip")
    if along < saw.shortest_against_fence:
        faults.append("short_piece")
    if along < setting:
        faults.append("longer_across")
    return tuple(faults)


def fits_sled(saw: Saw, along: Fraction) -> bool:
    """Say whether the sled carries a cut of that length: ``crosscut_capacity``."""
    return along <= saw.crosscut_capacity


def stations(
    saw: Saw, cut: CutKind, along: Fraction, across: Fraction, setting: Fraction, bevel: Fraction = Fraction(0)
) -> tuple[Station, ...]:
    """Return the stations that should make a cut with this setting, none where none can.

    Bevel rips: the table saw alone. Full sheets: the guided saw, where there is one. Else the fence if nothing speaks
    against it and, for a crosscut, the sled. Where these fail: a short piece is turned and ripped on the sled; the
    guided saw takes what is large enough to carry its guide (12 in across); the fence with a warning; the guided saw.

    >>> saw = Saw(Fraction(1, 8))
    >>> stations(saw, "rip", Fraction(96), Fraction(48), Fraction(12))
    ('breakdown saw',)
    >>> stations(saw, "rip", Fraction(96), Fraction(24), Fraction(12))
    ('table saw',)
    >>> stations(saw, "crosscut", Fraction(20), Fraction(96), Fraction(16))
    ('table saw', 'crosscut sled')
    >>> stations(saw, "rip", Fraction(96), Fraction(24), Fraction(40), Fraction(45))
    ()
    """
    at_fence = fits_fence(saw, cut, along, setting)
    if bevel:
        return ("table saw",) if at_fence else ()
    if saw.breakdown_saw and is_full_sheet(along, across, saw.unit):
        return ("breakdown saw",)
    good: list[Station] = []
    if at_fence and not against_the_rules_at_fence(saw, along, setting):
        good.append("table saw")
    if cut == "crosscut" and fits_sled(saw, along) and setting > 0:
        good.append("crosscut sled")
    if good:
        return tuple(good)
    unsteady = along < saw.shortest_against_fence or along < setting
    if cut == "rip" and unsteady and fits_sled(saw, along) and setting > 0:
        return ("crosscut sled",)
    if saw.breakdown_saw and across >= inches(12, saw.unit):
        return ("breakdown saw",)
    if at_fence:
        return ("table saw",)
    return ("breakdown saw",) if saw.breakdown_saw else ()


def pushing(saw: Saw, along: Fraction, setting: Fraction) -> Literal["", "stick", "block"]:
    """Return what pushes the piece past the blade: nothing, a push stick, or a push block with an auxiliary fence.

    A stick below 6 in of width or 12 in of length, a block below 2 in: shop safety handbooks, as read; the strictest of
    the published widths (a textbook says 4 in).

    >>> saw = Saw(Fraction(1, 8))
    >>> pushing(saw, Fraction(96), Fraction(6)), pushing(saw, Fraction(96), Fraction(5)), pushing(saw, Fraction(96), 1)
    ('', 'stick', 'block')
    """
    if setting < inches(2, saw.unit):
        return "block"
    return "stick" if setting < inches(6, saw.unit) or along < inches(12, saw.unit) else ""


def needs_support(saw: Saw, along: Fraction) -> bool:
    """Say whether a piece needs support behind the saw: longer than about 3 ft (common practice, no source)."""
    return along > inches(36, saw.unit)


def blade_height(thickness: Fraction, bevel: Fraction) -> Fraction:
    """Return how far a tilted blade runs through the stock, t / cos b (plane trigonometry, derived).

    A 10 in blade cuts about 2 1/4 in at 45 degrees (from memory): anything above is for a larger saw.

    >>> round(float(blade_height(Fraction(719, 1000), Fraction(45))), 4)
    1.0168
    """
    from nesting.trade.bevel import secant

    return thickness * secant(bevel)


def bevel_settings(short: Fraction, rise: Fraction) -> dict[Literal["away", "toward"], Fraction]:
    """Return the two settings for the same cleat: its short face leaning away, its tall face leaning toward."""
    return {"away": short, "toward": short + rise}


def straight_reference(at_factory_edge: bool, trim: Fraction) -> bool:
    """Say whether an edge may run against fence or sled: a sawn one, or a factory edge that is used as it is."""
    return not at_factory_edge or trim == 0
