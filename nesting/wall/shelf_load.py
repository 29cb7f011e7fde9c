"""What bears the contents of a holder: how it bends and sags, and whether its joint with the back holds.

A shelf between two gussets spans along its face grain; without gussets it stands out from the back, across the grain. A
box's bottom lies in its four sides, which carry as deep beams, and spans both ways. Contents lie spread evenly, their
middle halfway out; a board bears its own weight too, a joint that of the whole holder. Pounds and inches.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from nesting.strength import beams, panels, screw_groups
from nesting.strength.factors import STORED
from nesting.strength.panels import Grain
from nesting.wall.fastening import EDGE, SOURCE, into_edge, screw_check
from nesting.wall.load_facts import Board, Driven, HolderFacts, WallFacts
from nesting.wall.load_rows import Check, Words, percent

BENDS, SAGS, SAGS_LATER, SHEARS = "bends", "sags at first", "sags in years", "shears between its plies"
JOINT: Final = "joint with the back"
HANGS: Final = "hangs on its gussets"
BOTTOM: Final = "bottom hangs in its sides"
_SAG_SOURCE: Final = "Wood Handbook Eq. 9-2 and Table 12-1"
_INSET: Final = "statics: tips about its lower edge; plywood edge: half the thread, C_eg 0.67"


def shelf_checks(holder: HolderFacts, wall: WallFacts, words: Words) -> Iterator[Check]:
    """Yield the checks of what bears a holder's contents; none for a flat back."""
    if holder.board is None:
        return
    yield from board_checks(holder, holder.board, words)
    yield joint(holder, wall, words)
    if (gussets := holder.screws("shelf", "gusset")) and holder.style == "shelf":
        yield _hung(holder, gussets, words)
    if holder.style in ("box", "bin"):
        yield _bottom(holder, words)


# -- the board as a beam


@dataclass(frozen=True, slots=True)
class Span:
    """One way in which a board may bear: the beam's case, load (lb), span (in), section, grain and strength (psi)."""

    case: beams.Case
    load: float
    length: float
    section: beams.Section
    grain: Grain
    strength: float

    @property
    def bending(self) -> float:
        """Bending stress in psi."""
        return beams.moment(self.case, self.load, self.length) / self.section.modulus

    @property
    def sag(self) -> float:
        """Sag at first in inches, shear included."""
        stiff = panels.stiffness(self.grain)
        shear = panels.STIFFNESS * beams.SHEAR_MODULUS_SHARE
        return beams.deflection(self.case, self.load, self.length, stiff, self.section, shear)

    @property
    def shear(self) -> float:
        """Shear stress between the plies in psi."""
        return beams.shear_stress(beams.greatest_shear(self.case, self.load), self.section)

    @property
    def counted(self) -> float:
        """Span that limits of sag are told of: twice the length of what stands out (International Building Code)."""
        return self.length * (2 if self.case.startswith("cantilever") else 1)


def spans_of(holder: HolderFacts, board: Board) -> tuple[Span, ...]:
    """Return how a holder's board bears its contents; a box's bottom both ways, each with its share of the load.

    The shares are those at which both strips sag alike (Rankine and Grashof's method for slabs, from memory): safe, for
    what the plate gains by twisting is left out.
    """
    along: Grain = "along" if holder.grain else "across"
    t, load = holder.thickness, holder.contents + panels.weight(board.length, board.width, holder.thickness)
    deep, wide = board.width - board.lost_deep, board.length - board.lost_wide
    flat = panels.bending_strength
    if holder.style == "bracket":
        section = beams.Section(t, board.width)
        strength = panels.edge_bending_strength(along)
        return (Span("cantilever uniform", load / 2, board.length, section, along, strength),)
    if holder.style in ("shelf", "rack") and holder.gusset is None:
        section = beams.Section(wide, t)
        return (Span("cantilever uniform", load, board.width, section, "across", flat("across")),)
    part, section = board.length / holder.parts, beams.Section(deep, t)
    lengthwise = Span("uniform", load / holder.parts, part, section, along, flat(along))
    if holder.style not in ("box", "bin"):
        return (lengthwise,)
    crosswise = Span("uniform", load, board.width, beams.Section(wide, t), "across", flat("across"))
    share = crosswise.sag / (lengthwise.sag + crosswise.sag)
    return replace(lengthwise, load=share * load), replace(crosswise, load=(1 - share) * load)


