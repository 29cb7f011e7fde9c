"""The job at the saw as an order problem: operations, what comes before what, and phases of equal tilt.

Equal strips, identical pieces and identical sheets are merged: their cuts are one operation, made in one visit.
Nothing is lost by it as long as there is no limit on open pieces: whatever order serves one of them serves all.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from fractions import Fraction

from nesting.sequence.divisions import Division, Way
from nesting.steps import Station

Symbol = int
"""Stands for a station with its setting and tilt; equal symbols share a setting."""


@dataclass(slots=True, eq=False)
class Op:
    """Equal cuts on all pieces of one group: ``cost`` is the guide positions they take, 0 at fence and stop."""

    index: int
    group: Group
    ways: dict[Symbol, Way]
    guided: Way | None
    strips: tuple[int, ...]
    last: bool
    cost: int
    gives: list[Group] = field(default_factory=list)

    @property
    def can_fall_free(self) -> bool:
        """Whether this may be the strip of its group that needs no cut."""
        forced = self.group.forced
        return self.group.free and len(self.strips) == 1 and (forced is None or forced is self)


@dataclass(slots=True, eq=False)
class Group:
    """Pieces that are divided alike; ``made_by`` gives them, None for whole stock pieces."""

    index: int
    pieces: tuple[tuple[str, Division], ...]
    made_by: Op | None
    phase: int
    free: bool
    ops: list[Op] = field(default_factory=list)
    forced: Op | None = None


@dataclass(slots=True)
class Job:
    """All groups and operations; ``phases`` holds the tilt of each phase in working order."""

    groups: list[Group]
    ops: list[Op]
    phases: tuple[Fraction, ...]

    def of_phase(self, phase: int) -> list[Op]:
        """Return the operations of one phase, parents first."""
        return [op for op in self.ops if op.group.phase == phase]


def merge(wholes: Iterable[tuple[str, Division]]) -> Job:
    """Return the job for whole stock pieces, each with its layout's id.

    Square work comes first, then the bevel rips, then what is cut from the bars; more tilts by angle.
    """
    builder = _Builder()
    builder.add(list(wholes), None, (0, Fraction(0)))
    phases = sorted(set(builder.levels))
    for group, level in zip(builder.groups, builder.levels, strict=True):
        group.phase = phases.index(level)
    return Job(builder.groups, builder.ops, tuple(tilt for _, tilt in phases))


Level = tuple[int, Fraction]


class _Builder:
    def __init__(self) -> None:
        self.groups: list[Group] = []
        self.ops: list[Op] = []
        self.levels: list[Level] = []
        self._symbols: dict[tuple[Station, Fraction, Fraction], Symbol] = {}

    def add(self, pieces: list[tuple[str, Division]], made_by: Op | None, level: Level) -> None:
        waiting = [(pieces, made_by, level)]
        while waiting:
            pieces, made_by, level = waiting.pop()
            alike: dict[int, list[tuple[str, Division]]] = {}
            for layout, piece in pieces:
                alike.setdefault(piece.key, []).append((layout, piece))
            for group in alike.values():
                waiting += self._group(group, made_by, level)

    def _group(
        self, pieces: list[tuple[str, Division]], made_by: Op | None, level: Level
    ) -> list[tuple[list[tuple[str, Division]], Op | None, Level]]:
        first = pieces[0][1]
        level = level if level[1] == first.bevel else (level[0] + 1, first.bevel)
        group = Group(len(self.groups), tuple(pieces), made_by, 0, first.free)
        self.groups.append(group)
        self.levels.append(level)
        if made_by is not None:
            made_by.gives.append(group)
        below: list[tuple[list[tuple[str, Division]], Op | None, Level]] = []
        for operation in first.operations:
            ways: dict[Symbol, Way] = {}
            guided = next((way for way in operation.ways if way.station == "breakdown saw"), None)
            for way in operation.ways:
                if guided is None:
                    what = (way.station, way.setting, first.bevel)
                    ways.setdefault(self._symbols.setdefault(what, len(self._symbols)), way)
            cost = len(pieces) if guided else 0
            op = Op(len(self.ops), group, ways, guided, operation.strips, operation.last, cost)
            self.ops.append(op)
            group.ops.append(op)
            inner = [
                (layout, strip.inner)
                for layout, piece in pieces
                for strip in (piece.strips[i] for i in operation.strips)
                if strip.inner is not None
            ]
            if inner:
                below.append((inner, op, level))
        if first.forced is not None:
            group.forced = group.ops[first.forced]
        return below
