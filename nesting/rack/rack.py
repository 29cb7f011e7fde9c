"""The rack as data: its pieces, what is worth keeping, and the changes that can be taken back.

Every change says what it takes and what it gives, whole pieces both; taking it back is giving what it took.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from pydantic import Field

from nesting.errors import BadInput, Fault
from nesting.lengths import Unit, said
from nesting.project.faults import fault, nearest
from nesting.project.fields import Length
from nesting.project.table import Table, usual
from nesting.rack.piece import MOST_PIECES, RackPiece, size_in
from nesting.trade.offcuts import USUAL_SMALLEST, worth_keeping

MOST_REMEMBERED: Final = 100
"""Changes that can be taken back."""
PREFIX: Final = "R-"


class Smallest(Table):
    """The smallest leftover worth keeping; which side is which does not matter."""

    unit: Unit = Field(default="in", description='"in" or "mm": the unit of bare numbers. Default: "in".')
    length: Length = usual("12", "305", "Longer side at least.")
    width: Length = usual("3", "76", "Shorter side at least.")

    def holds(self, length: Fraction, width: Fraction, unit: Unit) -> bool:
        """Whether a leftover of this size goes to the rack.

        >>> USUAL.holds(Fraction(3), Fraction(14), "in"), USUAL.holds(Fraction(300), Fraction(300), "mm")
        (True, False)
        """
        sides = size_in(self.length, self.unit, unit), size_in(self.width, self.unit, unit)
        return worth_keeping(length, width, unit, (max(sides), min(sides)))


_LONGER, _SHORTER = USUAL_SMALLEST["in"]
USUAL: Final = Smallest.model_validate({"length": _LONGER, "width": _SHORTER}, context={"unit": "in"})


@dataclass(frozen=True, slots=True)
class Change:
    """What left the rack and what came into it, and why; ``plan`` names the plan it belongs to, if any."""

    words: str
    taken: tuple[RackPiece, ...] = ()
    given: tuple[RackPiece, ...] = ()
    plan: str = ""

    @property
    def back(self) -> Change:
        """The change that takes this one back."""
        return Change(f"taken back: {self.words}", self.given, self.taken, self.plan)


@dataclass(frozen=True, slots=True)
class Rack:
    """A whole rack; ``numbered`` is the last number given as a label, ``history`` ends with the latest change."""

    pieces: tuple[RackPiece, ...] = ()
    smallest: Smallest = USUAL
    numbered: int = 0
    history: tuple[Change, ...] = ()

    @property
    def by_label(self) -> Mapping[str, RackPiece]:
        """The pieces by their labels."""
        return {piece.label: piece for piece in self.pieces}

    def numbers(self) -> Numbers:
        """Return what gives labels that no piece here bears or bore."""
        return Numbers(self.numbered, {piece.label for piece in self.pieces})


class Numbers:
    """Gives one label after the other.

    >>> numbers = Numbers(3, {"R-5"})
    >>> numbers(), numbers(), numbers.last
    ('R-4', 'R-6', 6)
    """

    def __init__(self, last: int, taken: Iterable[str]) -> None:
        self.last, self._taken = last, frozenset(taken)

    def __call__(self) -> str:
        """Return the next label."""
        self.last += 1
        while f"{PREFIX}{self.last}" in self._taken:
            self.last += 1
        return f"{PREFIX}{self.last}"


Fresh = Callable[[], str]


def applied(pieces: Iterable[RackPiece], change: Change) -> tuple[RackPiece, ...]:
    """Return the pieces after a change, by label; raises :class:`~nesting.errors.BadInput` with every hindrance.

    A piece that is to be taken must be there as the change knows it, and no label may come twice.
    """
    kept = {piece.label: piece for piece in pieces}
    faults: list[Fault] = []
    for piece in change.taken:
        there = kept.pop(piece.label, None)
        if there is None:
            faults.append(fault((piece.label,), "is not in the rack any more"))
        elif there != piece:
            faults.append(fault((piece.label,), "has been changed since"))
    for piece in change.given:
        if piece.label in kept:
            faults.append(fault((piece.label,), "is in the rack already", "a label of its own"))
        kept[piece.label] = piece
    if len(kept) > MOST_PIECES:
        faults.append(fault((), f"{len(kept):,} pieces are too many for one rack", f"at most {MOST_PIECES:,}"))
    if faults:
        raise BadInput(faults)
    return tuple(kept[label] for label in sorted(kept, key=in_order))


def changed(rack: Rack, change: Change, numbered: int | None = None) -> Rack:
    """Return the rack after a change, which it remembers; raises as :func:`applied` does.

    ``numbered`` is the last number that was given as a label for it.
    """
    return replace(
        rack,
        pieces=applied(rack.pieces, change),
        numbered=rack.numbered if numbered is None else max(numbered, rack.numbered),
        history=(*rack.history, change)[-MOST_REMEMBERED:],
    )


def undone(rack: Rack) -> tuple[Rack, Change]:
    """Return the rack before its latest change, and that change; raises :class:`~nesting.errors.BadInput`."""
    if not rack.history:
        raise BadInput([Fault("", "", "there is nothing to take back")])
    latest = rack.history[-1]
    return replace(rack, pieces=applied(rack.pieces, latest.back), history=rack.history[:-1]), latest


def without(rack: Rack, plan: str) -> Rack:
    """Return the rack with the change that belongs to a plan taken back, if it remembers one.

    Raises :class:`~nesting.errors.BadInput` where a piece that came then is gone or changed since.
    """
    mine = next((change for change in reversed(rack.history) if change.plan == plan), None)
    if mine is None:
        return rack
    kept = tuple(change for change in rack.history if change is not mine)
    return replace(rack, pieces=applied(rack.pieces, mine.back), history=kept)


def found(pieces: Mapping[str, RackPiece], labels: Iterable[str]) -> tuple[RackPiece, ...]:
    """Return the pieces of these labels; raises :class:`~nesting.errors.BadInput` with each that is not there."""
    labels = tuple(dict.fromkeys(labels))
    faults = []
    spelt = {label.lower(): label for label in pieces}
    for label in labels:
        if label not in pieces:
            like = spelt.get(nearest(label, spelt) or "")
            faults.append(Fault(said(label), "", "is not in the rack" + (f"; did you mean {like}?" if like else "")))
    if faults:
        raise BadInput(faults)
    return tuple(pieces[label] for label in labels)


def in_order(label: str) -> tuple[str, int, str]:
    """Return the key by which labels stand in order, numbers as numbers.

    >>> sorted(["R-10", "R-9", "B"], key=in_order)
    ['B', 'R-9', 'R-10']
    """
    head = label.rstrip("0123456789")
    return head, int(label[len(head) :] or -1), label
