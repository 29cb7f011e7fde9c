"""A plan ticked off: what it used leaves the rack, what it leaves comes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction

from nesting.lengths import NotALength, Unit, read_length
from nesting.plan import LayoutDocument, Plan
from nesting.plan_replaces import ReplacesDocument
from nesting.progress.ground import ground
from nesting.progress.record import Progress, Sides, fingerprint
from nesting.progress.standing import HAIR, lost_pieces, standing
from nesting.project.fields import LONGEST_NAME
from nesting.rack.draw_on import PREFIX
from nesting.rack.piece import RackPiece, exactly_in, piece_from, rounded_down, size_in, size_words
from nesting.rack.rack import Change, Fresh, Rack, Smallest, changed, without
from nesting.trade.bevel import tangent


@dataclass(frozen=True, slots=True)
class Settled:
    """What a carried-out plan does to the rack, and a sentence for each piece that the rack no longer knows."""

    change: Change
    notes: tuple[str, ...]


def carried_out(plan: Plan, progress: Progress) -> bool:
    """Whether a plan is ticked off: no step is open, and no part that is wanted was lost."""
    now = standing(plan, progress)
    return not now.open_steps and not now.lost


def settled(
    plan: Plan,
    pieces: Mapping[str, RackPiece],
    smallest: Smallest,
    fresh: Fresh,
    *,
    progress: Progress | None = None,
    key: str = "",
) -> Settled:
    """Return what carrying out a whole plan does to the rack: what it used leaves, what it leaves comes.

    ``pieces`` are those of the rack by label, ``key`` names the plan in the history, ``progress`` tells of pieces
    that were spoiled or came out too small on the way.
    """
    taken: list[RackPiece] = []
    notes: list[str] = []
    for layout in plan.layouts:
        label = layout.stock.removeprefix(PREFIX)
        if label == layout.stock:
            continue
        piece = pieces.get(label)
        if piece is None:
            notes.append(f"Layout {layout.id} used {label}, which is not in the rack any more.")
        elif not _same(piece, layout, plan.unit):
            notes.append(f"Layout {layout.id} used {label}, but in the rack that is now {size_words(piece)}: it stays.")
        elif piece not in taken:
            taken.append(piece)
    given = tuple(left_by(plan, smallest, fresh, used=taken, progress=progress))
    return Settled(Change(f"carried out: {plan.project}"[:LONGEST_NAME], tuple(taken), given, key), tuple(notes))


def kept_in_step(rack: Rack, plan: Plan, progress: Progress) -> tuple[Rack, Settled | None]:
    """Return the rack as it is where a plan stands as its record says, and what was done to it, if anything.

    A plan that is ticked off has taken and given, once; one that is not, or no longer, has not. Raises
    :class:`~nesting.errors.BadInput` where a piece that it gave is gone or changed since.
    """
    key = fingerprint(plan)
    settled_before = any(change.plan == key for change in rack.history)
    over = carried_out(plan, progress)
    if over and not settled_before:
        numbers = rack.numbers()
        now = settled(plan, rack.by_label, rack.smallest, numbers, progress=progress, key=key)
        return changed(rack, now.change, numbers.last), now
    if not over and settled_before:
        mine = next(change for change in reversed(rack.history) if change.plan == key)
        return without(rack, key), Settled(mine.back, ())
    return rack, None


def left_by(
    plan: Plan, smallest: Smallest, fresh: Fresh, *, used: Iterable[RackPiece] = (), progress: Progress | None = None
) -> Iterator[RackPiece]:
    """Yield the leftovers of a plan that are worth keeping, as pieces of a rack.

    A bevelled edge is not counted: of the width at the tall face what the bevel takes away goes off. Sizes are rounded
    down to 1/64 in or 0.1 mm. Of a piece that was lost on the way, what remains of it counts. ``used`` are pieces of
    the rack it cut from, whose stock is passed on.
    """
    stocks = {piece.label: piece.stock for piece in used}
    lost = _lost_before(plan)
    if progress is not None:
        lost |= lost_pieces(plan, progress, ground(plan))
    for layout in plan.layouts:
        nominal, grain = _stock(plan, layout)
        stock = stocks.get(layout.stock.removeprefix(PREFIX)) or layout.stock
        for sides, bevelled in _rests(layout, lost):
            length, width = (rounded_down(Fraction(side).limit_denominator(10**9), plan.unit) for side in sides)
            if length > 0 and width > 0 and smallest.holds(length, width, plan.unit):
                yield piece_from(
                    {
                        "label": fresh(), "unit": plan.unit, "length": length, "width": width,
                        "thickness": _exact(layout.thickness), "nominal": nominal, "grain": grain, "stock": stock,
                        "origin": plan.project, "note": "one edge bevelled" if bevelled else "",
                    }
                )  # fmt: skip


def _lost_before(plan: Plan) -> dict[str, tuple[Sides, ...]]:
    """Return the pieces lost before the plan was made anew, with what remains of each and is not cut up in it."""
    if plan.replaces is None:
        return {}
    used = {layout.stock for layout in plan.layouts}
    earlier = (ReplacesDocument.model_validate(one) for one in plan.replaces.before)
    return {
        one.piece: tuple(
            (rest.length, rest.width) for rest in one.left if rest.stock is not None and rest.stock not in used
        )
        for replaced in (*earlier, plan.replaces)
        for one in replaced.lost
    }


def _rests(layout: LayoutDocument, lost: Mapping[str, tuple[Sides, ...]]) -> Iterator[tuple[Sides, bool]]:
    """Yield the size of every piece that is neither cut further nor a part, and whether an edge of it is bevelled."""
    todo = [(layout.tree, 0.0, 0.0)]
    while todo:
        node, low, high = todo.pop()
        if node.id in lost and not node.pieces:
            yield from ((sides, False) for sides in lost[node.id])
            continue
        if not node.pieces and node.role in ("offcut", "waste"):
            yield (node.length, node.width - low - high), low + high > 0
        slope = layout.thickness * float(tangent(Fraction(node.bevel).limit_denominator(10**6)))
        for at, piece in enumerate(node.pieces):
            if node.cut == "crosscut":
                todo.append((piece, low, high))
            else:
                first = at == 0 and piece.y <= node.y + HAIR
                last = at == len(node.pieces) - 1 and piece.y + piece.width >= node.y + node.width - HAIR
                todo.append((piece, low if first else slope, high if last else slope))


def _same(piece: RackPiece, layout: LayoutDocument, unit: Unit) -> bool:
    sizes = (
        size_in(piece.length, piece.unit, unit), size_in(piece.width, piece.unit, unit),
        exactly_in(piece.thickness, piece.unit, unit),
    )  # fmt: skip
    shown = (layout.length, layout.width, layout.thickness)
    return all(abs(float(size) - side) <= HAIR for size, side in zip(sizes, shown, strict=True))


def _stock(plan: Plan, layout: LayoutDocument) -> tuple[Fraction, bool]:
    """Return what a layout's stock is sold as and whether it has a face grain, as the plan's job tells."""
    measured = _exact(layout.thickness)
    for kind in ("sheet", "board", "offcut"):
        rows = (plan.job or {}).get(kind)
        for row in rows if isinstance(rows, list | tuple) else ():
            if isinstance(row, Mapping) and row.get("name") == layout.stock:
                grain = row.get("grain", True) is not False
                nominal = row.get("nominal")
                try:
                    return read_length(nominal, plan.unit, zero=False) if nominal else measured, grain
                except NotALength:  # the job came from elsewhere and is not what a project file may hold
                    return measured, grain
    return measured, True


def _exact(value: float) -> Fraction:
    """Return a size of the plan file exactly as its decimal says.

    >>> _exact(0.71875)
    Fraction(23, 32)
    """
    return Fraction(repr(value))
