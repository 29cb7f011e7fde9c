"""Letters along a row: the pieces of its runs named from its low end, whatever splices were chosen."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from nesting.layout import Layout, Node
from nesting.wall.fitting import FittedRun, letters


@dataclass(frozen=True, slots=True)
class HungPiece:
    """One piece of wall cleat on its row: ``x`` is its low end."""

    row: int
    x: Fraction
    length: Fraction
    part: str


def pieces_of(runs: Sequence[FittedRun], layouts: Sequence[Layout]) -> Iterator[HungPiece]:
    """Yield the pieces that layouts hold of every run, row by row, each where it hangs.

    The letters of a row go through all its runs, so a run takes the next of them until it is full.
    """
    lengths = {node.part: node.length for layout in layouts for node in layout.tree.walk() if node.role == "part"}
    waiting: dict[int, list[str]] = {}
    for fitted in runs:
        names = [name for name in fitted.piece_names if name in lengths]
        waiting.setdefault(fitted.run.row, []).extend(names)
    for fitted in runs:
        x, names = fitted.run.x, waiting[fitted.run.row]
        while names and x < fitted.run.end:
            name = names.pop(0)
            yield HungPiece(fitted.run.row, x, lengths[name], name)
            x += lengths[name]


def lettered(runs: Sequence[FittedRun], layouts: Sequence[Layout]) -> tuple[Layout, ...]:
    """Return layouts whose wall pieces bear consecutive letters in every row."""
    names: dict[str, str] = {}
    free: dict[int, Iterator[str]] = {}
    for piece in pieces_of(runs, layouts):
        letter = next(free.setdefault(piece.row, letters()))
        names[piece.part] = f"row {piece.row} {letter}"
    if all(old == new for old, new in names.items()):
        return tuple(layouts)
    return tuple(replace(layout, tree=_renamed(layout.tree, names)) for layout in layouts)


def _renamed(tree: Node, names: Mapping[str, str]) -> Node:
    order = [tree]
    for node in order:  # parents before their pieces; grows as it goes
        order.extend(node.pieces)
    made: dict[int, Node] = {}
    for node in reversed(order):
        part = names.get(node.part, node.part) if node.part is not None else None
        made[id(node)] = replace(node, part=part, pieces=tuple(made[id(piece)] for piece in node.pieces))
    return made[id(tree)]
