"""What has to come before what, among the operations of fence and stop in one phase."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from nesting.sequence.job import Group, Op


@dataclass(frozen=True, slots=True)
class Edge:
    """``before`` comes before ``after``, always or (``fallen``) where that operation falls free."""

    before: int
    after: int
    fallen: int | None = None


def edges(ops: Iterable[Op]) -> list[Edge]:
    """Return the edges between the operations of one phase, parents before children.

    The guided saw is placed for every cut, wherever that comes: its operations are passed over, what comes before
    them comes before what they give. A strip that falls free is there once all others of its piece are cut.
    """
    phase = list(ops)
    numbers = {op.index for op in phase}
    waiting: dict[int, Firsts] = {}
    found: dict[Edge, None] = {}

    for op in phase:
        if op.guided is None:
            for first, fallen in _before(op.group, numbers, waiting):
                found[Edge(first, op.index, fallen)] = None
            if op.last:
                for other in op.group.ops:
                    if other is not op and other.guided is None:
                        found[Edge(other.index, op.index)] = None
    return list(found)


Firsts = list[tuple[int, int | None]]


def _before(group: Group, numbers: set[int], known: dict[int, Firsts]) -> Firsts:
    """Return what comes before the operations of a group, each with the operation whose falling free asks for it."""
    if group.index in known:
        return known[group.index]
    made_by = group.made_by
    firsts: Firsts = []
    if made_by is not None and made_by.index in numbers:
        forced = made_by is made_by.group.forced
        if made_by.guided is None and not forced:
            firsts.append((made_by.index, None))
        if made_by.guided is not None or made_by.can_fall_free:
            firsts += _before(made_by.group, numbers, known)
        if made_by.can_fall_free:
            firsts += [
                (other.index, None if forced else made_by.index)
                for other in made_by.group.ops
                if other is not made_by and other.guided is None
            ]
    known[group.index] = firsts
    return firsts


def candidates(ops: Sequence[Op]) -> dict[int, list[Op]]:
    """Return, for each group with a choice, the operations of which one may fall free."""
    chosen: dict[int, list[Op]] = {}
    for op in ops:
        if op.can_fall_free and op.group.forced is None:
            chosen.setdefault(op.group.index, []).append(op)
    return chosen
