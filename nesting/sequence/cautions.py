"""What the person at the saw has to be told about these steps: one caution for each rule, with the steps it is for."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from fractions import Fraction

from nesting.layout import Layout, Node
from nesting.lengths import show_length, shown_exactly
from nesting.sequence.accuracy import trial_cut
from nesting.steps import Caution, Step
from nesting.trade.bevel import tangent
from nesting.trade.saw import (
    Saw,
    against_the_rules_at_fence,
    bevel_settings,
    blade_height,
    inches,
    is_full_sheet,
    needs_support,
    pushing,
    straight_reference,
)


def cautions(
    layouts: Sequence[Layout], steps: Sequence[Step], saw: Saw, trim_of: Callable[[Layout], Fraction]
) -> tuple[Caution, ...]:
    """Return the cautions for steps in working order; ``where`` names the steps, as ``steps 3, 7-9``."""
    nodes = {node.id: (layout, node) for layout in layouts for node in layout.tree.walk()}
    texts = _texts(saw)
    where: dict[str, list[int]] = {}
    for step in steps:
        layout, node = nodes[step.piece]
        for code in _codes(step, node, nodes, saw):
            where.setdefault(code, []).append(step.n)
        for code in _edge_codes(step, node, layout, trim_of(layout)):
            where.setdefault(code, []).append(step.n)
    found = [Caution(code, texts[code], named(numbers)) for code, numbers in where.items()]
    found += _bevel_cautions(steps, nodes, saw)
    used = {step.station for step in steps}
    if "crosscut sled" in used and "table saw" in used:
        found.append(
            Caution(
                "fence_never_a_stop",
                "The fence is never the stop for the sled: a piece caught between fence and blade is thrown back. "
                "Move the fence out of the way and clamp the stop to the sled.",
            )
        )
    return tuple(found)


def named(numbers: Sequence[int]) -> str:
    """Return step numbers in words.

    >>> named([3]), named([3, 7, 8, 9])
    ('step 3', 'steps 3, 7-9')
    """
    spans: list[list[int]] = []
    for n in sorted(set(numbers)):
        if spans and spans[-1][-1] == n - 1:
            spans[-1] = [spans[-1][0], n]
        else:
            spans.append([n])
    text = ", ".join("-".join(map(str, span)) for span in spans)
    return f"step{'s' if len(set(numbers)) > 1 else ''} {text}"


def _codes(step: Step, node: Node, nodes: Mapping[str, tuple[Layout, Node]], saw: Saw) -> Iterator[str]:
    along, across = (node.length, node.width) if step.cut == "rip" else (node.width, node.length)
    pieces = [nodes[i][1] for i in step.makes]
    if step.station == "table saw":
        yield from against_the_rules_at_fence(saw, along, step.setting)
        if push := pushing(saw, along, step.setting):
            yield f"push_{push}"
        if is_full_sheet(along, across, saw.unit):
            yield "full_sheet_at_fence"
        if step.cut == "crosscut":
            yield "fence_crosscut"
        if needs_support(saw, max(along, across)):
            yield "outfeed_support"
        if len(pieces) > 1 and any(_across(p, step) < saw.narrowest_rip for p in pieces):
            yield "thin_strip"
    if step.station == "crosscut sled":
        if step.cut == "rip":
            yield "turned_on_sled"
        if step.setting < inches(6, saw.unit):
            yield "hold_down"
        if needs_support(saw, across):
            yield "sled_support"
    if step.station == "breakdown saw" and is_full_sheet(along, across, saw.unit):
        yield "full_sheet"
    if not shown_exactly(step.setting, saw.unit, saw.fence_step):
        yield "off_the_marks"
    if step.bevel == 0 and len(pieces) > 1:
        falls = pieces[-1] if step.against == "low" else pieces[0]
        if falls.role == "part":
            yield "takes_what_is_left"


def _across(node: Node, step: Step) -> Fraction:
    return node.width if step.cut == "rip" else node.length


def _edge_codes(step: Step, node: Node, layout: Layout, trim: Fraction) -> Iterator[str]:
    """Yield what to know of the reference edge: a factory edge is trusted only where nothing is trimmed."""
    if step.station == "breakdown saw":
        return
    low, size, whole = (node.y, node.width, layout.width) if step.cut == "rip" else (node.x, node.length, layout.length)
    at_factory = low == 0 if step.against == "low" else low + size == whole
    if not straight_reference(at_factory, trim):
        yield "rough_reference"
    elif at_factory:
        yield "factory_reference"


def _texts(saw: Saw) -> dict[str, str]:
    def text(value: Fraction) -> str:
        return f"{show_length(value, saw.unit, saw.fence_step)} {saw.unit}"

    def published(value: int) -> str:
        return text(inches(value, saw.unit))

    return {
        "push_stick": f"Use a push stick: what runs along the fence is narrower than {published(6)} or shorter than "
        f"{published(12)}.",
        "push_block": f"Use a push block and an auxiliary fence: what runs along the fence is narrower than "
        f"{published(2)}.",
        "narrow_rip": f"This leaves less than {text(saw.narrowest_rip)} against the fence and no other way was found: "
        "use an auxiliary fence and a push block, or make the part from a wider scrap.",
        "short_piece": f"This piece is shorter than {text(saw.shortest_against_fence)} along the fence and may swing "
        "into the blade: use a sled or a carrier, or cut it by hand.",
        "longer_across": "This piece is longer across than along the fence and may swing into the blade: use a sled or "
        "the guided saw.",
        "full_sheet_at_fence": "A full sheet goes over the table saw here: have a helper and supports on both sides, "
        "or use a guided saw.",
        "full_sheet": "Full sheets are broken down with the guided saw, lying flat on sacrificial boards over their "
        "whole size.",
        "fence_crosscut": f"This is crosscut against the fence because its edge there is {published(12)} or more and "
        "no shorter than the setting. Never do so with a narrower piece.",
        "outfeed_support": f"Pieces longer than {published(36)} need support behind and beside the saw.",
        "sled_support": f"Pieces longer than {published(36)} need support beside the sled, at the height of its base.",
        "thin_strip": "A thin strip comes off here: it falls free on the far side of the blade, or the same setting is "
        "repeated. Never move the fence over strip by strip: the errors add up.",
        "turned_on_sled": "This piece is too short for the fence: turn it and cut it on the sled.",
        "hold_down": f"Less than {published(6)} lies at the stop: hold it with a clamp, never with fingers.",
        "off_the_marks": "This setting lies between two marks of the fence: set it by the exact value and check with a "
        "test cut.",
        "takes_what_is_left": "The piece that falls free is a part and takes what is left, errors included: measure it "
        "before the last cut of its piece.",
        "rough_reference": "The edge against fence or sled is a factory edge that is to be trimmed: check it with a "
        "straight edge first; this cut makes the straight edge that the following cuts run on.",
        "factory_reference": "An edge of the stock as it is serves as reference, for nothing is trimmed off it: check "
        "that it is straight, clean and undamaged.",
    }


def _bevel_cautions(steps: Sequence[Step], nodes: Mapping[str, tuple[Layout, Node]], saw: Saw) -> Iterator[Caution]:
    rips = [step for step in steps if step.bevel]
    if not rips:
        return
    first = rips[0]
    layout, _ = nodes[first.piece]
    yield Caution("test_cut", trial_cut(first, layout, saw), named([first.n]))
    height = max(blade_height(nodes[step.piece][0].thickness, step.bevel) for step in rips)

    def text(value: Fraction) -> str:
        return f"{show_length(value, saw.unit, saw.fence_step)} {saw.unit}"

    if height > inches(Fraction(9, 4), saw.unit):
        yield Caution(
            "blade_height",
            f"The tilted blade runs through {text(height)} of stock: a 10 in blade reaches about "
            f"{text(inches(Fraction(9, 4), saw.unit))} at 45 degrees. Check that yours does.",
            named([step.n for step in rips]),
        )
    side = "left" if saw.fence_side == "right" else "right"
    if first.leans == "away":
        yield Caution(
            "bevel_side",
            f"The blade leans away from the fence (it leans {saw.blade_leans}, the fence stands on the "
            f"{saw.fence_side}): the cleat at the fence keeps its short face on the table, the other one falls free "
            "on the far side. Raise the blade just through the stock, and keep clear of what falls.",
            named([step.n for step in rips]),
        )
        return
    pairs = []
    for setting in dict.fromkeys(step.setting for step in rips):
        step = next(s for s in rips if s.setting == setting)
        rise = nodes[step.piece][0].thickness * tangent(step.bevel)
        both = bevel_settings(setting - rise, rise)
        pairs.append(f"{text(both['toward'])} as it is, {text(both['away'])} with the fence on the {side}")
    yield Caution(
        "bevel_side",
        f"The blade leans toward the fence (it leans {saw.blade_leans}, the fence stands on the {saw.fence_side}) and "
        f"traps the piece under it: move the fence to the {side} side of the blade for the bevel rips. The settings: "
        f"{'; '.join(pairs)}. If the fence has to stay, use a push block and a zero-clearance insert.",
        named([step.n for step in rips]),
    )
