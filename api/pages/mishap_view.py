"""What went wrong at a job as its page shows it: pieces lost and measured, what of it is missing now, what to tell.

Pure: a plan and the record of its work go in.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from api.pages.saw_view import piece_name
from nesting.draw.subject import rule_of
from nesting.paper.words import shown, together
from nesting.plan import Plan
from nesting.progress.ground import ground
from nesting.progress.record import Progress
from nesting.progress.standing import existing, lost_pieces, standing

MOST_REST: Final = 3
"""Rows for what is left of a piece that the form offers."""


@dataclass(frozen=True, slots=True)
class Choice:
    """A piece that is there, and can be told of."""

    piece: str
    name: str


@dataclass(frozen=True, slots=True)
class Told:
    """What was told of a piece."""

    piece: str
    name: str
    words: str
    note: str


@dataclass(frozen=True, slots=True)
class Mishaps:
    """What the page shows; ``missing``: parts that the steps still open do not give, empty where the plan stands."""

    told: tuple[Told, ...]
    missing: tuple[str, ...]
    choices: tuple[Choice, ...]
    unit: str


def mishaps(plan: Plan, progress: Progress, step: int | None = None) -> Mishaps:
    """Return what went wrong so far, and which pieces can be told of: those of one step first, where one is named."""
    seen = ground(plan)
    there = existing(seen, frozenset(progress.done))
    lost = lost_pieces(plan, progress, seen)
    rule = rule_of(plan)

    def rest(sides: Sequence[tuple[float, float]]) -> str:
        sizes = " and ".join(together(rule.size(one)) for one in sides)
        return (
            f"{sizes} {plan.unit} of it {'is' if len(sides) == 1 else 'are'} left" if sides else "nothing of it is left"
        )

    told = [
        Told(one.piece, piece_name(plan, one.piece), f"spoiled, {rest(one.left)}", shown(one.note, 500))
        for one in progress.spoiled
    ]
    for size in progress.measured:
        verdict = "too small, so it counts as lost" if size.piece in lost else "that will do"
        words = f"measured {together(rule.size((size.length, size.width)))} {plan.unit}: {verdict}"
        told.append(Told(size.piece, piece_name(plan, size.piece), words, ""))
    makes = seen.steps[step].makes if step in seen.steps else ()
    order = [*makes, *(piece for piece in sorted(there, key=_in_order) if piece not in makes)]
    spoiled = {one.piece for one in progress.spoiled}
    free = [piece for piece in order if piece in there and piece not in spoiled]
    return Mishaps(
        told=tuple(told),
        missing=_missing(standing(plan, progress).lost),
        choices=tuple(Choice(piece, piece_name(plan, piece)) for piece in free),
        unit=plan.unit,
    )


def _missing(lost: Mapping[str, int]) -> tuple[str, ...]:
    return tuple(f"{count} × {shown(name, 60)}" for name, count in sorted(lost.items()))


def _in_order(piece: str) -> tuple[tuple[int, str], ...]:
    """Return what sorts ids as people count: A1.2 before A1.10."""
    return tuple((int(word), "") if word.isdecimal() else (-1, word) for word in piece.split("."))
