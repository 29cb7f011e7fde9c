"""The words of a layout's drawing: its heading, its legend, and the sentences read aloud in its place."""

from __future__ import annotations

from nesting.draw.faces import Sheet
from nesting.draw.lettering import clean
from nesting.draw.listing import Line
from nesting.draw.subject import Subject
from nesting.plan import LayoutDocument


def share_used(layout: LayoutDocument, sheet: Sheet) -> float:
    """Return the share of a stock piece's face that its parts take, from 0 to 1.

    Of a bevelled cleat only what shows counts: the two bars of a blank overlap in plan.
    """
    return sum(face.area for face in sheet.faces if face.role == "part") / (layout.length * layout.width)


def headline(subject: Subject, sheet: Sheet, denominator: float) -> str:
    """Return the second line of the heading: size, which sheet of how many, scale and share used."""
    layout, rule = subject.layout, subject.rule
    return " · ".join(
        (
            f"{rule.size((layout.length, layout.width))} {rule.unit}, {rule.length(layout.thickness)} thick",
            f"{subject.kind} {subject.place[0]} of {subject.place[1]}",
            f"scale 1 : {denominator:g}",
            f"{100 * share_used(layout, sheet):.0f} % used",
        )
    )


def legend(subject: Subject, sheet: Sheet, *, unnumbered: bool, lettered: bool, led: bool, unlettered: bool) -> str:
    """Return what the signs mean: only those that occur."""
    roles = {face.role for face in sheet.faces}
    says = []
    if sheet.cuts:
        order = "Numbers: the steps, in their order." if subject.numbers else "Numbers: order of the cuts."
        says.append(order + (" Cuts without a number had no room for one." if unnumbered else ""))
    if any(cut.high > cut.low for cut in sheet.cuts):
        says.append("White gaps: the saw kerf.")
    if "waste" in roles:
        says.append("Hatched: waste.")
    if "offcut" in roles:
        says.append("Dashed: worth keeping.")
    if bevels := sorted({cut.bevel for cut in sheet.cuts if cut.bevel}):
        angles = " or ".join(f"{bevel:g}°" for bevel in bevels)
        says.append(
            f"Dotted: bevel rip, blade at {angles}, where it runs on the face; "
            "slash: how the cut leans, seen from that end of the strip."
        )
    if lettered:
        says.append("Letters: see the list.")
    if led:
        says.append("A dot and a line lead a letter to pieces too thin for it.")
    if unlettered:
        says.append("Pieces without a letter had no room for one.")
    return " ".join(says)


def described(subject: Subject, sheet: Sheet, lines: tuple[Line, ...]) -> tuple[str, str]:
    """Return title and description for those who cannot see the drawing."""
    layout, rule = subject.layout, subject.rule
    unit = {"in": "inches", "mm": "millimetres"}[rule.unit]
    stock = clean(layout.stock)
    title = f"Layout {layout.id}: {stock}, {rule.size((layout.length, layout.width), ' by ')} {unit}"
    says = [
        f"{subject.kind.capitalize()} {subject.place[0]} of {subject.place[1]} of this stock in the plan "
        f"“{subject.project}”, {rule.length(layout.thickness)} {unit} thick."
    ]
    if subject.grain:
        says.append("The face grain runs along the length.")
    for line in lines:
        size = rule.size(line.size, " by ")
        says.append(f"Keep {line.name}, {size}." if line.kept else f"{line.count} of {line.name}, {size}.")
    waste = sum(face.role == "waste" for face in sheet.faces)
    if waste:
        says.append(f"{waste} pieces of waste." if waste > 1 else "1 piece of waste.")
    if sheet.cuts:
        bevels = sum(bool(cut.bevel) for cut in sheet.cuts)
        says.append(f"{len(sheet.cuts)} cuts" + (f", {bevels} of them bevel rips." if bevels else "."))
    says.append(f"Begin at the {subject.start} edge of the drawing: {subject.start_words}.")
    return title, " ".join(says)
