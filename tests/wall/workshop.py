"""Projects with a holder or two for the tests of the wall, and a holder put together board by board."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from nesting.project.model import Project
from nesting.project.read import project_from_mapping
from nesting.wall.built import Built

F = Fraction
Box = tuple[tuple[Fraction, Fraction], tuple[Fraction, Fraction], tuple[Fraction, Fraction]]
"""Spans along the wall, out from the wall (0 at the rear of the back) and up from the foot."""


def workshop(*holders: dict[str, Any], unit: str = "in", wall: dict[str, Any] | None = None, **cleats: Any) -> Project:
    """Return a project with 3/4, 1/2 and 1/4 in ply (18, 12 and 6 mm), these holders and, where given, this wall."""
    inch = unit == "in"
    sizes = [("18 mm", "18 mm"), ("12 mm", "12 mm"), ("6 mm", "6 mm")]
    if inch:
        sizes = [("3/4", "23/32"), ("1/2", "15/32"), ("1/4", "1/4")]
    length, width = ("96", "48") if inch else ("2440", "1220")
    mapping: dict[str, Any] = {
        "project": {"name": "bay", "unit": unit},
        "saw": {"kerf": "1/8" if inch else "3 mm"},
        "sheet": [
            {"name": f"ply {nominal}", "length": length, "width": width, "thickness": thick, "nominal": nominal}
            for nominal, thick in sizes
        ],
        "holder": list(holders),
    }
    if cleats:
        mapping["cleats"] = cleats
    if wall is not None:
        mapping["wall"] = wall
    return project_from_mapping(mapping)


def assembled(built: Built) -> list[tuple[str, Box]]:
    """Put the boards of one copy together as its joints say, from nothing but their lists of sizes."""
    t, style = built.thickness, built.holder.style
    copies = built.holder.quantity
    sizes: dict[str, list[tuple[Fraction, Fraction]]] = {}
    for part in built.parts:
        what = part.name.removeprefix(f"{built.name}: ")
        sizes[what] = [(part.length, part.width)] * (part.quantity // copies)
    ((wide, tall),) = sizes["back"]
    boxes: list[tuple[str, Box]] = [("back", ((F(0), wide), (F(0), t), (F(0), tall)))]
    if style in ("shelf", "rack"):
        ((long, deep),) = sizes["shelf"]
        low = F(0) if style == "shelf" else tall / 2 - t
        boxes.append(("shelf", ((F(0), long), (t, t + deep), (low, low + t))))
        for cut in built.gussets:
            up = (t, t + cut.tall) if style == "shelf" else (low - cut.tall, low)
            boxes += [("gusset", ((at, at + t), (t, t + cut.deep), up)) for at in (F(0), wide - t)]
    if style in ("box", "bin"):
        ((long, high),) = sizes["front"]
        (deep, end), (_, other) = sizes["end"]
        ((floor, across),) = sizes["bottom"]
        boxes.append(("front", ((F(0), long), (t + deep, 2 * t + deep), (F(0), high))))
        boxes += [("end", ((at, at + t), (t, t + deep), (F(0), size))) for at, size in ((F(0), end), (wide - t, other))]
        boxes.append(("bottom", ((t, t + floor), (t, t + across), (F(0), t))))
        dividers = sizes.get("divider", [])
        cell = (wide - (len(dividers) + 2) * t) / (len(dividers) + 1)
        for n, (long, high) in enumerate(dividers):
            at = t + (n + 1) * cell + n * t
            boxes.append(("divider", ((at, at + t), (t, t + long), (t, t + high))))
    if style == "bracket":
        boxes += [
            ("arm", ((at, at + t), (t, t + long), (F(0), high)))
            for at, (long, high) in zip((F(0), wide - t), sizes["arm"], strict=True)
        ]
    return boxes
