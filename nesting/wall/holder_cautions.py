"""What to mind when a holder is built, one caution for each rule."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from nesting.steps import Caution
from nesting.wall.draft import Draft
from nesting.wall.holder_screws import USUAL_INTO_CLEAT, bites
from nesting.wall.styles import gussets_under


def cautions(draft: Draft) -> Iterator[Caution]:
    """Yield the cautions of a holder that can be built; ``where`` is its name."""
    for code, text in _told(draft):
        yield Caution(code, text, draft.holder.name)


def _told(draft: Draft) -> Iterator[tuple[str, str]]:
    project, section, screw = draft.project, draft.section, draft.screw
    sold = sorted({stock.thickness for stock in project.stocks if project.suits(draft.asked, stock)})
    if len(sold) > 1:
        yield (
            "mixed_thickness",
            f"Stock for it measures {' or '.join(draft.length(value) for value in sold)}: its joints allow for "
            f"{draft.length(draft.t)}. Cut all its parts from one thickness, or fit them to each other.",
        )
    if screw.through:
        usual = draft.length(USUAL_INTO_CLEAT[project.unit])
        out = draft.at_least(screw.through)
        yield (
            "holder_screw_through",
            f"The usual screw of {usual} would come through the cleat by {out}: use {draft.length(screw.length)}.",
        )
    if not bites(screw, project.unit):
        yield (
            "holder_screw_short",
            f"A screw of {draft.length(screw.length)} stands only {draft.length(max(screw.bite, Fraction(0)))} in the "
            "cleat: glue the cleat on and drive its screws from behind, through the cleat into the back.",
        )
    pad = draft.holder.height - section.contact
    if draft.arm > section.slope * pad:
        yield (
            "friction_holds",
            f"Only friction keeps it from swinging off its cleat: the middle of its contents stands "
            f"{draft.length(draft.arm)} out from the bevel, its foot bears {draft.length(pad)} below it. A back "
            f"{draft.at_least(section.contact + draft.arm / section.slope)} high would hold without friction.",
        )
    outer = draft.outer
    if outer.gussets and (draft.holder.style != "rack" or gussets_under(outer)):
        yield (
            "diagonal_cut",
            "Its gussets are cut corner to corner with a jigsaw, a band saw or a guided saw, the piece clamped, never "
            "freehand at the table saw; half the kerf lies on either side of the line.",
        )
    elif outer.gussets:
        yield (
            "no_gussets",
            "Its back leaves no room for gussets under the shelf; the shelf is held by its joint with the back alone.",
        )