def board_checks(holder: HolderFacts, board: Board, words: Words) -> Iterator[Check]:
    """Yield bending, sag and shear of the board that bears the contents."""
    spans, what = spans_of(holder, board), name_of_board(holder)
    span = max(spans, key=lambda one: one.bending / one.strength)
    stands = "stands out" if span.case.startswith("cantilever") else "spans"
    grain = " across its face grain" if span.grain == "across" else ""
    bears = f"The {what} {stands} {words.length(span.length)}{grain} under {words.weight(sum(s.load for s in spans))}"
    may = STORED * span.strength
    yield Check(
        holder.name, f"{what} {BENDS}", span.bending, may, "stress", f"bending {span.grain} the face grain",
        "statics; panel manual, Table M9.2-1", f"{bears}: it bends to {percent(span.bending / may)} of what it may.",
    )  # fmt: skip
    span = max(spans, key=lambda one: one.sag / one.counted)
    limit = span.counted * beams.SAG_UNSEEN
    yield Check(
        holder.name, f"{what} {SAGS}", span.sag, limit, "length", "stiffness",
        f"{_SAG_SOURCE}; limit 1/32 in a foot: furniture anthology, 2007",
        f"{bears} and sags {words.sag(span.sag)} at first; beyond {words.length(limit)} the eye sees it.",
    )  # fmt: skip
    late, limit = beams.CREEP_PANEL * span.sag, span.counted * beams.SAG_TOTAL
    yield Check(
        holder.name, f"{what} {SAGS_LATER}", late, limit, "length", "creep",
        f"{_SAG_SOURCE}; K_cr 2.0: NDS 3.5.2 (from memory); limit L/240: International Building Code Table 1604.3",
        f"In years the {what} sags {words.sag(late)}; {words.length(limit)} is its limit.",
    )  # fmt: skip
    span, may = max(spans, key=lambda one: one.shear), STORED * panels.planar_shear_strength()
    yield Check(
        holder.name, f"{what} {SHEARS}", span.shear, may, "stress", "shear between the plies",
        "statics; panel manual (from memory)", f"Shear in the {what} is {percent(span.shear / may)} of what it may be.",
    )  # fmt: skip


def name_of_board(holder: HolderFacts) -> str:
    """Return what bears the contents of a holder: its shelf, its bottom or its arms."""
    return {"box": "bottom", "bin": "bottom", "bracket": "arm"}.get(holder.style, "shelf")


# -- its joints


def joint(holder: HolderFacts, wall: WallFacts, words: Words) -> Check:
    """Check the screws through the back that carry shelf, gussets, ends or arms: shear and overturning together.

    The group tips about its lower edge; gussets, ends and arms raise its screws, which is what they are for.
    """
    rows = rows_of_joint(holder)
    count = sum(number for _, number in rows)
    moment = holder.weight * lever(holder, wall)
    pull = max(screw_groups.pull_of_rows(moment, rows), default=0.0)
    shear = holder.weight / count
    screws = next(one.screws for one in holder.joints if one.through == "back")
    holds = into_edge(screws, holder.thickness)
    what = name_of_board(holder)
    sentence = (
        f"Where the {what} meets the back, {count} {words.screw(screws.gauge, screws.length)} screws carry "
        f"{words.weight(shear)} each down and up to {words.weight(pull)} outward, "
        f"{percent(holds.ratio(shear, pull))} of what they may in a plywood edge, glue not counted."
    )
    return screw_check(holder.name, JOINT, holds, shear, pull, f"{SOURCE}; {_INSET}", sentence)


def lever(holder: HolderFacts, wall: WallFacts) -> float:
    """Return how far the load stands out from the front of the back."""
    return max(0.0, holder.out - wall.thickness / 2 - holder.thickness)


def rows_of_joint(holder: HolderFacts) -> list[tuple[float, int]]:
    """Return the screws through the back as rows: height above the edge about which the joint tips, number.

    Screws along an upright edge stand in the middle of equal parts of it.
    """
    t = holder.thickness
    level = holder.screws("back", "shelf") or holder.screws("back", "bottom")
    if holder.gusset and (upright := holder.screws("back", "gusset")):
        tall = holder.gusset[0]
        if holder.style == "rack":  # gussets under the shelf
            return [*_up(0.0, tall, upright), (tall + t / 2, level.count if level else 0)]
        return [(t / 2, level.count if level else 0), *_up(t, tall, upright)]
    if upright := holder.screws("back", "end"):
        return [(t / 2, level.count if level else 0), *_up(0.0, holder.height, upright)]
    if (upright := holder.screws("back", "arm")) and holder.board is not None:
        return _up(0.0, holder.board.width, upright)
    return [(t / 2, level.count if level else 0)]


def _up(start: float, tall: float, screws: Driven) -> list[tuple[float, int]]:
    """Return the screws of two upright edges as rows of two."""
    each = max(1, screws.count // 2)
    return [(start + tall * (n + 0.5) / each, 2) for n in range(each)]


def _hung(holder: HolderFacts, screws: Driven, words: Words) -> Check:
    """Check the screws up through a shelf into the gussets that stand on it: all the weight hangs on their threads."""
    holds = into_edge(screws, holder.thickness)
    pull = holder.weight / screws.count
    sentence = (
        f"The shelf hangs on {screws.count} screws up into its gussets, {words.weight(pull)} each, "
        f"{percent(holds.ratio(0.0, pull))} of what they may, glue and back not counted."
    )
    return screw_check(
        holder.name, HANGS, holds, 0.0, pull, f"{SOURCE}; half the thread in a plywood edge ({EDGE})", sentence
    )


def _bottom(holder: HolderFacts, words: Words) -> Check:
    """Check the screws through a box's sides into the edges of its bottom, loaded across."""
    kinds = [one.screws for one in holder.joints if one.into == "bottom"]
    count = sum(screws.count for screws in kinds)
    holds = into_edge(kinds[0], holder.thickness)
    shear = holder.weight / count
    sentence = (
        f"The bottom hangs on {count} screws through the sides, {words.weight(shear)} each, "
        f"{percent(holds.ratio(shear, 0.0))} of what they may, glue not counted."
    )
    return screw_check(holder.name, BOTTOM, holds, shear, 0.0, f"{SOURCE}; C_eg 0.67 in a plywood edge", sentence)
