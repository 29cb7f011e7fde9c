"""Limits on stages and on the first cut: alternations of rip and crosscut below the edge trims."""

from __future__ import annotations

from nesting.check.geometry import high_of, low_of
from nesting.check.report import TOLERANCE, Findings, Terms
from nesting.plan import LayoutDocument, NodeDocument, Plan


def recut_pieces(plan: Plan) -> frozenset[str]:
    """Return the pieces that a plan made anew takes up as stock of their own, at this time or an earlier one."""
    told = plan.replaces
    if told is None:
        return frozenset()
    earlier = (piece.get("piece") for block in told.before for piece in block.get("recut", ()))
    return frozenset((*(piece.piece for piece in told.recut), *map(str, earlier)))


def check_stages(layout: LayoutDocument, terms: Terms, findings: Findings, fresh: frozenset[str] = frozenset()) -> None:
    """Check ``max_stages`` and ``first_cut`` of the job; every cut counts but those that only trim factory edges.

    Pieces of ``fresh`` are stock of their own: what is cut from them is counted from there.
    """
    saw = terms.project.saw
    if saw.max_stages is None and saw.first_cut == "any":
        return
    trim = terms.trim(layout.stock)
    for top in (layout.tree, *(node for node in layout.tree.walk() if node.id in fresh and node is not layout.tree)):
        tree = top
        while (inner := _behind_trim(tree, layout, trim, terms.kerf)) is not None and inner.id not in fresh:
            tree = inner
        if tree.role == "cut" and saw.first_cut not in ("any", tree.cut):
            findings.add("first-cut", tree.id, f"the first cut is a {tree.cut}, the job asks for a {saw.first_cut}")
        deepest, todo = 0, [(tree, "", 0)]
        while todo:
            node, last, count = todo.pop()
            if node.role == "cut" and (node is tree or node.id not in fresh):
                here = count + (node.cut != last)
                deepest = max(deepest, here)
                todo += [(piece, node.cut or "", here) for piece in node.pieces]
        if saw.max_stages is not None and deepest > saw.max_stages:
            findings.add("stages", top.id, f"{deepest} stages, the job allows {saw.max_stages}")


def _behind_trim(node: NodeDocument, layout: LayoutDocument, trim: float, kerf: float) -> NodeDocument | None:
    """Return what is left of a rectangle after a cut that only trims a factory edge, None for any other cut."""
    if node.role != "cut" or node.bevel or not trim:
        return None
    whole = layout.width if node.cut == "rip" else layout.length
    for inner in node.pieces:
        lost_low = low_of(inner, node.cut) - low_of(node, node.cut)
        lost_high = high_of(node, node.cut) - high_of(inner, node.cut)
        others = [piece for piece in node.pieces if piece is not inner]
        if any(piece.role != "waste" for piece in others):
            continue
        at_low = low_of(node, node.cut) <= TOLERANCE and abs(lost_low - trim) <= TOLERANCE and lost_high <= TOLERANCE
        at_high = (
            high_of(node, node.cut) >= whole - TOLERANCE
            and abs(lost_high - trim) <= TOLERANCE
            and lost_low <= TOLERANCE
        )
        if at_low or at_high:
            return inner
    return None
