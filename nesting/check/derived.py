"""Parts that nobody listed but that follow from a wall and its holders: which a plan may hold, and how many.

The pieces of the rows are those that the plan's wall names; whether they fill their runs is for
:mod:`nesting.check.wall`. Of a holder, back and cleat follow from the project; its other parts are taken from the
plan's own list, must be no larger than the holder, and must be as many as the plan says one copy takes.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from nesting.check.report import TOLERANCE, Findings, Terms
from nesting.plan import MadePart, Plan
from nesting.plan_wall import WallDocument
from nesting.project.holder_keys import Holder
from nesting.project.model import CleatAsked, Part, PartGrain

ALONG = ("back", "front", "shelf", "bottom", "arm")
"""Parts of a holder whose face grain runs along their length, the way they span."""


def with_derived(plan: Plan, terms: Terms, findings: Findings) -> Terms:
    """Return the terms with what follows from the wall and the holders; takes down what cannot follow from them."""
    wall, project = plan.wall, terms.project
    if project.wall is None and not project.holder:
        if wall is not None:
            findings.add("wall", "plan", "the plan holds a wall, the project has none")
        return terms
    if wall is None:
        findings.add("wall", "plan", "the project has a wall or holders, the plan has none")
        return terms
    cleats = dict(terms.cleats)
    for row in wall.rows:
        for piece in row.pieces:
            if piece.part in cleats or piece.part in terms.parts:
                findings.add("wall", piece.part, "is the name of two pieces")
            cleats[piece.part] = _cleat(piece.part, "wall", piece.length, 1)
    parts = dict(terms.parts)
    for holder in project.holder:
        name = f"{holder.name}: cleat"
        cleats[name] = _cleat(name, "holder", float(holder.width), holder.quantity)
        for part in _parts_of(plan, wall, holder, terms, findings):
            parts[part.name] = part
    return replace(terms, parts=parts, cleats=cleats)


def _cleat(name: str, kind: str, length: float, quantity: int) -> CleatAsked:
    return CleatAsked.model_construct(name=name, kind=kind, length=Fraction(length), quantity=quantity)


def _parts_of(plan: Plan, wall: WallDocument, holder: Holder, terms: Terms, findings: Findings) -> Iterator[Part]:
    """Yield the rectangular parts of a holder as the plan lists them."""
    before = f"{holder.name}: "
    listed = {row.name: row for row in plan.parts if row.name.startswith(before) and row.name != f"{before}cleat"}
    built = next((one for one in wall.built if one.holder == holder.name), None)
    if built is None:
        findings.add("wall", holder.name, "is asked for, but the plan does not say how it is built")
        return
    each = {part.name: part.quantity for part in built.parts if part.name != f"{before}cleat"}
    back = listed.get(f"{before}back")
    if back is None:
        findings.add("wall", holder.name, "has no back")
    else:
        findings.equal("wall", back.name, "the length", back.length, float(holder.width))
        findings.equal("wall", back.name, "the width", back.width, float(holder.height))
    for name in each.keys() - listed.keys():
        if not name.endswith(": spacer"):
            findings.add("wall", name, "belongs to a holder, but is not on the list of parts")
    deep = holder.deep(terms.project.unit)
    sizes = [float(holder.width), float(holder.height), *([] if deep is None else [float(deep)])]
    for name, row in listed.items():
        if name not in each:
            findings.add("wall", name, "belongs to no holder as the plan builds it")
            continue
        is_spacer = name.endswith(": spacer")
        if not is_spacer and row.asked != each[name] * holder.quantity:
            findings.add("wall", name, f"{each[name]} for each of {holder.quantity} are wanted, {row.asked} are asked")
        if is_spacer and row.asked > holder.quantity:
            findings.add("wall", name, f"{row.asked} are asked for {holder.quantity} holders")
        if max(row.length, row.width) > max(sizes) + 1 + TOLERANCE and not is_spacer:
            findings.add("wall", name, f"is {row.length:g} × {row.width:g}, larger than its holder")
        yield _part(name, row, holder, terms)


def _part(name: str, row: MadePart, holder: Holder, terms: Terms) -> Part:
    cleats = terms.project.cleats
    what = name.rpartition(": ")[2]
    grain: PartGrain = "length" if what in ALONG else "any"
    thickness = cleats.thickness if what == "spacer" else holder.thickness or cleats.thickness
    return Part.model_construct(
        name=name,
        length=Fraction(row.length),
        width=Fraction(row.width),
        thickness=thickness,
        quantity=row.asked,
        grain=grain,
        filler=False,
    )
