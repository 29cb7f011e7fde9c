"""Steps replayed on bare rectangles: each piece must exist before it is cut, each setting give just what it claims."""

from __future__ import annotations

from dataclasses import dataclass

from nesting.check.geometry import size_of
from nesting.check.report import TOLERANCE, Blade, Findings
from nesting.plan import LayoutDocument, NodeDocument, Plan, StepDocument


@dataclass(frozen=True, slots=True)
class Rectangle:
    """A piece on the bench: low edges and sizes."""

    x: float
    y: float
    length: float
    width: float


def check_steps(plan: Plan, terms: Blade, findings: Findings) -> None:
    """Play all steps; afterwards every rectangle of every layout must have come out as it is drawn."""
    layouts = {layout.id: layout for layout in plan.layouts}
    nodes = {node.id: node for layout in plan.layouts for node in layout.tree.walk()}
    if len(layouts) < len(plan.layouts) or len(nodes) < sum(1 for lay in plan.layouts for _ in lay.tree.walk()):
        findings.add("ids", "plan", "an id stands for two rectangles")
    bench = {layout.id: Rectangle(0.0, 0.0, layout.length, layout.width) for layout in plan.layouts}
    done: set[str] = set(bench)
    for place, step in enumerate(plan.steps, start=1):
        where = f"step {step.n}"
        if step.n != place:
            findings.add("steps", where, f"is the {place}th in the list")
        layout = layouts.get(step.layout)
        node = nodes.get(step.piece)
        piece = bench.pop(step.piece, None)
        if layout is None or node is None or piece is None or not _belongs(node, layout):
            findings.add("steps", where, f"{step.piece!r} does not lie on the bench by then")
            continue
        if node.role != "cut" or node.cut != step.cut or abs(node.bevel - step.bevel) > TOLERANCE:
            findings.add("steps", where, f"{step.piece!r} is not cut this way in its layout")
            continue
        if (step.leans is None) != (step.bevel == 0):
            findings.add("steps", where, "the blade leans exactly where the cut is bevelled")
        if step.leans == "away" and not terms.on_grid(step.setting):
            findings.add("steps", where, f"the setting {step.setting:g} of a bevel rip is not on the fence's grid")
        made = _cut(piece, step, layout, terms)
        if len(made) != len(step.makes) or tuple(piece.id for piece in node.pieces) != step.makes:
            findings.add("steps", where, f"makes {len(made)} pieces, not {', '.join(step.makes)} as drawn")
            continue
        for name, rectangle in zip(step.makes, made, strict=True):
            drawn = nodes[name]
            if any(
                abs(a - b) > TOLERANCE
                for a, b in (
                    (rectangle.x, drawn.x),
                    (rectangle.y, drawn.y),
                    (rectangle.length, drawn.length),
                    (rectangle.width, drawn.width),
                )
            ):
                findings.add("steps", where, f"setting {step.setting:g} does not give {name} as it is drawn")
            bench[name] = rectangle
            done.add(name)
    for name in nodes.keys() - done:
        findings.add("steps", name, "no step makes this piece")


def _belongs(node: NodeDocument, layout: LayoutDocument) -> bool:
    return node.id == layout.id or node.id.startswith(f"{layout.id}.")


def _cut(piece: Rectangle, step: StepDocument, layout: LayoutDocument, terms: Blade) -> list[Rectangle]:
    """Cut a bare rectangle; the setting runs from the reference edge to the near side of the kerf, at the table."""
    size = piece.width if step.cut == "rip" else piece.length
    rise = terms.rise(layout.thickness) if step.bevel else 0.0
    gap = terms.gap if step.bevel else terms.kerf
    near = step.setting + (rise if step.leans == "away" else 0.0)
    far = size + rise - gap - near
    low, high = (near, far) if step.against == "low" else (far, near)
    made = []
    if low > TOLERANCE:
        made.append(_part(piece, step.cut, 0.0, low))
    if high > TOLERANCE:
        made.append(_part(piece, step.cut, size - high, high))
    return made


def _part(piece: Rectangle, cut: str, at: float, size: float) -> Rectangle:
    if cut == "rip":
        return Rectangle(piece.x, piece.y + at, piece.length, size)
    return Rectangle(piece.x + at, piece.y, size, piece.width)


def check_setups(plan: Plan, shared: bool, findings: Findings) -> None:
    """Recount the settings: fence, stop, guide, tilt; steps with one number share a setting.

    ``shared``: sled and fence are used on the same table. A station keeps its setting while another works, except that
    sled and fence on one table lose each other's. A change of tilt moves the blade in the table, so the fence is set
    anew after it.
    """
    fence: tuple[float, float] | None = None
    stop: float | None = None
    tilt, counts = 0.0, {"fence": 0, "stop": 0, "guide": 0, "tilt": 0}
    numbers = {"table saw": 0, "crosscut sled": 0}
    for step in plan.steps:
        total = counts["fence"] + counts["stop"] + counts["guide"]
        if step.station == "breakdown saw":
            counts["guide"] += 1
            number = total + 1
        else:
            if step.bevel != tilt:
                tilt, counts["tilt"] = step.bevel, counts["tilt"] + 1
            if step.station == "table saw":
                if fence is None or abs(fence[0] - step.setting) > TOLERANCE or fence[1] != step.bevel:
                    fence, counts["fence"] = (step.setting, step.bevel), counts["fence"] + 1
                    numbers["table saw"] = total + 1
                stop = None if shared else stop
            else:
                if stop is None or abs(stop - step.setting) > TOLERANCE:
                    stop, counts["stop"] = step.setting, counts["stop"] + 1
                    numbers["crosscut sled"] = total + 1
                fence = None if shared else fence
            number = numbers[step.station]
        if step.setup != number:
            findings.add("setups", f"step {step.n}", f"has setting number {step.setup}, should have {number}")
    told = plan.setups
    for what, found, counted in (
        ("fence", told.fence, counts["fence"]),
        ("stop", told.stop, counts["stop"]),
        ("guide", told.guide, counts["guide"]),
        ("tilt", told.tilt, counts["tilt"]),
        ("total", told.total, counts["fence"] + counts["stop"] + counts["guide"]),
    ):
        findings.equal("setups", "plan", f"the number of {what} settings", found, counted)
    if told.bound > told.total:
        findings.add("setups", "plan", "the bound is above the number of settings itself")
    if told.proven != (told.bound >= told.total):
        findings.add("setups", "plan", "settings are proven exactly where their bound reaches them")


def along(node: NodeDocument, cut: str) -> float:
    """Return how long a piece is along a cut."""
    return size_of(node, "crosscut" if cut == "rip" else "rip")
