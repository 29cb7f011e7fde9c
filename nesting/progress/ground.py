"""A plan looked up by piece: what each is cut from, which step makes it and which cuts it, where bevels run."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from nesting.plan import LayoutDocument, NodeDocument, Plan, StepDocument

Edge = Literal["low", "high"]


@dataclass(frozen=True, slots=True)
class Place:
    """A rectangle in its plan; ``bevelled`` names the edges along x that a bevel rip left slanting."""

    node: NodeDocument
    layout: LayoutDocument
    parent: str | None
    bevelled: tuple[Edge, ...]


@dataclass(frozen=True, slots=True)
class Ground:
    """A plan by its pieces; ``maker`` and ``cutter`` give the number of the step, where there is one.

    ``scrapped`` are pieces drawn as waste that were lost before the plan was made: they are not there any more.
    """

    places: dict[str, Place]
    maker: dict[str, int]
    cutter: dict[str, int]
    steps: dict[int, StepDocument]
    scrapped: frozenset[str]

    def below(self, piece: str) -> Iterator[NodeDocument]:
        """Yield a piece and all that is to be cut from it."""
        return self.places[piece].node.walk()

    def way_to(self, piece: str) -> list[int]:
        """Return the numbers of the steps that bring a piece about, the first one first."""
        found: list[int] = []
        at: str | None = piece
        while at is not None:
            if at in self.maker:
                found.append(self.maker[at])
            at = self.places[at].parent
        return found[::-1]


def ground(plan: Plan) -> Ground:
    """Look a plan over; of an id given twice the first stands, for the checker tells such faults."""
    places: dict[str, Place] = {}
    for layout in plan.layouts:
        todo: list[tuple[NodeDocument, str | None, tuple[Edge, ...]]] = [(layout.tree, None, ())]
        while todo:
            node, parent, bevelled = todo.pop()
            places.setdefault(node.id, Place(node, layout, parent, bevelled))
            for rank, piece in enumerate(node.pieces):
                edges = set(bevelled)
                if node.bevel:
                    low = rank == 0 and abs(piece.y - node.y) < 1e-6
                    edges.add("high" if low else "low")
                todo.append((piece, node.id, tuple(edge for edge in ("low", "high") if edge in edges)))
    maker = {piece: step.n for step in reversed(plan.steps) for piece in step.makes}
    cutter = {step.piece: step.n for step in reversed(plan.steps)}
    return Ground(places, maker, cutter, {step.n: step for step in plan.steps}, frozenset(_scrapped(plan, places)))


def _scrapped(plan: Plan, places: dict[str, Place]) -> Iterator[str]:
    """Yield what is waste in pieces lost earlier: such a piece is gone, but for the cleats cut from its sound bevel."""
    told = plan.replaces
    if told is None:
        return
    lost = {one.piece for one in told.lost}
    for block in told.before:
        lost |= {str(one.get("piece")) for one in block.get("lost", ()) if isinstance(one, dict)}
    for piece in lost & places.keys():
        yield from (node.id for node in places[piece].node.walk() if node.role in ("waste", "offcut"))
