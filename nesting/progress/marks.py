"""Marks on a plan: steps ticked and unticked, pieces spoiled, measured or taken back. Every fault is told at once."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from nesting.errors import BadInput, Fault
from nesting.plan import Plan
from nesting.progress.ground import Ground, ground
from nesting.progress.record import MOST_LEFT, Measured, Progress, Sides, Spoiled, fingerprint
from nesting.progress.standing import HAIR, existing, lost_pieces

MOST_NAMED = 12
"""Steps or ids that a message lists."""


def tick(plan: Plan, progress: Progress, steps: Iterable[int]) -> Progress:
    """Return the record with more steps done; one that is done already stays so.

    Raises :class:`~nesting.errors.BadInput` for each step that the plan does not have, or whose piece is not there:
    an earlier step that makes it is missing, or the piece was spoiled or found too small.
    """
    asked = dict.fromkeys(steps)
    seen, done = ground(plan), frozenset(progress.done)
    lost = lost_pieces(plan, progress, seen)
    after = done | (asked.keys() & seen.steps.keys())
    faults: list[Fault] = []
    for n in asked:
        step = seen.steps.get(n)
        if step is None:
            faults.append(_unknown_step(plan, n))
        elif n not in done and step.piece in seen.places:
            gone = next((piece for piece in _line(seen, step.piece) if piece in lost), None)
            before = [m for m in seen.way_to(step.piece) if m not in after]
            if gone is not None:
                what = "was spoiled or found too small" if gone == step.piece else f"was to be cut from {gone}, lost"
                faults.append(Fault(f"step {n}", "", f"its piece {step.piece} {what}: `replan` plans it anew"))
            elif before:
                faults.append(
                    Fault(f"step {n}", "", f"its piece {step.piece} is not there yet; first {_steps(before)}")
                )
    if faults:
        raise BadInput(faults)
    return progress.model_copy(update={"done": tuple(sorted(after)), "plan": progress.plan or fingerprint(plan)})


def untick(plan: Plan, progress: Progress, steps: Iterable[int]) -> Progress:
    """Return the record with fewer steps done; one that is not done stays so.

    Raises :class:`~nesting.errors.BadInput` for each step that the plan does not have, on which a step still ticked
    depends, whose piece was spoiled or measured since, or that was done before the plan was made anew.
    """
    asked = dict.fromkeys(steps)
    seen = ground(plan)
    settled = 0 if plan.replaces is None else plan.replaces.done_steps
    after = frozenset(progress.done) - asked.keys()
    marked = _marked(progress)
    faults: list[Fault] = []
    for n in asked:
        step = seen.steps.get(n)
        if step is None:
            faults.append(_unknown_step(plan, n))
        elif n in progress.done:
            later = sorted(seen.cutter[piece] for piece in step.makes if seen.cutter.get(piece) in after)
            found = [piece for piece in step.makes if piece in marked]
            if n <= settled:
                faults.append(Fault(f"step {n}", "", "was done before the plan was made anew, which rests on it"))
            elif later:
                faults.append(Fault(f"step {n}", "", f"{_steps(later)} cut what it makes; untick those too"))
            elif found:
                faults.append(
                    Fault(f"step {n}", "", f"{', '.join(found)} was spoiled or measured since; take that back first")
                )
    if faults:
        raise BadInput(faults)
    return progress.model_copy(update={"done": tuple(sorted(after)), "plan": progress.plan or fingerprint(plan)})


def spoil(
    plan: Plan, progress: Progress, piece: str, left: Sequence[tuple[float, float]] = (), note: str = ""
) -> Progress:
    """Return the record with one more piece lost, and what remains of it as (length, width).

    Raises :class:`~nesting.errors.BadInput` where the piece is not there, yet or any more, or was lost already, and
    for each remainder that cannot come from it.
    """
    seen = ground(plan)
    faults = _not_there(plan, progress, seen, piece)
    if not faults:
        faults = _impossible_rest(seen, piece, left)
    if faults:
        raise BadInput(faults)
    rest: tuple[Sides, ...] = tuple((float(length), float(width)) for length, width in left)
    return progress.model_copy(
        update={
            "spoiled": (*progress.spoiled, Spoiled(piece=piece, left=rest, note=note)),
            "measured": tuple(one for one in progress.measured if one.piece != piece),
            "plan": progress.plan or fingerprint(plan),
        }
    )


def measure(plan: Plan, progress: Progress, piece: str, length: float, width: float) -> Progress:
    """Return the record with the size that a piece was found to have, in place of an earlier measure of it.

    A piece that is smaller than drawn by more than the finest mark of the fence counts as lost, and what it is counts
    as stock. Raises :class:`~nesting.errors.BadInput` where the piece is not there.
    """
    seen = ground(plan)
    faults = _not_there(plan, progress, seen, piece)
    if not (length > 0 and width > 0):
        faults.append(Fault(f"piece {piece}", "", "a size is more than 0"))
    if faults:
        raise BadInput(faults)
    kept = tuple(one for one in progress.measured if one.piece != piece)
    found = Measured(piece=piece, length=float(length), width=float(width))
    return progress.model_copy(update={"measured": (*kept, found), "plan": progress.plan or fingerprint(plan)})


def take_back(plan: Plan, progress: Progress, piece: str) -> Progress:
    """Return the record without what was said of a piece: neither spoiled nor measured.

    Raises :class:`~nesting.errors.BadInput` where nothing was said of it.
    """
    if piece not in _marked(progress):
        raise BadInput([Fault(f"piece {piece}", "", "was neither spoiled nor measured")])
    return progress.model_copy(
        update={
            "spoiled": tuple(one for one in progress.spoiled if one.piece != piece),
            "measured": tuple(one for one in progress.measured if one.piece != piece),
        }
    )


def agreed(plan: Plan, progress: Progress) -> Progress:
    """Return a record that agrees with its plan; raises :class:`~nesting.errors.BadInput` with every fault."""
    if progress.plan is not None and progress.plan != fingerprint(plan):
        raise BadInput(
            [Fault("plan", "/plan", "this record belongs to another plan", "its own, or none to begin anew")]
        )
    faults: list[Fault] = []
    settled = 0 if plan.replaces is None else plan.replaces.done_steps
    bare = Progress()
    try:
        bare = tick(plan, bare, progress.done)
    except BadInput as error:
        faults += error.faults
    before = [n for n in range(1, settled + 1) if n not in progress.done]
    if before:
        faults.append(Fault("done", "/done", f"lacks {_steps(before)}, done before the plan was made anew"))
    seen = ground(plan)
    there = existing(seen, frozenset(progress.done))
    told: set[str] = set()
    for place, one in enumerate(progress.spoiled):
        if one.piece in told or one.piece not in there:
            faults.append(_odd(f"spoiled[{place + 1}]", f"/spoiled/{place}", one.piece, told))
        else:
            faults += _impossible_rest(seen, one.piece, one.left)
        told.add(one.piece)
    told_sizes: set[str] = set()
    for place, found in enumerate(progress.measured):
        if found.piece in told_sizes or found.piece not in there:
            faults.append(_odd(f"measured[{place + 1}]", f"/measured/{place}", found.piece, told_sizes))
        told_sizes.add(found.piece)
    if faults:
        raise BadInput(faults)
    return progress


def _marked(progress: Progress) -> set[str]:
    return {one.piece for one in progress.spoiled} | {one.piece for one in progress.measured}


def _odd(path: str, pointer: str, piece: str, told: set[str]) -> Fault:
    what = "is told of twice" if piece in told else "is not there after the steps done"
    return Fault(f"{path}.piece", f"{pointer}/piece", f"{piece!r} {what}")


def _unknown_step(plan: Plan, n: int) -> Fault:
    accepted = f"1 to {len(plan.steps)}" if plan.steps else "none: the plan has no steps"
    return Fault(f"step {n}", "", "is no step of the plan", accepted)


def _line(seen: Ground, piece: str) -> Iterable[str]:
    """Yield a piece and what it is cut from, up to the stock."""
    at: str | None = piece
    while at is not None:
        yield at
        at = seen.places[at].parent


def _not_there(plan: Plan, progress: Progress, seen: Ground, piece: str) -> list[Fault]:
    """Return why a piece cannot be spoiled or measured now."""
    where = f"piece {piece}"
    if piece not in seen.places:
        return [Fault(where, "", "is no piece of the plan", "an id as on drawings and labels, such as A1.7")]
    if any(one.piece == piece for one in progress.spoiled):
        return [Fault(where, "", "was spoiled already; take that back first")]
    if piece in seen.scrapped:
        return [Fault(where, "", "was lost before the plan was made anew")]
    cutter = seen.cutter.get(piece)
    if cutter in progress.done:
        return [Fault(where, "", f"is not there any more: step {cutter} has cut it")]
    before = [n for n in seen.way_to(piece) if n not in progress.done]
    if before:
        return [Fault(where, "", f"is not there yet; it comes with {_steps(before)}")]
    gone = next((up for up in _line(seen, piece) if up in lost_pieces(plan, progress, seen) and up != piece), None)
    return [Fault(where, "", f"was to be cut from {gone}, which is lost")] if gone is not None else []


def _impossible_rest(seen: Ground, piece: str, left: Sequence[tuple[float, float]]) -> list[Fault]:
    """Return what speaks against some rectangles being left of a piece."""
    node = seen.places[piece].node
    faults: list[Fault] = []
    if len(left) > MOST_LEFT:
        return [Fault(f"piece {piece}", "", f"{len(left)} rectangles cannot be left", f"at most {MOST_LEFT}")]
    for length, width in left:
        if not (0 < length <= node.length + HAIR and 0 < width <= node.width + HAIR):
            size = f"{node.length:g} × {node.width:g}, length along the face grain first"
            faults.append(Fault(f"piece {piece}", "", f"{length:g} × {width:g} cannot be left", f"at most {size}"))
    if faults:
        return faults
    for at, (length, width) in enumerate(left):
        for other_length, other_width in left[:at]:
            apart = length + other_length <= node.length + HAIR or width + other_width <= node.width + HAIR
            if not apart:
                text = f"{other_length:g} × {other_width:g} and {length:g} × {width:g} cannot both be left"
                faults.append(Fault(f"piece {piece}", "", f"{text} of {node.length:g} × {node.width:g}"))
    if not faults and sum(length * width for length, width in left) > node.length * node.width + HAIR:
        faults.append(Fault(f"piece {piece}", "", "more is said to be left than there was"))
    return faults


def _steps(numbers: Sequence[int]) -> str:
    few = ", ".join(map(str, numbers[:MOST_NAMED]))
    more = "" if len(numbers) <= MOST_NAMED else f" and {len(numbers) - MOST_NAMED} more"
    return f"step{'s' if len(numbers) > 1 else ''} {few}{more}"
