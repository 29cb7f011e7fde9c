"""Counting stages strictly on a written plan: every cut inside the trimmed edges, by the words of the format alone."""

from __future__ import annotations

from typing import Any


def strict_stages(layout: dict[str, Any], trim: float) -> tuple[int, str | None]:
    """Return the most alternations of rip and crosscut below the edge trims, and the direction of the first cut."""
    tree, near = layout["tree"], 1e-5
    length, width = layout["length"] - trim + near, layout["width"] - trim + near

    def untrimmed(node: dict[str, Any]) -> bool:
        inside = node["x"] > trim - near and node["y"] > trim - near
        return not (inside and node["x"] + node["length"] < length and node["y"] + node["width"] < width)

    while trim and untrimmed(tree) and tree["role"] == "cut":
        tree = max(tree["pieces"], key=lambda piece: (piece["role"] != "waste", piece["length"] * piece["width"]))
    deepest, todo = 0, [(tree, None, 0)]
    while todo:
        node, last, count = todo.pop()
        if node["role"] == "cut":
            here = count + (node["cut"] != last)
            deepest = max(deepest, here)
            todo += [(piece, node["cut"], here) for piece in node["pieces"]]
    return deepest, tree.get("cut") if tree["role"] == "cut" else None
