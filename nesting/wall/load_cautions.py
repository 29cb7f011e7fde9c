"""What is said beside the load table: what must not be built, what was assumed, what the table is not."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from nesting.project.model import Project
from nesting.steps import Caution
from nesting.strength.species import read_species
from nesting.wall.load_facts import WallFacts
from nesting.wall.load_rows import STOP, WARN, LoadRow, percent
from nesting.wall.shelf_load import SAGS, SAGS_LATER

NOT_A_RATING: Final = (
    "What is said to carry is an estimate by published methods for loads that stay for years, dry and indoors; it is "
    "not an engineered rating. Local codes and licensed practice prevail; heavy or critical loads need a licensed "
    "engineer.",
    "Not covered: earthquakes, shaking, knocks and fatigue, people who climb or pull, defects, moisture and "
    "workmanship. Hang nothing over people or beds.",
    "Only wood studs: wood screws do not hold in steel studs, masonry or hollow walls; anchors there need a tested "
    "rating of their own.",
)
"""Said with every load table."""
_KINDS: Final = {
    "construction screw": "construction screws need a report of their own; here they count as wood screws of their "
    "number",
    "deck screw": "deck screws need a report of their own; here they count as wood screws of their number",
    "drywall screw": "drywall screws are brittle and nobody rates them: take wood screws",
}


def cautions(project: Project, wall: WallFacts, rows: Sequence[LoadRow]) -> Iterator[Caution]:
    """Yield the cautions of a load table, the worst first; rows that say the same of other items share one."""
    alike: dict[tuple[str, str, bool], list[LoadRow]] = {}
    for row in sorted(rows, key=lambda row: -row.ratio):
        if row.ratio > WARN:
            alike.setdefault((row.check, row.remedy.partition(" would ")[0], row.ratio > STOP), []).append(row)
    for group in alike.values():
        yield _of_rows(group)
    if project.wall is not None:
        yield from _of_wall(wall)
    for text in NOT_A_RATING:
        yield Caution("estimate", text)


def _of_rows(rows: Sequence[LoadRow]) -> Caution:
    """Return the caution of rows alike: the worst in full, the others by name."""
    worst = rows[0]
    also = ", ".join(f"{row.item} ({percent(row.ratio)})" for row in rows[1:])
    told = f"{worst.sentence} {worst.remedy or 'No small change was found that passes.'}" + (
        f" The same: {also}." if also else ""
    )
    if worst.ratio <= STOP:
        return Caution("high_load", f"Near its limit, {worst.item}, {worst.check}. {told}", worst.item)
    sags = " (it would not break)" if worst.check.endswith((SAGS, SAGS_LATER)) else ""
    return Caution("overloaded", f"Do not build this: {worst.item}, {worst.check}{sags}. {told}", worst.item)


def _of_wall(wall: WallFacts) -> Iterator[Caution]:
    if not wall.species.known:
        usual = read_species("spruce-pine-fir")
        more = (usual.gravity / wall.species.gravity) ** 2 - 1
        yield Caution(
            "assumed_species",
            "The wood of the studs is not known: they count as the weakest group of the table, spruce-pine-fir "
            f"(south), specific gravity {wall.species.gravity:g}. Read the grade stamp: in spruce-pine-fir (SPF) a "
            f"thread holds {percent(more)} more.",
        )
    if wall.kind != "wood screw":
        yield Caution("screw_kind", f"The values hold for wood screws to ASME B18.6.1 alone; {_KINDS[wall.kind]}.")
