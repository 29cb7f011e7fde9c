"""Hangings by trying everything, with the rules of hanging written anew from where the wood is."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from nesting.project.model import Project
from nesting.wall.built import Built
from nesting.wall.rows import Row

F = Fraction
Cost = tuple[int, ...]


@dataclass(frozen=True)
class At:
    """One copy at a place; ``foot`` as the hanging calls it."""

    built: Built
    row: Row
    x: Fraction
    foot: str

    @property
    def bottom(self) -> Fraction:
        return self.top - self.built.holder.height

    @property
    def top(self) -> Fraction:
        return self.row.y + self.built.top


def _meet(a: tuple[Fraction, Fraction], b: tuple[Fraction, Fraction]) -> Fraction:
    return min(a[1], b[1]) - max(a[0], b[0])


def foot_at(project: Project, rows: Sequence[Row], built: Built, row: Row, x: Fraction) -> str | None:
    """Return what the foot of a holder hung there rests on; None where it must not hang there."""
    wall, cleats = project.wall, project.cleats
    assert wall is not None
    wide, high = built.holder.width, cleats.wall_height
    here, top = (x, x + wide), row.y + built.top
    bottom = top - built.holder.height
    if bottom < 0 or top + built.lift > wall.height:
        return None
    if not any(run.x <= x and x + wide <= run.x + run.length for run in row.runs):
        return None
    for out in wall.keepout:
        c = out.clearance
        beside = _meet(here, (out.x - c, out.x + out.width + c)) <= 0
        if not beside and _meet((bottom, top + built.lift), (out.y - c, out.y + out.height + c)) > 0:
            return None
    cleat = (row.y + high - built.lift, row.y + high + cleats.holder_height)  # seated to lifted
    others = [(other.y, run) for other in rows if other is not row for run in other.runs]
    over = [(y, _meet(here, (run.x, run.x + run.length))) for y, run in others]
    if any(y > row.y and length > 0 and _meet(cleat, (y, y + high)) > 0 for y, length in over):
        return None
    under = [length for y, length in over if y < row.y and y + high > bottom and length > 0]
    if any(length * 2 >= wide for length in under):
        return "next cleat"
    if built.spacer is None:
        return "own cleat"
    return None if under else "spacer"


def apart(a: At, b: At) -> bool:
    """Whether two holders can hang and be lifted off one without the other."""
    across = _meet((a.x, a.x + a.built.holder.width), (b.x, b.x + b.built.holder.width))
    return across <= 0 or _meet((a.bottom, a.top + a.built.lift), (b.bottom, b.top + b.built.lift)) <= 0


def cost(project: Project, hung: Sequence[At], asked: int) -> Cost:
    """Return the wishes of a hanging but for the last, in their order."""
    wall = project.wall
    assert wall is not None
    miss = heavy = far = 0
    loads: dict[int, int] = {}
    for at in hung:
        holder = at.built.holder
        middle = wall.floor_gap + (at.bottom + at.top) / 2
        low, high = {"low": (F(0), F(36)), "high": (F(60), F(1000))}.get(str(holder.zone), (F(36), F(60)))
        off = ceil(max(low - middle, middle - high, F(0)) * 4)
        miss += off if holder.zone else 0
        far += off if not holder.zone and not holder.load else 0
        heavy += int(holder.load * middle * 4)
        loads[at.row.index] = loads.get(at.row.index, 0) + ceil(holder.load * 10)
    spacers = sum(at.foot == "spacer" for at in hung)
    return asked - len(hung), miss, spacers, max(loads.values(), default=0), heavy, far


def best_cost(project: Project, rows: Sequence[Row], built: Sequence[Built], grid: Fraction) -> Cost:
    """Return the least cost of all hangings with left edges on a grid."""
    wall = project.wall
    assert wall is not None
    free: list[list[At]] = []
    for holder in built:
        places = []
        for row in rows:
            for n in range(int(wall.width / grid) + 1):
                if foot := foot_at(project, rows, holder, row, n * grid):
                    places.append(At(holder, row, n * grid, foot))
        free += [places] * holder.holder.quantity
    return min(cost(project, hung, len(free)) for hung in _all(free, (), 0))


def _all(free: Sequence[Sequence[At]], hung: tuple[At, ...], start: int) -> Iterator[tuple[At, ...]]:
    if not free:
        yield hung
        return
    alike = len(free) > 1 and free[1] is free[0]  # copies in order, those left out last
    rest = next((n for n, places in enumerate(free) if places is not free[0]), len(free))
    yield from _all(free[rest:], hung, 0)
    for number in range(start, len(free[0])):
        at = free[0][number]
        if all(apart(at, other) for other in hung):
            yield from _all(free[1:], (*hung, at), number + 1 if alike else 0)
