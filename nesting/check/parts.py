"""Parts: sizes as asked, grain and thickness kept, as many as wanted."""

from __future__ import annotations

from collections import Counter

from nesting.check.report import TOLERANCE, Findings, Terms
from nesting.plan import LayoutDocument, NodeDocument, Plan
from nesting.project.model import CleatAsked, Part


def check_parts(plan: Plan, terms: Terms, findings: Findings) -> None:
    """Check every part and cleat in the trees, and the list of what was made."""
    made: Counter[str] = Counter()
    for layout in plan.layouts:
        for node, bevels in parts_of(layout.tree):
            name = node.part or ""
            made[name] += 1
            if name in terms.parts:
                _check_part(node, layout, terms.parts[name], bevels, terms, findings)
            elif name in terms.cleats:
                _check_cleat(node, layout, terms.cleats[name], bevels, terms, findings)
            else:
                findings.add("demand", node.id, f"nobody asked for {name!r}")
    _check_list(plan, made, terms, findings)


def parts_of(tree: NodeDocument) -> list[tuple[NodeDocument, int]]:
    """Return every part with the number of bevel rips above it."""
    found, todo = [], [(tree, 0)]
    while todo:
        node, bevels = todo.pop()
        if node.role == "part":
            found.append((node, bevels))
        todo += [(piece, bevels + bool(node.bevel)) for piece in node.pieces]
    return found


def _check_part(
    node: NodeDocument, layout: LayoutDocument, part: Part, bevels: int, terms: Terms, findings: Findings
) -> None:
    length, width = float(part.length), float(part.width)
    along, across = (node.width, node.length) if node.turned else (node.length, node.width)
    findings.equal("sizes", node.id, f"the length of {part.name!r}", along, length)
    findings.equal("sizes", node.id, f"the width of {part.name!r}", across, width)
    if bevels:
        findings.add("sizes", node.id, f"{part.name!r} lies in a bevelled bar")
    stock = terms.stocks.get(layout.stock)
    if stock is None:
        return
    if stock.grain and part.grain != "any" and node.turned != (part.grain == "width"):
        findings.add("grain", node.id, f"{part.name!r} lies the wrong way to the face grain")
    if not terms.project.suits(part.thickness, stock):
        findings.add("thickness", node.id, f"{part.name!r} asks for another thickness than {layout.stock!r} has")


def _check_cleat(
    node: NodeDocument, layout: LayoutDocument, cleat: CleatAsked, bevels: int, terms: Terms, findings: Findings
) -> None:
    findings.equal("sizes", node.id, f"the length of {cleat.name!r}", node.length, float(cleat.length))
    height = float(terms.project.cleats.height(cleat.kind))
    if not height - TOLERANCE <= node.width < height + 2 * terms.step + TOLERANCE:
        findings.add("sizes", node.id, f"the tall face of {cleat.name!r} is {node.width:g}, asked is {height:g}")
    if bevels != 1:
        findings.add("bevel", node.id, f"{cleat.name!r} was bevelled {bevels} times")
    if node.turned:
        findings.add("grain", node.id, f"{cleat.name!r} is a cleat and lies along the stock")
    stock = terms.stocks.get(layout.stock)
    if stock is not None and not terms.project.suits(terms.project.cleats.thickness, stock):
        findings.add("thickness", node.id, f"{cleat.name!r} asks for another thickness than {layout.stock!r} has")


def _check_list(plan: Plan, made: Counter[str], terms: Terms, findings: Findings) -> None:
    listed = Counter(row.name for row in plan.parts)
    for name, times in listed.items():
        if times > 1:
            findings.add("demand", name, "is listed twice")
    rows = {row.name: row for row in plan.parts}
    cleats = terms.project.cleats
    wanted = {
        part.name: (part.length, part.width, part.thickness, part.quantity, part.filler)
        for part in terms.parts.values()
    }
    wanted |= {
        cleat.name: (cleat.length, cleats.height(cleat.kind), cleats.thickness, cleat.quantity, False)
        for cleat in terms.cleats.values()
    }
    for name in rows.keys() - wanted.keys():
        findings.add("demand", name, "is listed, but nobody asked for it")
    for name, (length, width, thickness, quantity, filler) in wanted.items():
        if made[name] > quantity or (made[name] < quantity and not filler):
            findings.add("demand", name, f"{quantity} are wanted, the layouts hold {made[name]}")
        row = rows.get(name)
        if row is None:
            findings.add("demand", name, "is missing from the list of parts")
            continue
        for what, found, asked in (
            ("length", row.length, length),
            ("width", row.width, width),
            ("thickness", row.thickness, thickness),
            ("number asked", row.asked, quantity),
            ("number made", row.made, made[name]),
        ):
            findings.equal("demand", name, f"the listed {what}", found, float(asked))
