"""Trees: every rectangle follows from its parent, the kerf and the bevel; nothing overlaps."""

from __future__ import annotations

from collections.abc import Iterator

from shapely import STRtree, box

from nesting.check.report import TOLERANCE, Blade, Findings, Terms
from nesting.plan import LayoutDocument, NodeDocument


def low_of(node: NodeDocument, cut: str | None) -> float:
    """Return a rectangle's low edge across a cut."""
    return node.y if cut == "rip" else node.x


def size_of(node: NodeDocument, cut: str | None) -> float:
    """Return a rectangle's size across a cut."""
    return node.width if cut == "rip" else node.length


def high_of(node: NodeDocument, cut: str | None) -> float:
    """Return a rectangle's high edge across a cut."""
    return low_of(node, cut) + size_of(node, cut)


def check_tree(layout: LayoutDocument, terms: Blade, findings: Findings) -> None:
    """Check one layout: its outline, every cut, and that no two pieces overlap."""
    tree = layout.tree
    if tree.id != layout.id:
        findings.add("root", layout.id, f"the root of the tree is called {tree.id!r}")
    for what, found, wanted in (
        ("x", tree.x, 0.0),
        ("y", tree.y, 0.0),
        ("length", tree.length, layout.length),
        ("width", tree.width, layout.width),
    ):
        findings.equal("root", layout.id, f"the root's {what}", found, wanted)
    for node in tree.walk():
        if node is not tree and not node.id.startswith(f"{layout.id}."):
            findings.add("ids", node.id, f"the id does not begin with {layout.id}.")
        if node.role == "cut":
            _check_cut(node, layout, terms, findings)
        elif node.pieces or node.cut is not None or node.bevel:
            findings.add("roles", node.id, f"a {node.role} is not cut any further")
        if (node.role == "part") != (node.part is not None):
            findings.add("roles", node.id, "a part has a name and nothing else has")
    _check_overlaps(layout, terms, findings)


def _check_cut(node: NodeDocument, layout: LayoutDocument, terms: Blade, findings: Findings) -> None:
    cut = node.cut
    if cut is None or not 1 <= len(node.pieces) <= 2:
        findings.add("cuts", node.id, "a cut has a direction and one or two pieces")
        return
    for piece in node.pieces:
        across = "crosscut" if cut == "rip" else "rip"
        what = "length" if cut == "rip" else "width"
        findings.equal("cuts", piece.id, f"its {what} along the cut", size_of(piece, across), size_of(node, across))
        findings.equal("cuts", piece.id, "its place along the cut", low_of(piece, across), low_of(node, across))
    if node.bevel:
        _check_bevel(node, layout, terms, findings)
    elif len(node.pieces) == 2:
        low, high = node.pieces
        findings.equal("cuts", low.id, "the low piece's low edge", low_of(low, cut), low_of(node, cut))
        findings.equal("cuts", high.id, "the high piece's high edge", high_of(high, cut), high_of(node, cut))
        between = low_of(high, cut) - high_of(low, cut)
        findings.equal("kerf", node.id, "the gap between the pieces", between, terms.kerf)
    else:
        only = node.pieces[0]
        eaten = size_of(node, cut) - size_of(only, cut)
        if not TOLERANCE < eaten <= terms.kerf + TOLERANCE:
            findings.add("kerf", node.id, f"one piece only, but {eaten:g} is gone; the blade takes {terms.kerf:g}")
        at_low = abs(low_of(only, cut) - low_of(node, cut)) <= TOLERANCE
        if not at_low and abs(high_of(only, cut) - high_of(node, cut)) > TOLERANCE:
            findings.add("cuts", only.id, "the only piece lies at neither edge")


def _check_bevel(node: NodeDocument, layout: LayoutDocument, terms: Blade, findings: Findings) -> None:
    if node.cut != "rip":
        findings.add("bevel", node.id, "only rips are bevelled")
        return
    findings.equal("bevel", node.id, "the bevel", node.bevel, terms.bevel)
    rise, gap = terms.rise(layout.thickness), terms.gap
    if not terms.on_grid(node.width):
        findings.add("bevel", node.id, f"the blank's width {node.width:g} is not on the fence's grid")
    low = node.pieces[0]
    if len(node.pieces) == 2:
        high = node.pieces[1]
        findings.equal("bevel", node.id, "the sum of the tall faces", low.width + high.width, node.width + rise - gap)
        findings.equal("bevel", high.id, "the high piece's high edge", high_of(high, "rip"), high_of(node, "rip"))
        findings.equal("bevel", low.id, "the low piece's low edge", low.y, node.y)
        return
    rest = node.width + rise - gap - low.width
    if rest > TOLERANCE or low.width > node.width + TOLERANCE:
        findings.add("bevel", node.id, f"one piece only, but the blade leaves another {rest:g} on its tall face")
    if abs(low.y - node.y) > TOLERANCE and abs(high_of(low, "rip") - high_of(node, "rip")) > TOLERANCE:
        findings.add("bevel", low.id, "the only piece lies at neither edge")


def leaves(tree: NodeDocument, rise: float) -> Iterator[tuple[NodeDocument, tuple[float, float, float, float]]]:
    """Yield parts, offcuts and waste with their outlines at half thickness, where bevelled bars do not overlap."""
    todo = [(tree, 0.0, 0.0)]
    while todo:
        node, off_low, off_high = todo.pop()
        if node.role != "cut":
            bottom, top = node.y + off_low, node.y + node.width - off_high
            if top > bottom:
                yield node, (node.x, bottom, node.x + node.length, top)
            continue
        for place, piece in enumerate(node.pieces):
            if not node.bevel:
                todo.append((piece, off_low, off_high))
            elif place == 0 and abs(piece.y - node.y) <= TOLERANCE:
                todo.append((piece, off_low, rise / 2))
            else:
                todo.append((piece, rise / 2, off_high))


def _check_overlaps(layout: LayoutDocument, terms: Blade, findings: Findings) -> None:
    found = list(leaves(layout.tree, terms.rise(layout.thickness)))
    outlines = [box(*outline).buffer(-TOLERANCE, join_style="mitre") for _, outline in found]
    sheet = box(0, 0, layout.length, layout.width).buffer(TOLERANCE, join_style="mitre")
    for (node, _), outline in zip(found, outlines, strict=True):
        if not sheet.covers(outline):
            findings.add("overlap", node.id, "the piece lies outside its stock")
    if not outlines:  # the root is a cut without pieces, which its own rule tells
        return
    tree = STRtree(outlines)
    for one, other in zip(*tree.query(outlines, predicate="intersects"), strict=True):
        if one < other:
            findings.add("overlap", found[one][0].id, f"overlaps {found[other][0].id}")


def check_trim(layout: LayoutDocument, terms: Terms, findings: Findings) -> None:
    """Check that no part and no cleat reaches into the edge trim of its stock."""
    trim = terms.trim(layout.stock)
    if not trim:
        return
    inner = box(trim, trim, layout.length - trim, layout.width - trim).buffer(TOLERANCE, join_style="mitre")
    for node in layout.tree.walk():
        if node.role == "part" and not inner.covers(box(node.x, node.y, node.x + node.length, node.y + node.width)):
            findings.add("edge-trim", node.id, f"{node.part!r} reaches into the {trim:g} lost at each factory edge")
