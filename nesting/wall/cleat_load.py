"""A piece of wall cleat under the holders on it, wherever along it they are shifted: its screws, heads, bending.

Each holder's weight and thrust spread evenly over its own cleat. What a stud carries is the worst that any placement
can give (:mod:`nesting.strength.rails`); pull and weight are taken at their worst both, though no placement may give
both. Every cleat tips about its lower edge, friction not counted. Pounds and inches.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from nesting.strength import beams, panels, penetration, screw_groups
from nesting.strength.factors import STORED
from nesting.strength.hook import Tipped
from nesting.strength.rails import Spread
from nesting.wall.fastening import SOURCE, SOURCE_GAP, at_stud, screw_check
from nesting.wall.load_facts import HolderFacts, PieceFacts, WallFacts
from nesting.wall.load_rows import Check, Words, percent, share

REACH: Final = "screws reach into the stud"
STUD: Final = "screws at a stud"
HEADS: Final = "screw heads pull through"
BENDS: Final = "bends between studs"
BEARING: Final = "bevel bears its load"
_COUNTS: Final = {1: "One", 2: "Two"}


def reach(wall: WallFacts, words: Words) -> Check:
    """Check how far the wall screws reach into the studs, 6 D at least; the sentence says what the trade aims at."""
    point = penetration.reach(wall.size, wall.length, wall.thickness + wall.between).point
    least = penetration.least(wall.size)
    one = wall.per_stud == 1
    sentence = (
        f"{_COUNTS[wall.per_stud]} {words.screw(wall.gauge, wall.length)} screw{'' if one else 's'} "
        f"reach{'es' if one else ''} {{}}{words.length(point)} into the stud"
    )
    if point < wall.wanted:
        longer = next((length for length in wall.sold if length >= wall.wanted + wall.length - point), None)
        use = f"; use {words.length(longer)}." if longer else "; no screw sold is long enough, take off sheathing."
        sentence = sentence.format("only ") + use
    else:
        sentence = sentence.format("") + f"; {words.length(least)} is the least."
    return Check("wall", REACH, least, point, "length", "too little wood around the point", "NDS 12.1.5.6", sentence)


def piece_checks(piece: PieceFacts, wall: WallFacts, words: Words) -> Iterator[Check]:
    """Yield the checks of one piece with holders on it."""
    yield at_worst_stud(piece, wall, words)
    yield heads(piece, wall, words)
    yield bends(piece, wall, words)
    yield bearing(piece, wall, words)


def tipped(holder: HolderFacts, wall: WallFacts) -> Tipped:
    """Return the wall cleat as one holder tips it: thrust W max(tan b, e / h), screws at half its height."""
    thrust = holder.hung(wall.bevel).design_thrust
    return Tipped(holder.weight, thrust, wall.wall_height, wall.thickness, wall.wall_height / 2, wall.bevel)


def pull_of_screw(pull: float, wall: WallFacts) -> float:
    """Return what the harder pulled of a stud's screws carries of the pull on them all, told for half the height.

    Two screws stand one over the other, prebored: 10 D apart, or as far as 2.5 D to either edge of the short face
    leave room (NDS advisory Commentary Table C12.1.5.7, transcribed).
    """
    if wall.per_stud == 1:
        return pull
    row, short = wall.wall_height / 2, wall.wall_height - wall.thickness * math.tan(math.radians(wall.bevel))
    room = short - 5 * wall.size.diameter
    apart = max(0.0, min(penetration.between_along_grain(wall.size, prebored=True), room))
    return screw_groups.pull_of_rows(pull * row, [(row - apart / 2, 1), (row + apart / 2, 1)])[1]


def worst_at_stud(piece: PieceFacts, wall: WallFacts) -> tuple[float, float]:
    """Return the worst shear and the worst pull of one screw."""
    shear = piece.rail.most([Spread(holder.width, holder.weight) for holder in piece.holders])
    pull = piece.rail.most([Spread(holder.width, tipped(holder, wall).pull) for holder in piece.holders])
    return shear / wall.per_stud, pull_of_screw(pull, wall)


def at_worst_stud(piece: PieceFacts, wall: WallFacts, words: Words) -> Check:
    """Check the screws at the stud that can get the most, sideways and outward together."""
    shear, pull = worst_at_stud(piece, wall)
    holds = at_stud(wall)
    many = "The screw" if wall.per_stud == 1 else "Each of the two screws"
    sentence = (
        f"{many} at a stud, {words.screw(wall.gauge, wall.length)}, may have to carry {words.weight(shear)} down and "
        f"{words.weight(pull)} outward with the holders shifted to the worst place, "
        f"{percent(holds.ratio(shear, pull))} of what it may."
    )
    source = SOURCE_GAP if wall.between else SOURCE
    return screw_check(piece.name, STUD, holds, shear, pull, f"{source}; statics", sentence)


def heads(piece: PieceFacts, wall: WallFacts, words: Words) -> Check:
    """Check that the heads do not pull through the cleat."""
    _, pull = worst_at_stud(piece, wall)
    may = at_stud(wall).head
    sentence = (
        f"The cleat tips about its lower edge and pulls on a head with {words.weight(pull)} at worst, "
        f"{percent(share(pull, may))} of what plywood holds."
    )
    source = "NDS 12.2-6; statics, prying about the lower edge"
    return Check(piece.name, HEADS, pull, may, "force", "the head pulls through", source, sentence)


def bends(piece: PieceFacts, wall: WallFacts, words: Words) -> Check:
    """Check the cleat as a beam between studs, bent outward by the thrust and down by the weight at once.

    Both stresses count together; that of the weight in proportion to the lower strength on edge.
    """
    rise = wall.thickness * math.tan(math.radians(wall.bevel))
    section = beams.Trapezoid(wall.wall_height, max(wall.wall_height - rise, 0.0), wall.thickness)
    thrusts = [Spread(holder.width, holder.hung(wall.bevel).design_thrust) for holder in piece.holders]
    weights = [Spread(holder.width, holder.weight) for holder in piece.holders]
    outward = piece.rail.most_moment(thrusts) / section.outward_modulus
    down = piece.rail.most_moment(weights) / section.upright_modulus
    flat, edge = panels.bending_strength(), panels.edge_bending_strength()
    stress, may = outward + down * flat / edge, STORED * flat
    sentence = (
        f"Between studs up to {words.length(max(piece.rail.spans))} apart the cleat bends to "
        f"{percent(stress / may)} of what it may."
    )
    return Check(
        piece.name,
        BENDS,
        stress,
        may,
        "stress",
        "bending outward and down",
        "statics; panel manual, Table M9.2-1",
        sentence,
    )


def bearing(piece: PieceFacts, wall: WallFacts, words: Words) -> Check:
    """Check the pressure on the bevel under the holder that presses hardest."""
    hardest = max(piece.holders, key=lambda holder: holder.weight / holder.width)
    pressure = hardest.hung(wall.bevel).bearing(hardest.width, wall.thickness)
    sentence = (
        f"{hardest.name} presses hardest: {words.weight(hardest.weight)} on {words.length(hardest.width)} of bevel."
    )
    return Check(
        piece.name, BEARING, pressure, panels.FACE_BEARING, "stress", "crushing of the bevel",
        "free body, derived; panel manual, bearing (from memory)", sentence,
    )  # fmt: skip
