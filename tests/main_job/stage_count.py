"""Counting stages strictly on a written plan: every cut but the edge trims, by the words of the format alone."""

from __future__ import annotations

from typing import Any

NEAR = 1e-5


def _is_trim(node: dict[str, Any], layout: dict[str, Any], trim: float) -> bool:
    """Whether a cut only takes a factory edge off: what it keeps begins or ends where the trim does."""
    axis, side = ("y", "width") if node["cut"] == "rip" else ("x", "length")
    if not trim or node["bevel"]:
        return False
    begins, ends = node[axis], node[axis] + node[side]
    kept = [piece for piece in node["pieces"] if piece["role"] != "waste"] or node["pieces"][:1]
    if len(kept) != 1:
        return False
    at_low = begins < NEAR and abs(kept[0][axis] - trim) < NEAR
    far = layout[side] - trim
    at_high = abs(ends - layout[side]) < NEAR and abs(kept[0][axis] + kept[0][side] - far) < NEAR
    return at_low or at_high


def strict_stages(layout: dict[str, Any], trim: float) -> tuple[int, str | None]:
    """Return the most alternations of rip and crosscut, edge trims left out, and the direction of the first cut."""
    deepest, first = 0, None
    todo: list[tuple[dict[str, Any], str | None, int]] = [(layout["tree"], None, 0)]
    while todo:
        node, last, count = todo.pop()
        if node["role"] != "cut":
            continue
        if _is_trim(node, layout, trim):
            todo += [(piece, last, count) for piece in node["pieces"]]
            continue
        first = first or node["cut"]
        here = count + (node["cut"] != last)
        deepest = max(deepest, here)
        todo += [(piece, node["cut"], here) for piece in node["pieces"]]
    return deepest, first
