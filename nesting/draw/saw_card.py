"""One setting of a saw as a picture: the number to set first and largest, the blade in section, the pieces to cut.

The table saw is seen from where the operator stands: table, fence on its side, the board in section, the blade
with its lean, what is held between fence and blade and what falls free. For the sled the stop stands for the
fence, for the guided saw the guide that lies on the measured side. Widths are broken off where they are long.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from nesting.draw.boxes import box_of
from nesting.draw.ink import Hatch, Line, Mark, Page, Polyline, Rect, Text, box, to_svg
from nesting.draw.lettering import advance, clean, wrapped
from nesting.draw.subject import Rule, rule_of
from nesting.lengths import shown_exactly
from nesting.plan import NodeDocument, Plan, StepDocument

WIDTH = 390.0
_EDGE = 20.0
_ROOM = WIDTH - 2 * _EDGE
_THICK = 40.0
_BLADE = 6.0
_LEAST_HELD, _MOST_HELD, _MOST_FREE = 78.0, 170.0, 96.0
_LEAN_LEAST = 1.0

_WHAT: Final = {
    "table saw": "fence, at the table",
    "crosscut sled": "stop, from the blade",
    "breakdown saw": "guide, from the edge",
}
_HOLDS: Final = {"table saw": "fence", "crosscut sled": "stop", "breakdown saw": "guide"}


@dataclass(frozen=True, slots=True)
class Setting:
    """What one card is about: the steps that share a setting and the pieces they cut."""

    number: int
    total: int
    steps: tuple[StepDocument, ...]
    nodes: Mapping[str, NodeDocument]
    thickness: float
    rule: Rule
    fence_side: str
    blade_leans: str
    cautions: Mapping[str, tuple[str, ...]]
    """By the number of a step or the id of a piece."""

    @property
    def first(self) -> StepDocument:
        """The step the picture shows."""
        return self.steps[0]


def draw_setting(plan: Plan, setup: int) -> str:
    """Return the picture of one setting (the steps' ``setup``) as SVG, 390 pixels wide, for phone and packet.

    Raises ``ValueError`` where no step of the plan has that setting.
    """
    return to_svg(setting_page(setting_of(plan, setup)))


def setting_of(plan: Plan, setup: int) -> Setting:
    """Gather one setting's steps from a plan. Raises ``ValueError`` where it has none."""
    steps = tuple(sorted((step for step in plan.steps if step.setup == setup), key=lambda step: step.n))
    if not steps:
        raise ValueError(f"the plan has no setting {setup}")
    layouts = {layout.id: layout for layout in plan.layouts}
    used = {step.layout for step in steps}
    saw = (plan.job or {}).get("saw")
    saw = saw if isinstance(saw, Mapping) else {}
    return Setting(
        number=setup,
        total=len({step.setup for step in plan.steps}),
        steps=steps,
        nodes={node.id: node for name in used for node in layouts[name].tree.walk()},
        thickness=layouts[steps[0].layout].thickness,
        rule=rule_of(plan),
        fence_side="left" if saw.get("fence_side") == "left" else "right",
        blade_leans="right" if saw.get("blade_leans") == "right" else "left",
        cautions=_cautions(plan),
    )


def _cautions(plan: Plan) -> Mapping[str, tuple[str, ...]]:
    found: dict[str, tuple[str, ...]] = {}
    for warning in plan.warnings:
        where = warning.where.removeprefix("step ").strip()
        found[where] = (*found.get(where, ()), clean(warning.text))
    return found


def setting_page(setting: Setting) -> Page:
    """Return the card of one setting in our own marks, in pixels."""
    first = setting.first
    shown = setting.rule.length(first.setting)
    marks: list[Mark] = [
        Text(_EDGE, 32, f"Setting {setting.number} of {setting.total} · {first.station}", 15.0),
        Text(_EDGE, 88, shown, 54.0, bold=True),
    ]
    x = _EDGE + advance(shown, 54.0, bold=True) + 12
    what = _WHAT[first.station]
    y = 88.0
    if x + advance(what, 16.0) > WIDTH - _EDGE:
        x, y = _EDGE, 112.0
    marks.append(Text(x, y, what, 16.0))
    y = max(y, 88.0) + 14
    if not shown_exactly(_exact(first.setting), setting.rule.unit, setting.rule.step):
        y += 14
        marks.append(Text(_EDGE, y, f"nearest mark; exactly {first.setting:.4f} {setting.rule.unit}", 14.0))
    for line in wrapped(blade_words(setting), _ROOM, 18.0, bold=True):
        y += 24
        marks.append(Text(_EDGE, y, line, 18.0, bold=True))
    y += 16
    marks.append(Line(_EDGE, y, WIDTH - _EDGE, y, weight=2))
    marks += _picture(setting, y)
    y += 226
    for line in wrapped(" ".join(_sentences(setting)), _ROOM, 14.0):
        marks.append(Text(_EDGE, y, line, 14.0))
        y += 19
    listed, y = _list(setting, y + 8)
    marks += listed
    title = f"Setting {setting.number} of {setting.total}: {first.station}, {_HOLDS[first.station]} at {shown}"
    pieces = ", ".join(step.piece for step in setting.steps)
    desc = f"{blade_words(setting)}. {' '.join(_sentences(setting))} Pieces to cut: {pieces}."
    return Page(WIDTH, math.ceil(y + 12), title, desc, tuple(marks), unit="px")


def blade_words(setting: Setting) -> str:
    """Say how the blade stands: ``Blade square`` or ``Blade 45° left, leaning away from the fence``."""
    first = setting.first
    if first.bevel < _LEAN_LEAST:
        return "Blade square"
    which = "toward" if _toward(setting) else "away from"
    return f"Blade {first.bevel:g}° to the {_lean_side(setting)}, leaning {which} the {_HOLDS[first.station]}"


def _toward(setting: Setting) -> bool:
    if setting.first.leans is not None:
        return setting.first.leans == "toward"
    return setting.blade_leans == setting.fence_side


def _lean_side(setting: Setting) -> str:
    """Return the side the blade's top leans to; the step's own word goes before the saw's usual lean."""
    other = "left" if setting.fence_side == "right" else "right"
    return setting.fence_side if _toward(setting) else other


def _sentences(setting: Setting) -> list[str]:
    first = setting.first
    other = "left" if setting.fence_side == "right" else "right"
    if first.station == "crosscut sled":
        says = ["Seen from where you stand.", f"The {_end(first)} of the piece lies against the stop."]
        return [*says, "Never use the rip fence as a stop for the sled."]
    if first.station == "breakdown saw":
        return [
            f"Seen along the cut. Measure from the {_end(first)} to the near side of the kerf.",
            "The guide lies on the measured side, its edge on the line.",
        ]
    says = ["Seen from where you stand.", f"The {other} piece falls free."]
    if first.bevel >= _LEAN_LEAST and _toward(setting):
        says.append(
            "The held piece is trapped under the blade: use a push block, or put the fence on the other side of the "
            "blade."
        )
    return says


def _end(step: StepDocument) -> str:
    return f"{step.against} {'edge' if step.cut == 'rip' else 'end'}"


def _picture(setting: Setting, top: float) -> list[Mark]:
    """Draw the section within 206 pixels below ``top``."""
    first = setting.first
    side = 1.0 if setting.fence_side == "right" else -1.0
    edge = WIDTH - 68 if side > 0 else 68.0  # the face of the fence, the stop or the reference edge
    table = top + 146
    base = table - (12 if first.station == "crosscut sled" else 0)
    held, held_broken, free, free_broken, free_waste = _widths(setting)
    lean = math.tan(math.radians(first.bevel)) * (-side if not _toward(setting) else side)

    def across(distance: float, height: float) -> float:
        """Place the blade's near side at a distance from the edge, leaning with height above the table."""
        return edge - side * distance + lean * height

    gap = _BLADE / math.cos(math.radians(first.bevel))
    marks: list[Mark] = _support(first.station, table, edge, side)
    body = [(edge, base), (edge, base - _THICK), (across(held, _THICK), base - _THICK), (across(held, 0), base)]
    outer = edge - side * (held + gap + free)
    rest = [
        (across(held + gap, 0), base),
        (across(held + gap, _THICK), base - _THICK),
        (
            min(outer, across(held + gap, _THICK) - 4) if side > 0 else max(outer, across(held + gap, _THICK) + 4),
            base - _THICK,
        ),
        (min(outer, across(held + gap, 0) - 4) if side > 0 else max(outer, across(held + gap, 0) + 4), base),
    ]
    for corners, broken in ((body, False), (rest, free_broken)):
        shape = tuple(corners)
        if corners is rest and free_waste:
            marks.append(Hatch(shape, 5.0, 0.6))
        if broken:
            marks.append(Polyline((shape[3], *shape[:3]), weight=2))
            marks.append(_torn(shape[2], shape[3]))
        else:
            marks.append(Polyline(shape, weight=2, closed=True))
    if held_broken:
        marks += _broken(edge - side * 24, base)
    high, low = 34.0 + _THICK, -28.0
    if first.station == "breakdown saw":
        high, low = 62.0 + _THICK, -10.0
    blade = (
        (across(held, low), base - low),
        (across(held, high), base - high),
        (across(held + gap, high), base - high),
        (across(held + gap, low), base - low),
    )
    marks.append(Polyline(blade, weight=0, closed=True, fill="ink"))
    clear = edge - side * 30 if held_broken else edge
    inner = [(clear, base), (clear, base - _THICK), *body[2:]]
    marks += _words_in(inner, "held" if first.station == "table saw" else "measured")
    if not free_broken or free > 50:
        marks += _words_in(rest, "free" if first.station == "table saw" else "rest", ground=free_waste)
    marks += _holder(first.station, edge, side, base, held)
    below = table + 32
    near, far = sorted((edge, across(held, 0)))
    marks.append(Line(near, below, far, below, weight=1))
    marks += [Line(x, below - 6, x, below + 6, weight=1) for x in (near, far)]
    words = setting.rule.length(first.setting)
    marks.append(Text((near + far) / 2, below + 20, words, 16.0, bold=True, anchor="middle"))
    return marks


def _widths(setting: Setting) -> tuple[float, bool, float, bool, bool]:
    """Return what to draw, in pixels: held and free width and whether each is broken off; whether the rest is waste."""
    first = setting.first
    scale = _THICK / setting.thickness
    node = setting.nodes[first.piece]
    whole = node.width if first.cut == "rip" else node.length
    held = min(max(first.setting * scale, _LEAST_HELD), _MOST_HELD)
    rest = max(whole - first.setting, 0.0) * scale
    sizes = {
        (setting.nodes[step.piece].width if step.cut == "rip" else setting.nodes[step.piece].length)
        for step in setting.steps
    }
    free = min(max(rest, 8.0), _MOST_FREE)
    far = node.pieces[-1 if first.against == "low" else 0] if len(node.pieces) > 1 else None
    waste = far is None or far.role == "waste"
    return held, first.setting * scale > _MOST_HELD, free, rest > _MOST_FREE or len(sizes) > 1, waste


def _support(station: str, table: float, edge: float, side: float) -> list[Mark]:
    if station == "breakdown saw":
        return [Rect(x, table + 1, 26, 12, weight=1.5) for x in (edge - side * 40 - 13, edge - side * 210 - 13)]
    marks: list[Mark] = [Line(_EDGE, table + 1.5, WIDTH - _EDGE, table + 1.5, weight=3)]
    if station == "crosscut sled":
        marks.append(Rect(_EDGE + 14, table - 12, _ROOM - 28, 11, weight=1.5))
        marks.append(Text(_EDGE + 14, table + 22, "sled", 14.0))
    return marks


def _holder(station: str, edge: float, side: float, base: float, held: float) -> list[Mark]:
    """Draw fence, stop or guide with its name."""
    if station == "breakdown saw":
        left, right = sorted((edge - side * 18, edge - side * held))
        shape = (left, base - _THICK - 11, right - left, 10.0)
        middle = (left + right) / 2
        return [
            Rect(*shape, weight=2, fill="paper"),
            Hatch(box(*shape), 4.0, 0.6),
            Text(middle, base - _THICK - 20, "guide", 15.0, anchor="middle"),
        ]
    high = 104.0 if station == "table saw" else 62.0
    left = edge if side > 0 else edge - 28
    return [
        Rect(left, base - high, 28, high, weight=2, fill="paper"),
        Hatch(box(left, base - high, 28, high), 5.0, 0.6),
        Text(left + 14, base - high - 8, _HOLDS[station], 15.0, anchor="middle"),
    ]


def _words_in(corners: list[tuple[float, float]], words: str, *, ground: bool = False) -> list[Mark]:
    """Write a word in the middle of a piece where it fits there."""
    xs = sorted(x for x, _ in corners)
    room = xs[2] - xs[1]
    text = Text((xs[1] + xs[2]) / 2, corners[0][1] - _THICK / 2 + 5, words, 14.0, anchor="middle")
    if advance(words, 14.0) + 8 > room:
        return []
    covered = box_of(text).grown(2)
    under = [Rect(covered.left, covered.top, covered.width, covered.height, weight=0, fill="paper")] if ground else []
    return [*under, text]


def _torn(start: tuple[float, float], end: tuple[float, float]) -> Polyline:
    """Draw a board broken off: a zigzag between two corners."""
    (x1, y1), (x2, y2) = start, end
    parts = [(0.0, 0.0), (0.35, 0.0), (0.45, 5.0), (0.55, -5.0), (0.65, 0.0), (1.0, 0.0)]
    return Polyline(tuple((x1 + part * (x2 - x1) + aside, y1 + part * (y2 - y1)) for part, aside in parts), weight=1.2)


def _broken(x: float, base: float) -> list[Mark]:
    """Draw a break within a board: two zigzags with white between."""
    gap = 4.0
    white = Rect(x - gap, base - _THICK - 2, 2 * gap, _THICK + 1, weight=0, fill="paper")
    return [white, *(_torn((x + aside, base - _THICK - 3), (x + aside, base - 1)) for aside in (-gap, gap))]


def _list(setting: Setting, y: float) -> tuple[list[Mark], float]:
    marks: list[Mark] = []
    for step in setting.steps:
        node = setting.nodes[step.piece]
        marks.append(Rect(_EDGE + 1, y, 26, 26, weight=2))
        marks.append(Text(_EDGE + 42, y + 12, f"{step.n}.  piece {step.piece}", 17.0, bold=True))
        y += 31
        size = setting.rule.size((node.length, node.width))
        placed = f"measured from the {_end(step)}" if step.station == "breakdown saw" else ""
        says = f"{size}, {placed or f'{_end(step)} to the {_HOLDS[step.station]}'}"
        for line in wrapped(f"{says}; makes {_makes(setting, step)}", _ROOM - 42, 14.0):
            marks.append(Text(_EDGE + 42, y, line, 14.0))
            y += 18
        for caution in dict.fromkeys(setting.cautions.get(str(step.n), ()) + setting.cautions.get(step.piece, ())):
            for line in wrapped(caution, _ROOM - 52, 14.0, bold=True):
                marks.append(Text(_EDGE + 52, y, line, 14.0, bold=True))
                marks.append(Line(_EDGE + 44, y - 13, _EDGE + 44, y + 5, weight=3))
                y += 18
        y += 8
    return marks, y


def _makes(setting: Setting, step: StepDocument) -> str:
    words = []
    for made in step.makes:
        node = setting.nodes[made]
        size = setting.rule.length(node.width if step.cut == "rip" else node.length)
        tall = " tall" if step.bevel else ""
        name = {
            "part": clean(node.part or "") or "a part",
            "waste": "waste",
            "offcut": f"offcut {made} to keep",
            "cut": f"piece {made}",
        }[node.role]
        words.append(name if node.role == "waste" else f"{name} ({size}{tall})")
    return " and ".join(words)


def _exact(value: float) -> Fraction:
    return Fraction(value).limit_denominator(10**6)
