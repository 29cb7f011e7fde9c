"""Where a job stands: the pieces that exist as they are, what is made, what is still to come and what is lost."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from fractions import Fraction

from nesting.lengths import Unit
from nesting.plan import NodeDocument, Plan
from nesting.progress.ground import Edge, Ground, ground
from nesting.progress.record import Measured, Progress

TOLERANCE: dict[Unit, Fraction] = {"in": Fraction(1, 32), "mm": Fraction(1, 2)}
"""How much smaller than drawn a piece may be where the plan does not tell the finest mark of the fence."""
HAIR = 1e-6


@dataclass(frozen=True, slots=True)
class Piece:
    """A physical piece: sizes as drawn, or as measured where it is smaller, in the plan's unit.

    ``width`` of a bevelled piece is its tall face; ``bevelled`` names its slanting edges. ``part`` is the name of what
    is finished in it, None for what is still to be cut, a leftover or waste. ``of`` names the spoiled or too small
    piece that this remains of, None for a piece of the plan.
    """

    id: str
    layout: str
    stock: str
    length: float
    width: float
    thickness: float
    grain: bool
    bevelled: tuple[Edge, ...]
    part: str | None
    of: str | None = None


@dataclass(frozen=True, slots=True)
class Standing:
    """Pieces that exist, parts made, parts not made yet, those of them that no open step makes, and the open steps.

    ``missing`` counts all that is asked for and not made; ``lost`` what of it the steps still open do not give: where
    it is empty the plan stands as it is. Fillers are never missing.
    """

    pieces: tuple[Piece, ...]
    made: Counter[str]
    missing: Counter[str]
    lost: Counter[str]
    open_steps: tuple[int, ...]


def tolerance(plan: Plan) -> float:
    """Return how much smaller than drawn a piece may come out and still count: the finest mark of the fence.

    Common practice, no source: nobody cuts finer than the fence is set.
    """
    job = plan.job or {}
    head = job.get("project")
    text = head.get("fence_step") if isinstance(head, dict) else None
    if isinstance(text, str | int | float) and not isinstance(text, bool):
        from nesting.lengths import NotALength, read_length

        try:
            return float(read_length(text, plan.unit))
        except NotALength:
            pass  # the checker tells of a job that cannot be read
    return float(TOLERANCE[plan.unit])


def too_small(plan: Plan, node: NodeDocument, measured: Measured) -> bool:
    """Whether a piece is smaller than drawn by more than the tolerance, in length or width."""
    slack = tolerance(plan) + HAIR
    return measured.length < node.length - slack or measured.width < node.width - slack


def lost_pieces(plan: Plan, progress: Progress, seen: Ground) -> dict[str, tuple[tuple[float, float], ...]]:
    """Return the pieces that count as lost, with what remains of each: the spoiled ones and those found too small."""
    found = {spoiled.piece: spoiled.left for spoiled in progress.spoiled}
    for one in progress.measured:
        place = seen.places.get(one.piece)
        if place is not None and one.piece not in found and too_small(plan, place.node, one):
            node = place.node
            found[one.piece] = ((min(one.length, node.length), min(one.width, node.width)),)
    return found


def existing(seen: Ground, done: frozenset[int]) -> dict[str, NodeDocument]:
    """Return the pieces of the plan that are there once some steps are done, the spoiled ones among them."""
    return {
        piece: place.node
        for piece, place in seen.places.items()
        if (place.parent is None or seen.maker.get(piece) in done)
        and seen.cutter.get(piece) not in done
        and piece not in seen.scrapped
    }


def standing(plan: Plan, progress: Progress) -> Standing:
    """Return where a job stands. The record must agree with the plan (:func:`nesting.progress.marks.agreed`)."""
    seen = ground(plan)
    done = frozenset(progress.done)
    lost = lost_pieces(plan, progress, seen)
    there = existing(seen, done)
    grain = _grain(plan)
    pieces: list[Piece] = []
    for piece, node in there.items():
        place = seen.places[piece]
        layout = place.layout
        whole = Piece(
            piece,
            layout.id,
            layout.stock,
            node.length,
            node.width,
            layout.thickness,
            grain.get(layout.stock, True),
            place.bevelled,
            node.part,
        )
        if piece not in lost:
            pieces.append(whole)
        for rank, (length, width) in enumerate(lost.get(piece, ()), start=1):
            rest = replace(whole, id=f"{piece} left {rank}", length=length, width=width, part=None, of=piece)
            pieces.append(rest)
    made = Counter(one.part for one in pieces if one.part is not None)
    gone = {node.id for piece in lost for node in seen.below(piece)}
    coming = Counter(
        place.node.part
        for piece, place in seen.places.items()
        if place.node.part is not None and piece not in there and piece not in gone
    )
    fillers = _fillers(plan)
    wanted = Counter({part.name: part.asked for part in plan.parts if part.name not in fillers})
    missing = wanted - made
    open_steps = tuple(step.n for step in plan.steps if step.n not in done and step.piece not in gone)
    return Standing(tuple(pieces), made, missing, missing - coming, open_steps)


def _grain(plan: Plan) -> dict[str, bool]:
    """Return for each stock of the plan's job whether it has a face grain; it has one where nothing is said."""
    return {
        str(stock.get("name")): stock.get("grain") is not False
        for kind in ("sheet", "board", "offcut")
        for stock in (plan.job or {}).get(kind, ())
        if isinstance(stock, dict)
    }


def _fillers(plan: Plan) -> set[str]:
    return {
        str(part.get("name"))
        for part in (plan.job or {}).get("part", ())
        if isinstance(part, dict) and part.get("filler") is True
    }
