"""What no single key of a wall or a holder can tell: rows that overlap, keep-outs off the wall, sizes that contradict.

Whether a wall can be fitted out, and whether the holders fit on it, is not told here: :mod:`nesting.wall` does.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import Final

from nesting.errors import Fault
from nesting.lengths import Unit, exact_text
from nesting.project.faults import Place, fault
from nesting.project.holder_keys import STYLE_KEYS, Holder
from nesting.project.model import Cleats
from nesting.project.wall_keys import USUAL_SPACING, Wall

MOST_ROWS: Final = 100
MOST_STUDS: Final = 500
_ROW_PIECE: Final = re.compile(r"row \d+( [a-z]+)?")


def broken_wall_rules(wall: Wall, cleats: Cleats, unit: Unit) -> Iterator[Fault]:
    """Yield the faults of a wall, in the order of its keys."""
    yield from _rows(wall, cleats, unit)
    yield from _studs(wall, unit)
    yield from _keepouts(wall, unit)


def broken_holder_rules(place: Place, holder: Holder, cleats: Cleats, unit: Unit) -> Iterator[Fault]:
    """Yield the faults of one holder, in the order of its keys."""
    thickness = holder.thickness or cleats.thickness
    thick = exact_text(thickness, unit)
    sides = {"box": 2, "bin": 2, "bracket": 2}.get(holder.style, 0)
    if holder.width <= sides * thickness:
        least = f"more than {exact_text(2 * thickness, unit)} {unit}"
        yield fault((*place, "width"), "is not wider than its two sides are thick", least)
    if holder.height < cleats.holder_height:
        yield fault(
            (*place, "height"),
            "is lower than the cleat that its back must hold",
            f"at least {exact_text(cleats.holder_height, unit)} {unit} (holder_height)",
        )
    layers = 2 if holder.style in ("box", "bin") else 1
    deep = holder.deep(unit)
    if deep is not None and deep <= layers * thickness:
        what = "back and front are" if layers == 2 else "back is"
        yield fault((*place, "depth"), f"is no deeper than its {what} thick", f"more than {layers} × {thick} {unit}")
    for key, styles in STYLE_KEYS.items():
        if getattr(holder, key) is not None and holder.style not in styles:
            yield fault((*place, key), f"is not a key of a holder of style {holder.style}", _of(styles))
    if holder.style == "rack" and (holder.holes is None) == (holder.slots is None):
        wrong = "are missing" if holder.holes is None else "are given, and so are slots"
        yield fault((*place, "holes"), wrong, "holes or slots for a rack, one of the two")


def _of(styles: tuple[str, ...]) -> str:
    names = [f"a {style}" for style in styles]
    return "only " + " or ".join((", ".join(names[:-1]), names[-1]) if names[1:] else names) + " has it"


def names_of_derived(names: Mapping[Place, str], holders: Mapping[Place, str], fitted: bool) -> Iterator[Fault]:
    """Yield a fault for every part or cleat that bears a name which wall pieces or holders' parts will bear."""
    for place, name in names.items():
        if fitted and _ROW_PIECE.fullmatch(name):
            yield fault(place, "is the name of a piece of the wall", "a name other than row 1, row 1 a and so on")
        elif any(name.startswith(f"{holder}: ") for holder in holders.values()):
            yield fault(place, "is a name that a holder's parts bear", "a name that does not begin with a holder's")


def _rows(wall: Wall, cleats: Cleats, unit: Unit) -> Iterator[Fault]:
    high = cleats.wall_height
    cleat = f"{exact_text(high, unit)} {unit}"
    if wall.rows is not None and wall.gap is not None:
        yield fault(("wall", "gap"), "is given, and so are rows", "gap or rows, one of the two")
    if wall.height < high:
        yield fault(("wall", "height"), "is lower than a cleat", f"at least {cleat} (wall_height)")
    if wall.rows is None:
        gap = high if wall.gap is None else wall.gap
        if (count := (wall.height - high) // (high + gap) + 1) > MOST_ROWS:
            yield fault(("wall", "height"), f"holds {count:,} rows of cleats", f"at most {MOST_ROWS} rows")
        return
    if not wall.rows:
        yield fault(("wall", "rows"), "is empty", "at least one lower edge, or gap in place of rows")
    if len(wall.rows) > MOST_ROWS:
        yield fault(("wall", "rows"), f"are {len(wall.rows):,} rows of cleats", f"at most {MOST_ROWS} rows")
        return
    for at, low in enumerate(wall.rows):
        if low + high > wall.height:
            yield fault(
                ("wall", "rows", at),
                "is a row that reaches above the wall",
                f"at most {exact_text(max(wall.height - high, Fraction(0)), unit)} {unit} (height less wall_height)",
            )
        other = next((n for n in range(at) if abs(wall.rows[n] - low) < high), None)
        if other is not None:
            yield fault(("wall", "rows", at), f"overlaps rows[{other + 1}]", f"rows at least {cleat} apart")


def _studs(wall: Wall, unit: Unit) -> Iterator[Fault]:
    studs = wall.studs
    if studs.positions is not None:
        for key in ("first", "spacing"):
            if getattr(studs, key) is not None:
                yield fault(
                    ("wall", "studs", key), "is given, and so are positions", "first and spacing, or positions alone"
                )
        if not studs.positions:
            yield fault(("wall", "studs", "positions"), "is empty", "at least one stud centre")
        for at, centre in enumerate(studs.positions):
            if centre > wall.width:
                yield fault(("wall", "studs", "positions", at), "lies outside the wall", _within(wall.width, unit))
            other = next((n for n in range(at) if abs(studs.positions[n] - centre) < studs.stud_width), None)
            if other is not None:
                yield fault(
                    ("wall", "studs", "positions", at),
                    f"overlaps positions[{other + 1}]",
                    f"centres at least {exact_text(studs.stud_width, unit)} {unit} (stud_width) apart",
                )
        return
    spacing = USUAL_SPACING[unit] if studs.spacing is None else studs.spacing
    if spacing < studs.stud_width:
        wide = exact_text(studs.stud_width, unit)
        yield fault(("wall", "studs", "spacing"), "is less than a stud is wide", f"at least {wide} {unit} (stud_width)")
    elif wall.width // spacing > MOST_STUDS:
        yield fault(("wall", "width"), f"holds {wall.width // spacing:,} studs", f"at most {MOST_STUDS} studs")
    if studs.first is not None and studs.first > wall.width:
        yield fault(("wall", "studs", "first"), "lies outside the wall", _within(wall.width, unit))


def _within(width: Fraction, unit: Unit) -> str:
    return f"from 0 to {exact_text(width, unit)} {unit} (the wall's width)"


def _keepouts(wall: Wall, unit: Unit) -> Iterator[Fault]:
    first: dict[str, int] = {}
    for at, keepout in enumerate(wall.keepout):
        place = ("wall", "keepout", at)
        if keepout.name in first:
            words = f"is the same as that of keepout[{first[keepout.name] + 1}]"
            yield fault((*place, "name"), words, "a name of its own among keep-outs")
        first.setdefault(keepout.name, at)
        for key, size in (("x", wall.width), ("y", wall.height)):
            if getattr(keepout, key) >= size:
                side = "width" if key == "x" else "height"
                yield fault(
                    (*place, key), "lies outside the wall", f"less than {exact_text(size, unit)} {unit} (its {side})"
                )
