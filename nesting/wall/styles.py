"""The styles of tool holder as boards: which parts there are, how large, and which runs past which.

All joints are butt joints, glued and screwed. Sizes: ``width`` along the wall, ``height`` of the back, ``depth`` from
the rear of the back to the front, over all; ``t`` the measured thickness of every part. The ways of building are
common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from nesting.lengths import Unit
from nesting.project.holder_keys import Style
from nesting.project.model import PartGrain
from nesting.trade.saw import inches


@dataclass(frozen=True, slots=True)
class Outside:
    """The outer size of a holder; ``step`` is the finest mark, on which derived sizes are set where they are free."""

    width: Fraction
    height: Fraction
    depth: Fraction
    t: Fraction
    cells: int
    gussets: bool
    unit: Unit
    step: Fraction


@dataclass(frozen=True, slots=True)
class Made:
    """One kind of part of one holder: ``length`` by ``width``, ``count`` of them, and what to know of it."""

    what: str
    length: Fraction
    width: Fraction
    count: int
    grain: PartGrain
    note: str = ""


@dataclass(frozen=True, slots=True)
class Joint:
    """One butt joint: screws go through one part into the edge of another along ``length``; ``count`` of them."""

    through: str
    into: str
    length: Fraction
    count: int = 1


@dataclass(frozen=True, slots=True)
class Boards:
    """A holder as boards: parts, joints, the legs of its gussets (None: it has none), and how it goes together."""

    parts: tuple[Made, ...]
    joints: tuple[Joint, ...]
    legs: tuple[Fraction, Fraction] | None
    words: tuple[str, ...]


def inside(outer: Outside, style: Style) -> dict[str, Fraction]:
    """Return the clear sizes inside a holder by the key that each depends on, least first; none may be too small.

    >>> box = Outside(Fraction(12), Fraction(6), Fraction(5), Fraction(1, 2), 1, False, "in", Fraction(1, 32))
    >>> {key: str(size) for key, size in inside(box, "box").items()}
    {'width': '11', 'depth': '4', 'height': '11/2'}
    """
    width, height, depth, t = outer.width, outer.height, outer.depth, outer.t
    if style == "back":
        return {}
    if style == "box":
        return {"width": width - 2 * t, "depth": depth - 2 * t, "height": height - t}
    if style == "bin":
        cell = (width - (outer.cells + 1) * t) / outer.cells
        return {"cells": cell, "depth": depth - 2 * t, "height": height - t}
    if style == "bracket":
        return {"width": width - 2 * t, "depth": depth - t, "height": height - arm_height(outer)}
    if style == "rack":
        return {"depth": depth - t, "height": height / 2 - t}
    return {"depth": depth - t, "height": height - t}


def arm_height(outer: Outside) -> Fraction:
    """Return the height of a bracket's arms: half that of its back, on the mark below."""
    return outer.height / 2 // outer.step * outer.step


def boards(outer: Outside, style: Style) -> Boards:
    """Return a holder as boards. The sizes must have been found possible (:func:`inside`).

    >>> shelf = Outside(Fraction(24), Fraction(10), Fraction(8), Fraction(1, 2), 1, True, "in", Fraction(1, 32))
    >>> for part in boards(shelf, "shelf").parts:
    ...     print(part.count, part.what, part.length, "×", part.width)
    1 back 24 × 10
    1 shelf 24 × 15/2
    """
    return _STYLES[style](outer)


def _back(outer: Outside) -> Made:
    return Made("back", outer.width, outer.height, 1, "length", "its upper edge is flush with that of the cleat")


def _flat(outer: Outside) -> Boards:
    return Boards((_back(outer),), (), None, ("The back is a flat board; what it carries is screwed to its front.",))


def _shelf(outer: Outside) -> Boards:
    deep = outer.depth - outer.t
    shelf = Made("shelf", outer.width, deep, 1, "length", "face grain along the wall, the way it spans")
    words = ["The back runs past the shelf: the shelf butts against its front, flush with its lower edge and its ends."]
    joints = [Joint("back", "shelf", outer.width)]
    legs = None
    if outer.gussets:
        legs = (min(deep, outer.height - outer.t), deep)
        words.append("A gusset stands on the shelf at each end, flush with it, its upright edge against the back.")
        joints += [Joint("back", "gusset", legs[0], 2), Joint("shelf", "gusset", legs[1], 2)]
    return Boards((_back(outer), shelf), tuple(joints), legs, tuple(words))


def _rack(outer: Outside) -> Boards:
    deep = outer.depth - outer.t
    shelf = Made("shelf", outer.width, deep, 1, "length", "drilled before it is put together")
    words = [
        "The back runs past the shelf: the shelf butts against its front, flush with its ends, "
        "its upper face at half the height of the back, so that blades hang and handles stand in front of the back."
    ]
    joints = [Joint("back", "shelf", outer.width)]
    legs = None
    if outer.gussets and gussets_under(outer):
        legs = (min(deep, outer.height / 2 - outer.t), deep)
        words.append("A gusset stands under the shelf at each end, flush with it, its upright edge against the back.")
        joints += [Joint("back", "gusset", legs[0], 2), Joint("shelf", "gusset", legs[1], 2)]
    return Boards((_back(outer), shelf), tuple(joints), legs, tuple(words))


def gussets_under(outer: Outside) -> bool:
    """Whether gussets find room under a rack's shelf: 1 in (25.4 mm) of back or more below it."""
    return outer.height / 2 - outer.t >= inches(1, outer.unit)


def _box(outer: Outside) -> Boards:
    width, height, depth, t = outer.width, outer.height, outer.depth, outer.t
    parts = (
        _back(outer),
        Made("front", width, height, 1, "length"),
        Made("end", depth - 2 * t, height, 2, "any"),
        Made("bottom", width - 2 * t, depth - 2 * t, 1, "length", "face grain along the wall, the way it spans"),
    )
    joints = (
        Joint("back", "end", height, 2),
        Joint("front", "end", height, 2),
        Joint("back", "bottom", width - 2 * t),
        Joint("front", "bottom", width - 2 * t),
        Joint("end", "bottom", depth - 2 * t, 2),
    )
    words = (
        "Back and front run past the ends: the ends butt between them, flush with their edges.",
        "All four run down past the bottom: the bottom sits between them, flush with their lower edges, so that its "
        "screws are loaded across and not along.",
    )
    return Boards(parts, joints, None, words)


def _bin(outer: Outside) -> Boards:
    box = _box(outer)
    count = outer.cells - 1
    if not count:
        return box
    deep, tall = outer.depth - 2 * outer.t, outer.height - outer.t
    divider = Made("divider", deep, tall, count, "any")
    joints = (Joint("back", "divider", tall, count), Joint("front", "divider", tall, count))
    words = (*box.words, "The dividers stand on the bottom between back and front, the cells all equally wide.")
    return Boards((*box.parts, divider), box.joints + joints, None, words)


def _bracket(outer: Outside) -> Boards:
    deep, tall = outer.depth - outer.t, arm_height(outer)
    arm = Made("arm", deep, tall, 2, "length", "face grain along the arm; ease its upper front corner")
    words = (
        "The back runs past the two arms: each stands on edge against its front, flush with the foot and one end.",
        "Long stock lies on the arms against the upper half of the back; fix a stop to their ends if it may roll.",
    )
    return Boards((_back(outer), arm), (Joint("back", "arm", tall, 2),), None, words)


_STYLES: Final[Mapping[Style, Callable[[Outside], Boards]]] = {
    "back": _flat,
    "shelf": _shelf,
    "rack": _rack,
    "box": _box,
    "bin": _bin,
    "bracket": _bracket,
}
