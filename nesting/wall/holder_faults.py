"""Why a holder cannot be built: every reason with the key it is about and what would help."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Final

from nesting.errors import Fault
from nesting.project.faults import fault
from nesting.wall.draft import Draft
from nesting.wall.holder_screws import into_cleat
from nesting.wall.styles import inside

LEAST_INSIDE: Final = Fraction(1, 2)
"""Inches (12.5 mm) that must be left inside a holder, room for a finger: common practice, no source."""
LEAST_WIDTH: Final = 2
"""Inches (50 mm) of cleat that take two screws: common practice, no source."""
_WHERE: Final = {
    "width": "between its sides",
    "depth": "in front of its back",
    "height": "above or below what it carries on",
    "cells": "in each cell",
}


def faults(draft: Draft) -> Iterator[Fault]:
    """Yield every reason why a holder cannot be built, in the order of its keys."""
    holder, section = draft.holder, draft.section
    if holder.width < (least := draft.inches(LEAST_WIDTH)):
        yield _fault(draft, "width", "is too narrow for two screws in its cleat", f"at least {draft.length(least)}")
    covered = holder.height >= section.holder_height
    if not covered:
        back, cleat = draft.length(holder.height), draft.length(section.holder_height)
        wrong = f"has a back of {back}, lower than its cleat of {cleat}"
        yield _fault(draft, "height", wrong, f"at least {cleat}; more gives it a foot")
    cramped = list(_cramped(draft))
    yield from cramped
    if not cramped and covered:
        yield from _swings_off(draft)
    if holder.style == "rack" and not cramped:
        yield from _holes_crowded(draft)
        yield from _slots_crowded(draft)
    yield from _screw_misses(draft)


def _fault(draft: Draft, key: str, message: str, accepted: str) -> Fault:
    index = next(i for i, other in enumerate(draft.project.holder) if other is draft.holder)
    return fault(("holder", index, key), f"{draft.holder.name!r} {message}", accepted)


def _cramped(draft: Draft) -> Iterator[Fault]:
    """Yield what its own thickness leaves no room for."""
    least, t = draft.inches(LEAST_INSIDE), draft.t
    for key, size in inside(draft.outer, draft.holder.style).items():
        if size >= least:
            continue
        left = f"{draft.length(size)} is left" if size > 0 else "nothing is left"
        wrong = f"of parts {draft.length(t)} thick: {left} {_WHERE[key]}, less than {draft.length(least)}"
        yield _fault(draft, key, wrong, _roomier(draft, key, least - size))


def _roomier(draft: Draft, key: str, short: Fraction) -> str:
    least, t = draft.inches(LEAST_INSIDE), draft.t
    if key == "cells":
        most = (draft.holder.width - t) // (least + t)
        return f"at most {most} cells, a wider bin or thinner parts" if most > 0 else "a wider bin, or thinner parts"
    if key == "depth":
        return f"at least {draft.at_least(draft.depth + short)}, or thinner parts"
    if key == "width":
        return f"at least {draft.at_least(draft.holder.width + short)}, or thinner parts"
    return "a higher back, or thinner parts"


def _swings_off(draft: Draft) -> Iterator[Fault]:
    """Yield a fault where a holder is deeper than its own back can hold, however well its foot bears."""
    steepest, pad = draft.section.steepest, draft.holder.height - draft.section.contact
    if steepest is None or draft.arm <= steepest * pad:
        return
    higher = draft.section.contact + draft.arm / steepest
    shallower = draft.depth - 2 * (draft.arm - steepest * pad)
    thinnest = draft.t * (3 if draft.holder.style in ("box", "bin") else 2)
    room = f", or a depth of at most {draft.at_most(shallower)}" if shallower > thinnest else ""
    wrong = (
        f"is deeper than its own back can hold: the middle of its contents stands {draft.length(draft.arm)} out from "
        f"the bevel, its foot bears only {draft.length(pad)} below it, and beyond {float(steepest):.2f} times that it "
        "swings off its cleat"
    )
    yield _fault(draft, "depth", wrong, f"a back at least {draft.at_least(higher)} high{room}")


def _holes_crowded(draft: Draft) -> Iterator[Fault]:
    holes, board = draft.holder.holes, draft.board
    if holes is None:
        if draft.holder.slots is None:
            yield _fault(draft, "holes", "is a rack without holes or slots", "holes or slots; a shelf needs neither")
        return
    most, deep = board.most_along(holes.diameter), board.most_rows(holes.diameter)
    if -(-holes.count // holes.rows) <= most and holes.rows <= deep:
        return
    accepted = "smaller holes, or a wider and deeper rack"
    if most and deep:
        accepted = f"at most {most} in a row and {deep} {_rows(deep)}, {most * deep} in all; or a larger rack"
    wrong = (
        f"has {holes.count} holes of {draft.length(holes.diameter)} in {holes.rows} {_rows(holes.rows)}: they do not "
        f"fit on its shelf of {draft.length(board.length)} × {draft.length(board.depth)} with "
        f"{draft.length(board.web(holes.diameter))} of wood around each"
    )
    yield _fault(draft, "holes", wrong, accepted)


def _rows(count: int) -> str:
    return "row" if count == 1 else "rows"


def _slots_crowded(draft: Draft) -> Iterator[Fault]:
    slots, board = draft.holder.slots, draft.board
    if slots is None:
        return
    most, longest, length = board.most_along(slots.width), board.depth - board.web(slots.width), draft.slot_length
    if slots.count > most:
        long = draft.length(board.length)
        wrong = f"has {slots.count} slots of {draft.length(slots.width)}, too many for its shelf {long} long"
        accepted = f"at most {most} of that width, or a wider rack" if most else "narrower slots, or a wider rack"
        yield _fault(draft, "slots", wrong, accepted)
    if length > longest or length < slots.width:
        what = "leave too little wood behind them" if length > longest else "are shorter than they are wide"
        accepted = f"from {draft.at_least(slots.width)} to {draft.at_most(longest)}"
        if longest < slots.width:
            accepted = "narrower slots, or a deeper rack"
        yield _fault(draft, "slots", f"has slots {draft.length(length)} long, which {what}", accepted)


def _screw_misses(draft: Draft) -> Iterator[Fault]:
    """Yield a fault where the screw asked for comes through the cleat or does not reach it."""
    asked, t, cleat = draft.holder.screws.length, draft.t, draft.section.thickness
    if asked is None or t < asked <= t + cleat:
        return
    best = draft.length(into_cleat(t, cleat, draft.project.unit).length)
    wrong = "has screws that do not reach its cleat"
    if asked > t:
        wrong = f"has screws that come through its cleat by {draft.at_least(asked - t - cleat)}"
    accepted = f"more than {draft.length(t)} and at most {draft.at_most(t + cleat)}; usual here: {best}"
    yield _fault(draft, "screws", wrong, accepted)
