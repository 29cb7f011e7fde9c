"""Accuracy at the saw: which sizes matter, and how much kerf and thickness may drift before a part is short."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from nesting.layout import Layout, Node
from nesting.lengths import Shown, show
from nesting.steps import Step
from nesting.trade.bevel import Bevel, secant, tangent
from nesting.trade.saw import Saw


@dataclass(frozen=True, slots=True)
class Measures:
    """What to look at in one step. ``setting`` as shown and exactly; ids of the pieces.

    ``held`` lies between the reference edge and the blade and has the size that was set (None: it is too small to
    be a piece); ``falls`` falls free and takes what is left. ``matter`` are the ids whose size goes into a part or
    an offcut, ``waste`` those whose size does not.
    """

    n: int
    setting: Shown
    exact: Fraction
    held: str | None
    falls: str | None
    matter: tuple[str, ...]
    waste: tuple[str, ...]


def measures(layouts: Sequence[Layout], steps: Sequence[Step], saw: Saw) -> tuple[Measures, ...]:
    """Return for each step which size matters and which does not."""
    nodes = _nodes(layouts)
    found = []
    for step in steps:
        pieces = [nodes[i] for i in step.makes]
        held = pieces[0] if step.against == "low" or len(pieces) == 1 else pieces[-1]
        falls = next((p for p in pieces if p is not held), None)
        matter = tuple(p.id for p in pieces if _matters(p))
        waste = tuple(p.id for p in pieces if not _matters(p))
        shown = show(step.setting, saw.unit, saw.fence_step)
        found.append(Measures(step.n, shown, step.setting, held.id, falls.id if falls else None, matter, waste))
    return tuple(found)


def _matters(node: Node) -> bool:
    return any(piece.role in ("part", "offcut") for piece in node.walk())


def _nodes(layouts: Sequence[Layout]) -> dict[str, Node]:
    return {node.id: node for layout in layouts for node in layout.tree.walk()}


@dataclass(frozen=True, slots=True)
class Drift:
    """How far off kerf and thickness may be on one layout; None: no part is affected by it.

    ``kerf`` is how much wider than stated the blade may cut before ``kerf_piece`` comes out short,
    ``thickness`` how much thinner than stated the stock may be before ``thickness_piece`` does.
    """

    layout: str
    kerf: Fraction | None
    kerf_piece: str | None
    kerfs: int
    thickness: Fraction | None
    thickness_piece: str | None


Asked = Mapping[str, tuple[Fraction, Fraction]]
"""Smallest acceptable length and width of a part or cleat, by name, as it lies along its own sides."""


def drift(layouts: Sequence[Layout], steps: Sequence[Step], saw: Saw, asked: Asked | None = None) -> tuple[Drift, ...]:
    """Return for each layout how much kerf and thickness may drift before a part comes out short.

    The piece measured from the reference edge is exact whatever the kerf; the other one loses what the kerf is too
    wide, and hands that on. ``asked`` tells what is still accepted of a part; without it, its drawn size.
    Derived: a step with setting S on a piece of size P that has lost c kerf errors d needs S + kerf errors within P,
    so d may be (P - S) / c at most; a part that has lost c of them may be short by its surplus, so d <= surplus / c.
    """
    nodes = _nodes(layouts)
    lost: dict[tuple[str, str], Fraction] = {}
    kerfs: dict[str, list[tuple[Fraction, str, Fraction]]] = {layout.id: [] for layout in layouts}
    thins: dict[str, list[tuple[Fraction, str]]] = {layout.id: [] for layout in layouts}
    for step in steps:
        node = nodes[step.piece]
        axis, other = ("width", "length") if step.cut == "rip" else ("length", "width")
        carried = lost.get((step.piece, axis), Fraction(0))
        size = node.width if step.cut == "rip" else node.length
        if carried:
            kerfs[step.layout].append(((size - step.setting) / carried, step.piece, carried))
        pieces = [nodes[i] for i in step.makes]
        held = pieces[0] if step.against == "low" or len(pieces) == 1 else pieces[-1]
        for piece in pieces:
            lost[piece.id, other] = lost.get((step.piece, other), Fraction(0))
            lost[piece.id, axis] = Fraction(0) if piece is held else carried + secant(step.bevel)
        if step.bevel and step.leans == "away":
            for part in _parts(held):
                surplus = max(held.width - _wanted(part, "width", asked), Fraction(0))
                thins[step.layout].append((surplus / tangent(step.bevel), part.id))
    for layout in layouts:
        for node in _parts(layout.tree):
            for axis in ("length", "width"):
                carried = lost.get((node.id, axis), Fraction(0))
                if carried:
                    whole = node.length if axis == "length" else node.width
                    surplus = max(whole - _wanted(node, axis, asked), Fraction(0))
                    kerfs[layout.id].append((surplus / carried, node.id, carried))
    found = []
    for layout in layouts:
        kerf = min(kerfs[layout.id], default=None)
        thin = min(thins[layout.id], default=None)
        found.append(
            Drift(
                layout.id,
                kerf[0] if kerf else None,
                kerf[1] if kerf else None,
                max((round(c) for d, _, c in kerfs[layout.id] if kerf and d == kerf[0]), default=0),
                thin[0] if thin else None,
                thin[1] if thin else None,
            )
        )
    return tuple(found)


def _parts(node: Node) -> list[Node]:
    return [piece for piece in node.walk() if piece.role == "part"]


def _wanted(node: Node, axis: str, asked: Asked | None) -> Fraction:
    drawn = node.length if axis == "length" else node.width
    if asked is None or node.part is None or node.part not in asked:
        return drawn
    length, width = asked[node.part]
    return length if (axis == "length") != node.turned else width


def drift_in_words(found: Drift, saw: Saw) -> str:
    """Return the drift of one layout as a sentence."""
    if found.kerf is None:
        kerf = "every part is measured from an edge, so that a kerf wider than stated shortens none"
    elif found.kerf == 0:
        kerf = (
            f"{found.kerf_piece} takes what is left and has none to spare: for each 0.01 {saw.unit} the kerf is wider "
            f"than stated it comes out {0.01 * found.kerfs:.2f} {saw.unit} short"
        )
    else:
        kerf = (
            f"the kerf may be {float(found.kerf):.3f} {saw.unit} wider than stated before {found.kerf_piece} is short"
        )
    if found.thickness is None:
        return f"{found.layout}: {kerf}."
    if found.thickness == 0:
        thin = f"stock thinner than stated makes {found.thickness_piece} short"
    else:
        thin = (
            f"the stock may be {float(found.thickness):.3f} {saw.unit} thinner before {found.thickness_piece} is short"
        )
    return f"{found.layout}: {kerf}; {thin}."


def trial_cut(step: Step, layout: Layout, saw: Saw) -> str:
    """Return what to do before the first bevel rip: a test cut, what to measure, how to correct.

    With setting S on a scrap of width W the tall faces are h1 = S + t tan b (blade leaning away) or S (toward) and
    h2 = W + t tan b - k / cos b - h1 (derived); solved for angle and kerf as measured.
    """
    rule = Bevel(layout.thickness, saw.kerf, step.bevel, saw.fence_step)
    tall = step.setting + (rule.rise if step.leans == "away" else 0)

    def text(value: Fraction) -> str:
        return f"{show(value, saw.unit, saw.fence_step).text} {saw.unit} ({float(value):.4f})"

    return (
        f"Before the first bevel rip tilt the blade to {float(step.bevel):g} degrees, set the fence to "
        f"{text(step.setting)} and rip a scrap of the same stock. Measure its thickness and the cleat at the fence: "
        f"its tall face should be {text(tall)}, its short face {text(tall - rule.rise)}, apart by {text(rule.rise)}; "
        f"the blade takes {text(rule.gap)} off the width. If the difference of the faces is wrong, the angle or the "
        f"thickness is: correct the tilt, tan b = difference / thickness. If both faces are off alike, move the fence "
        f"by that much. If strip and cleats do not add up, the kerf is not {float(saw.kerf):g} {saw.unit}. Put kerf, "
        f"thickness and angle as measured into the project file and make the plan anew."
    )
