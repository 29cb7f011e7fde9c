"""What a part or cleat is, by its name: as the project asks for it, or as its wall and holders need it."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from nesting.demand import Cleat, Panel
from nesting.replan.bench import Bench
from nesting.wall.holders import build_all

NOWHERE: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True)
class Kind:
    """A part or cleat with the thickness asked for; quantity and stocks are filled in where it is wanted."""

    piece: Panel | Cleat
    thickness: Fraction

    @property
    def filler(self) -> bool:
        """Whether it is only cut from what is left over."""
        return isinstance(self.piece, Panel) and self.piece.filler


def catalogue(bench: Bench) -> dict[str, Kind]:
    """Return every part and cleat of a plan by its name; pieces of rows keep the lengths that the plan gave them."""
    project, cleats = bench.project, bench.project.cleats
    found: dict[str, Kind] = {}
    for part in project.part:
        panel = Panel(part.name, part.length, part.width, 0, part.grain, part.filler, NOWHERE)
        found[part.name] = Kind(panel, part.thickness)
    for asked in project.cleat:
        cleat = Cleat(asked.name, asked.kind, cleats.height(asked.kind), asked.length, 0, NOWHERE)
        found[asked.name] = Kind(cleat, cleats.thickness)
    built, _ = build_all(project)
    for one in built:
        own = one.cleat
        cleat = Cleat(own.name, "holder", cleats.holder_height, own.length, 0, NOWHERE)
        found[own.name] = Kind(cleat, cleats.thickness)
        for made in (*one.parts, *([one.spacer] if one.spacer is not None else ())):
            panel = Panel(made.name, made.length, made.width, 0, made.grain, filler=False, stocks=NOWHERE)
            found[made.name] = Kind(panel, made.thickness)
    for _, node in bench.nodes.values():
        if node.part is not None and node.part not in found:
            cleat = Cleat(node.part, "wall", cleats.wall_height, node.length, 0, NOWHERE)
            found[node.part] = Kind(cleat, cleats.thickness)
    return found
