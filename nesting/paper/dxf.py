"""``layouts.dxf``: every layout side by side, for a track saw's or a router's program.

One drawing unit is one unit of the plan (``$INSUNITS`` says which). Layers: ``sheet`` the stock's outline, ``part``
each part's outline in plan, a cleat's to its tall face, ``offcut`` what is worth keeping, ``cut`` the middle of
each kerf, ``label`` names and sizes. Outlines are closed polylines (LWPOLYLINE), cuts are lines; a bevel rip has
two, where the blade runs on the face and, dashed, on the underside. The only module that knows ezdxf, which is
an extra (``pip install "cleatwright[dxf]"``).
"""

from __future__ import annotations

import importlib.util
import io
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import accumulate
from typing import TYPE_CHECKING, Final

from nesting.draw.faces import Cut, seen
from nesting.draw.lettering import advance, clean
from nesting.draw.subject import Rule, rule_of, subject_of
from nesting.plan import LayoutDocument, NodeDocument, Plan

if TYPE_CHECKING:
    from ezdxf.layouts.layout import Modelspace

HOW_TO_GET: Final = 'Left out: layouts.dxf, for a track saw or a router; to have it: pip install "cleatwright[dxf]"'
"""What to say where :func:`available` is false."""
LAYERS: Final = {"sheet": 7, "part": 7, "offcut": 8, "cut": 1, "label": 3}
"""Layers with their colours (AutoCAD colour index)."""
_UNITS: Final = {"in": 1, "mm": 4}
_GAP: Final = 0.1
"""Between layouts, of the longest stock."""
_TALLEST: Final = {"in": 1.0, "mm": 25.0}
_MOST_LETTERS: Final = 60
_SPECIAL: Final = (("%%", "% %"), ("\\U+", "\\ U+"), ("\\M+", "\\ M+"), ("^", "^ "))


def available() -> bool:
    """Whether the library that writes DXF is there."""
    return importlib.util.find_spec("ezdxf") is not None


def layouts_dxf(plan: Plan) -> bytes:
    """Return the layouts of a plan as DXF (AutoCAD 2010, UTF-8); the same plan gives the same bytes.

    Raises ``ImportError`` where ezdxf is missing; ask :func:`available` first.
    """
    from ezdxf.filemanagement import new

    rule = rule_of(plan)
    with _fixed_dates():
        document = new("R2010", units=_UNITS[plan.unit])
        document.header["$MEASUREMENT"] = int(plan.unit == "mm")
        document.linetypes.add("DASHED", pattern=[0.75, 0.5, -0.25], description="Dashed __ __ __")
        for name, colour in LAYERS.items():
            document.layers.add(name, color=colour)
        space = document.modelspace()
        gap = _GAP * max((layout.length for layout in plan.layouts), default=0.0)
        starts = accumulate((layout.length + gap for layout in plan.layouts), initial=0.0)
        for layout, start in zip(plan.layouts, starts, strict=False):
            _layout(space, plan, layout, rule, start)
        text = io.StringIO()
        document.write(text)
    return text.getvalue().encode("utf-8", "replace")


@contextmanager
def _fixed_dates() -> Iterator[None]:
    """Let a document be written without the time of day, so that it can be made again to the byte."""
    from ezdxf._options import options

    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def _layout(space: Modelspace, plan: Plan, layout: LayoutDocument, rule: Rule, start: float) -> None:
    _outline(space, "sheet", start, 0.0, layout.length, layout.width)
    tallest = _TALLEST[plan.unit]
    heading = f"{layout.id}  {clean(layout.stock)}  {rule.size((layout.length, layout.width))} {plan.unit}"
    heading += f", {rule.length(layout.thickness)} thick"
    _text(space, heading, (start, layout.width + tallest), layout.length, 1.5 * tallest, centred=False)
    for node in layout.tree.walk():
        if node.role in ("part", "offcut"):
            _outline(space, node.role, start + node.x, node.y, node.length, node.width)
            _name(space, node, rule, start, tallest)
    rising = subject_of(plan, layout.id).rising
    bevelled = {node.id: rising.get(node.id, True) for node in layout.tree.walk() if node.bevel}
    for cut in seen(layout.tree, layout.thickness, rising).cuts:
        _cut(space, cut, start, dashed=False)
    for cut in seen(layout.tree, layout.thickness, {name: not way for name, way in bevelled.items()}).cuts:
        if cut.bevel:
            _cut(space, cut, start, dashed=True)
            _text(space, f"{cut.bevel:g}°", (start + cut.end + tallest / 4, cut.at), 4 * tallest, tallest / 2)


def _outline(space: Modelspace, layer: str, x: float, y: float, length: float, width: float) -> None:
    corners = ((x, y), (x + length, y), (x + length, y + width), (x, y + width))
    space.add_lwpolyline(corners, close=True, dxfattribs={"layer": layer})


def _cut(space: Modelspace, cut: Cut, start: float, *, dashed: bool) -> None:
    (x1, y1), (x2, y2) = (cut.start, cut.at), (cut.end, cut.at)
    if cut.kind == "crosscut":
        (x1, y1), (x2, y2) = (cut.at, cut.start), (cut.at, cut.end)
    attributes = {"layer": "cut", **({"linetype": "DASHED"} if dashed else {})}
    space.add_line((start + x1, y1), (start + x2, y2), dxfattribs=attributes)


def _name(space: Modelspace, node: NodeDocument, rule: Rule, start: float, tallest: float) -> None:
    size = rule.size((node.width, node.length) if node.turned else (node.length, node.width))
    name = clean(node.part or "")[:_MOST_LETTERS] or ("keep" if node.role == "offcut" else "part")
    place = (start + node.x + node.length / 2, node.y + node.width / 2)
    _text(space, f"{name}  {size}  {node.id}", place, 0.9 * node.length, min(tallest, node.width / 3), centred=True)


def _text(
    space: Modelspace,
    text: str,
    place: tuple[float, float],
    room: float,
    tallest: float,
    *,
    centred: bool = False,
) -> None:
    """Write one line, no taller than ``tallest`` and no longer than ``room``; nothing in it is taken for a code."""
    from ezdxf.enums import TextEntityAlignment

    for special, harmless in _SPECIAL:
        text = text.replace(special, harmless)
    height = min(tallest, room / max(advance(text, 1.0), 1.0))
    entity = space.add_text(text, height=height, dxfattribs={"layer": "label"})
    entity.set_placement(place, align=TextEntityAlignment.MIDDLE_CENTER if centred else TextEntityAlignment.LEFT)
