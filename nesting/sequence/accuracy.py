"""Accuracy at the saw: which sizes have to be exact, and the test cut before the first bevel rip."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final, Literal

from nesting.layout import CutKind, Layout, Node
from nesting.lengths import show
from nesting.steps import Step
from nesting.trade.bevel import Bevel
from nesting.trade.saw import Saw

GoesInto = Literal["part", "offcut", "waste"]
_RANK: Final[tuple[GoesInto, ...]] = ("waste", "offcut", "part")


@dataclass(frozen=True, slots=True)
class Measures:
    """What to look at in one step; ids of the pieces.

    ``held`` lies between the reference edge and the blade and has the size that was set; ``falls`` falls free and
    takes what is left (None: the blade eats it). ``sizes`` says for each piece the step makes, low side first, what
    its size across the cut goes into: a part or an offcut, or waste alone.
    """

    n: int
    held: str
    falls: str | None
    sizes: tuple[GoesInto, ...]


def held_and_falls(step: Step) -> tuple[str, str | None]:
    """Return the ids of the piece between reference edge and blade, and of the one that falls free, if any."""
    if len(step.makes) == 1:
        return step.makes[0], None
    low, high = step.makes
    return (low, high) if step.against == "low" else (high, low)


def measures(layouts: Sequence[Layout], steps: Sequence[Step]) -> tuple[Measures, ...]:
    """Return for each step which size matters and which does not.

    The size of a piece that is cut on in the same direction matters only through its last piece, which takes what is
    left: where that is waste, waste takes up every error. In the other direction it is the size of all its pieces.
    """
    goes: dict[tuple[str, CutKind], GoesInto] = {}
    for layout in layouts:
        for node in layout.tree.walk():
            if node.role != "cut":
                goes[node.id, "rip"] = goes[node.id, "crosscut"] = node.role
    for step in reversed(steps):
        _, falls = held_and_falls(step)
        other: CutKind = "crosscut" if step.cut == "rip" else "rip"
        goes[step.piece, step.cut] = "waste" if falls is None else goes[falls, step.cut]
        goes[step.piece, other] = _most(goes[piece, other] for piece in step.makes)
    return tuple(
        Measures(step.n, *held_and_falls(step), tuple(goes[piece, step.cut] for piece in step.makes)) for step in steps
    )


def _most(kinds: Iterable[GoesInto]) -> GoesInto:
    return max(kinds, key=_RANK.index)


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


def nodes_by_id(layouts: Sequence[Layout]) -> dict[str, Node]:
    """Return every rectangle of the layouts by its id."""
    return {node.id: node for layout in layouts for node in layout.tree.walk()}
