"""What has to be said before a cut is made: each rule found anew on the plan, and whether the plan says it.

A cut that a station cannot make is a fault (see ``saw_rules``); a cut that it can make only with care wants a warning.
The plans made here leave none out; where a plan from elsewhere does, it is told beside the faults, for others may warn
in other words. Widths are those of shop safety handbooks, as read: push stick below 6 in of width or 12 in of length,
push block below 2 in; the rest is common practice without a source where it says so.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

from nesting.check.replay import along
from nesting.check.report import TOLERANCE, Terms
from nesting.check.saw_rules import steps_at
from nesting.plan import NodeDocument, Plan, StepDocument


@dataclass(frozen=True, slots=True)
class Pass:
    """One step with what lies on the bench: the edge along the cut, the size across it, what comes of it."""

    step: StepDocument
    piece: NodeDocument
    made: tuple[NodeDocument, ...]
    whole: tuple[float, float]
    trim: float
    terms: Terms

    @property
    def edge(self) -> float:
        """Length of the piece along the cut."""
        return along(self.piece, self.step.cut)

    @property
    def across(self) -> float:
        """Size of the piece that is parted."""
        return self.piece.width if self.step.cut == "rip" else self.piece.length

    @property
    def narrowest(self) -> float:
        """Size of the narrower piece it makes, across the cut."""
        return min(piece.width if self.step.cut == "rip" else piece.length for piece in self.made)

    @property
    def falls(self) -> NodeDocument | None:
        """The piece that is not between reference edge and blade."""
        return None if len(self.made) < 2 else self.made[-1 if self.step.against == "low" else 0]

    def inches(self, value: float) -> float:
        """Return a published size in the plan's unit."""
        return value * (25.4 if self.terms.project.unit == "mm" else 1)

    @property
    def at_fence(self) -> bool:
        """Whether the cut is made against the fence."""
        return self.step.station == "table saw"

    @property
    def full(self) -> bool:
        """Whether the piece handles like a full sheet, longer than 60 in and wider than 36 in (no source)."""
        short, long = sorted((self.edge, self.across))
        return long > self.inches(60) + TOLERANCE and short > self.inches(36) + TOLERANCE


def full_sheet_at_fence(cut: Pass) -> bool:
    """Say that full sheets are for the guided saw; at the table they want a helper (woodworking magazines, as read)."""
    return cut.at_fence and cut.full


def push_block(cut: Pass) -> bool:
    """Ask for a block and an auxiliary fence below 2 in (shop safety handbooks, as read)."""
    return cut.at_fence and cut.step.setting < cut.inches(2) - TOLERANCE


def push_stick(cut: Pass) -> bool:
    """Ask for a push stick from 2 to 6 in, and for pieces shorter than 12 in (shop safety handbooks, as read)."""
    narrow = cut.step.setting < cut.inches(6) - TOLERANCE or cut.edge < cut.inches(12) - TOLERANCE
    return cut.at_fence and narrow and not push_block(cut)


def fence_crosscut(cut: Pass) -> bool:
    """Say that only wide pieces are crosscut against the fence (common practice, no source)."""
    return cut.at_fence and cut.step.cut == "crosscut"


def outfeed_support(cut: Pass) -> bool:
    """Ask for support behind the saw above about 3 ft (common practice, no source)."""
    return cut.at_fence and max(cut.edge, cut.across) > cut.inches(36) + TOLERANCE


def thin_strip(cut: Pass) -> bool:
    """Say that a strip below ``narrowest_rip`` falls free, or its setting is repeated (common practice, no source)."""
    limit = float(cut.terms.project.saw.narrowest_rip) - TOLERANCE
    return cut.at_fence and len(cut.made) > 1 and cut.narrowest < limit


def rough_reference(cut: Pass) -> bool:
    """Say that an edge that is to be trimmed is no reference yet (woodworking magazines, as read)."""
    return cut.trim > 0 and _at_factory_edge(cut)


def factory_reference(cut: Pass) -> bool:
    """Have an edge that is used as it came looked at first (woodworking magazines, as read)."""
    return cut.trim == 0 and _at_factory_edge(cut)


def _at_factory_edge(cut: Pass) -> bool:
    low, size = (cut.piece.y, cut.piece.width) if cut.step.cut == "rip" else (cut.piece.x, cut.piece.length)
    whole = cut.whole[1] if cut.step.cut == "rip" else cut.whole[0]
    at = low if cut.step.against == "low" else whole - low - size
    return cut.step.station != "breakdown saw" and abs(at) <= TOLERANCE


def takes_what_is_left(cut: Pass) -> bool:
    """Say that a part which falls free carries the errors of all cuts before it (common practice, no source)."""
    return cut.step.bevel == 0 and cut.falls is not None and cut.falls.role == "part"


def bevel_side(cut: Pass) -> bool:
    """Say at every bevel rip which way the blade leans (woodworking handbooks, as read)."""
    return cut.step.bevel > 0


ASKED: Final[Mapping[str, Callable[[Pass], bool]]] = {
    rule.__name__: rule
    for rule in (
        full_sheet_at_fence,
        push_block,
        push_stick,
        fence_crosscut,
        outfeed_support,
        thin_strip,
        rough_reference,
        factory_reference,
        takes_what_is_left,
        bevel_side,
    )
}
"""The warnings a step may need, by the code they bear."""


def unsaid(plan: Plan, terms: Terms) -> tuple[str, ...]:
    """Return one sentence for each rule whose warning is missing at some steps, and for the two that stand for all."""
    nodes = {node.id: node for layout in plan.layouts for node in layout.tree.walk()}
    layouts = {layout.id: layout for layout in plan.layouts}
    told = {(code, n) for warning in plan.warnings for code in (warning.code,) for n in steps_at(plan, warning.where)}
    missing: dict[str, list[int]] = {}
    for step in plan.steps:
        layout, piece = layouts.get(step.layout), nodes.get(step.piece)
        made = tuple(nodes[name] for name in step.makes if name in nodes)
        if layout is None or piece is None or not made:
            continue  # the replay says what is wrong with it
        trim = terms.trim(layout.stock) if layout.stock in terms.stocks else 0.0
        cut = Pass(step, piece, made, (layout.length, layout.width), trim, terms)
        for code, asks in ASKED.items():
            if asks(cut) and (code, step.n) not in told:
                missing.setdefault(code, []).append(step.n)
    said = [
        f"no warning {code!r} for {'step' if len(ns) == 1 else 'steps'} {_listed(ns)}" for code, ns in missing.items()
    ]
    codes = {warning.code for warning in plan.warnings}
    used = {step.station for step in plan.steps}
    if {"crosscut sled", "table saw"} <= used and "fence_never_a_stop" not in codes:
        said.append("no warning 'fence_never_a_stop' where sled and fence are both used")
    if any(step.bevel for step in plan.steps) and "test_cut" not in codes:
        said.append("no warning 'test_cut' before the first bevel rip")
    return tuple(said)


def _listed(numbers: list[int]) -> str:
    few = ", ".join(map(str, numbers[:8]))
    return few if len(numbers) <= 8 else f"{few} and {len(numbers) - 8} more"
