"""From a holder as it is asked for to a holder as it is built, or why it cannot be, reason by reason."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from nesting.errors import CannotBeDone, Fault
from nesting.project.holder_keys import Holder
from nesting.project.model import Project
from nesting.wall.built import Built, BuiltPart, HolderCleat
from nesting.wall.draft import Draft
from nesting.wall.drilling import Hole
from nesting.wall.gussets import DiagonalCut, for_two
from nesting.wall.holder_cautions import cautions
from nesting.wall.holder_faults import faults
from nesting.wall.holder_screws import HolderScrews, into_holder_cleat, into_joints
from nesting.wall.styles import Boards, boards

SPACER: Final = Fraction(3, 2)
LEAST_SPACER: Final = Fraction(1, 2)
"""Height of a spacer in inches, or as many times 25 mm, and the least worth cutting: common practice, no source."""
_FLUSH: Final = "The cleat is glued and screwed behind the back, its bevel down, its upper edge flush with the back's."


def build(project: Project, holder: Holder) -> Built:
    """Return one holder of a project as it is built.

    Raises :class:`~nesting.errors.CannotBeDone` with every reason, each with the key it is about.
    """
    draft = Draft(project, holder)
    if wrong := list(faults(draft)):
        raise CannotBeDone([str(reason) for reason in wrong])
    return _built(draft)


def build_all(project: Project) -> tuple[tuple[Built, ...], tuple[Fault, ...]]:
    """Return the holders of a project that can be built, in its order, and why the others cannot be."""
    drafts = [Draft(project, holder) for holder in project.holder]
    wrong = [list(faults(draft)) for draft in drafts]
    built = tuple(_built(draft) for draft, reasons in zip(drafts, wrong, strict=True) if not reasons)
    return built, tuple(reason for reasons in wrong for reason in reasons)


def _built(draft: Draft) -> Built:
    holder, section = draft.holder, draft.section
    made, spacer = boards(draft.outer, holder.style), _spacer(draft)
    gussets = _gussets(draft, made)
    return Built(
        holder,
        draft.t,
        (*_parts(draft, made), *(_gusset_part(draft, cut) for cut in gussets)),
        HolderCleat(f"{holder.name}: cleat", holder.width, holder.quantity),
        spacer,
        gussets,
        _drilling(draft),
        tuple(_screws(draft, made, spacer)),
        (*made.words, _FLUSH),
        draft.depth,
        section.top,
        section.rise,
        draft.arm,
        section.contact,
        tuple(cautions(draft)),
    )


def _parts(draft: Draft, made: Boards) -> list[BuiltPart]:
    name, copies = draft.holder.name, draft.holder.quantity
    return [
        BuiltPart(
            f"{name}: {part.what}", part.length, part.width, draft.asked, part.count * copies, part.grain, part.note
        )
        for part in made.parts
    ]


def _gussets(draft: Draft, made: Boards) -> tuple[DiagonalCut, ...]:
    if made.legs is None:
        return ()
    sides = for_two(*made.legs, draft.project.saw.kerf, draft.project.project.fence_step)
    return (DiagonalCut(f"{draft.holder.name}: gussets", *sides, *made.legs, draft.holder.quantity),)


def _gusset_part(draft: Draft, cut: DiagonalCut) -> BuiltPart:
    legs = f"{draft.length(cut.tall)} and {draft.length(cut.deep)}"
    note = f"cut corner to corner into two triangles with legs of {legs} or a mark more"
    return BuiltPart(cut.part, cut.length, cut.width, draft.asked, cut.quantity, "any", note)


def _spacer(draft: Draft) -> BuiltPart | None:
    height = draft.section.spacer(draft.holder.height, draft.inches(SPACER), draft.inches(LEAST_SPACER))
    if height is None:
        return None
    step = draft.project.project.fence_step
    return BuiltPart(
        f"{draft.holder.name}: spacer",
        draft.holder.width,
        height // step * step or height,
        draft.project.cleats.thickness,
        1,
        "any",
        "behind the foot and flush with it, as thick as the cleats, so that the holder hangs plumb",
    )


def _drilling(draft: Draft) -> tuple[Hole, ...]:
    holes, slots = draft.holder.holes, draft.holder.slots
    drilled = () if holes is None else draft.board.holes(holes.diameter, holes.count, holes.rows)
    return drilled + (() if slots is None else draft.board.slots(slots.width, draft.slot_length, slots.count))


def _screws(draft: Draft, made: Boards, spacer: BuiltPart | None) -> list[HolderScrews]:
    gauge, unit, length = draft.holder.screws.gauge, draft.project.unit, draft.screw.length
    screws = [into_holder_cleat(draft.holder.width, draft.screw, gauge, unit)]
    if spacer is not None:
        screws.append(HolderScrews("back into its spacer", 2, gauge, length, "from the front", spacer=True))
    return [*screws, *into_joints(made.joints, draft.t, gauge, unit)]
