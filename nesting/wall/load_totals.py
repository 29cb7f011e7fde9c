"""What a row and the whole wall carry in all, beside what their screws could carry if every one had its even share."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Final

from nesting.strength.hook import Tipped
from nesting.wall.cleat_load import pull_of_screw, tipped
from nesting.wall.fastening import SOURCE, SOURCE_GAP, at_stud
from nesting.wall.load_facts import HolderFacts, PieceFacts, WallFacts
from nesting.wall.load_rows import Check, Words

TOTAL: Final = "total weight"


def totals(
    pieces: Sequence[PieceFacts], hung: Mapping[int, Sequence[HolderFacts]], wall: WallFacts, words: Words
) -> tuple[Check, ...]:
    """Return the total of every row with cleats and that of the wall; ``hung`` maps rows to the holders on them."""
    found = []
    studs: dict[int, int] = {}
    for piece in pieces:
        studs[piece.row] = studs.get(piece.row, 0) + len(piece.rail.studs)
    for row, count in sorted(studs.items()):
        found.append(_total(f"row {row}", hung.get(row, ()), count, wall, words))
    weight, may = sum(check.demand for check in found), sum(check.capacity for check in found)
    sentence = (
        f"{words.weight(weight)} hang on the wall, the holders' own weight included; evenly spread its screws could "
        f"carry {words.weight(may)}."
    )
    return (*found, Check("wall", TOTAL, weight, may, "force", "screws at the studs", _source(wall), sentence))


def _total(name: str, holders: Sequence[HolderFacts], studs: int, wall: WallFacts, words: Words) -> Check:
    weight = sum(holder.weight for holder in holders)
    pull = sum(tipped(holder, wall).pull for holder in holders)
    if not weight:  # what it could carry: a load on the bevel alone, its foot deep
        plain = Tipped(
            1.0, math.tan(math.radians(wall.bevel)), wall.wall_height, wall.thickness, wall.wall_height / 2, wall.bevel
        )
        weight, pull = 1.0, plain.pull
    screws, holds = studs * wall.per_stud, at_stud(wall)
    ratio = holds.ratio(weight / screws, pull_of_screw(pull / studs, wall))
    may = weight / ratio if ratio else 0.0
    carried = sum(holder.weight for holder in holders)
    sentence = (
        f"{name.capitalize()} carries {words.weight(carried)}; evenly spread its {screws} screws could carry "
        f"{words.weight(may)}."
    )
    return Check(name, TOTAL, carried, may, "force", "screws at the studs", _source(wall), sentence)


def _source(wall: WallFacts) -> str:
    return f"{SOURCE_GAP if wall.between else SOURCE}; statics"
