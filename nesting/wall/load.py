"""Will it hold? Every check of a fitted wall as a row: holders as placed, pieces of cleat, rows, the wall.

An estimate by published methods, not an engineered rating: what it leaves out is said beside it
(:mod:`nesting.wall.load_cautions`).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Final

from nesting.errors import CannotBeDone
from nesting.project.model import Project
from nesting.project.wall_rules import broken_holder_rules
from nesting.steps import Caution
from nesting.strength.units import inches
from nesting.wall import cleat_load, holder_load, load_remedies, shelf_load
from nesting.wall.built import Built
from nesting.wall.holders import build
from nesting.wall.load_cautions import cautions
from nesting.wall.load_facts import HolderFacts, WallFacts
from nesting.wall.load_gather import Hangs, exact, holder_facts, piece_facts, wall_facts
from nesting.wall.load_rows import WARN, Check, LoadRow, Words, load_row
from nesting.wall.load_totals import TOTAL, totals
from nesting.wall.naming import HungPiece

_AT_HOLDER: Final = {
    holder_load.SEATED: holder_load.seated,
    holder_load.CLEAT_SCREWS: holder_load.cleat_screws,
    holder_load.BACK: holder_load.back_bends,
    holder_load.BEARING: holder_load.bearing,
    shelf_load.JOINT: shelf_load.joint,
}
_AT_PIECE: Final = {
    cleat_load.STUD: cleat_load.at_worst_stud,
    cleat_load.HEADS: cleat_load.heads,
    cleat_load.BENDS: cleat_load.bends,
    cleat_load.BEARING: cleat_load.bearing,
}


@dataclass(frozen=True, slots=True)
class Loads:
    """The load table, and what to say beside it."""

    rows: tuple[LoadRow, ...]
    cautions: tuple[Caution, ...]


def loads(project: Project, built: Sequence[Built], pieces: Sequence[HungPiece], hung: Sequence[Hangs]) -> Loads:
    """Return every check of a project's holders where they hang and of the pieces that carry them.

    Of a project without a wall, of its holders as they are built. Copies of a holder share its rows, which are those of
    the copy whose back bears least deep.
    """
    return _Table(project, built, pieces, hung).loads()


class _Table:
    """Everything that is known of one wall, to be checked and checked again with changes."""

    def __init__(
        self, project: Project, built: Sequence[Built], pieces: Sequence[HungPiece], hung: Sequence[Hangs]
    ) -> None:
        self.project = project
        self.words = Words(project.unit, project.project.fence_step)
        self.wall = wall_facts(project)
        self.feet: dict[str, list[str]] = defaultdict(list)
        for one in hung:
            self.feet[one.holder].append(one.foot)
        self.holders: Mapping[str, HolderFacts] = {
            one.name: holder_facts(project, one, self.feet[one.name])
            for one in built
            if project.wall is None or self.feet[one.name]
        }
        self.pieces = piece_facts(project, pieces, hung, self.holders)
        self.on_row: dict[int, list[HolderFacts]] = defaultdict(list)
        for one in hung:
            self.on_row[one.row].append(self.holders[one.holder])

    def loads(self) -> Loads:
        """Return the table and the cautions."""
        rows = tuple(load_row(check, self.project.unit, self._remedy(check)) for check in self._checks())
        return Loads(rows, tuple(cautions(self.project, self.wall, rows)))

    def _checks(self) -> Iterator[Check]:
        if self.pieces:
            yield cleat_load.reach(self.wall, self.words)
        for holder in self.holders.values():
            yield from holder_load.holder_checks(holder, self.wall, self.words)
            yield from shelf_load.shelf_checks(holder, self.wall, self.words)
        for piece in self.pieces:
            if piece.holders:
                yield from cleat_load.piece_checks(piece, self.wall, self.words)
        if self.pieces:
            yield from totals(self.pieces, self.on_row, self.wall, self.words)

    # -- remedies

    def _remedy(self, check: Check) -> str:
        if check.ratio <= WARN:
            return ""
        return load_remedies.smallest(list(self._changes(check)), check.ratio)

    def _changes(self, check: Check) -> Iterator[load_remedies.Change]:
        if check.check == cleat_load.REACH:
            yield from load_remedies.for_reach(partial(cleat_load.reach, words=self.words), self.wall, self.words)
        elif check.check in _AT_PIECE:
            piece = next(piece for piece in self.pieces if piece.name == check.item)
            again = partial(_AT_PIECE[check.check], words=self.words)
            yield from load_remedies.for_piece(again, piece, self.wall, self.words, self._remade)
        elif check.check == TOTAL:
            yield from load_remedies.for_total(partial(self._total, check.item), self.wall, self.words)
        else:
            yield from self._at_holder(check, self.holders[check.item])

    def _at_holder(self, check: Check, holder: HolderFacts) -> Iterator[load_remedies.Change]:
        words, remade = self.words, self._remade
        again = partial(self._again, check.check)
        if check.check in (holder_load.SEATED, holder_load.BACK, holder_load.BEARING):
            yield from load_remedies.for_hook(again, holder, words, remade)
        elif check.check in (holder_load.CLEAT_SCREWS, shelf_load.JOINT):
            through = "back" if check.check == shelf_load.JOINT else ""
            yield from load_remedies.for_screws(again, holder, words, remade, through)
        elif check.check in (shelf_load.HANGS, shelf_load.BOTTOM):
            yield from load_remedies.for_screws(
                again, holder, words, remade, "shelf" if holder.style == "shelf" else "back"
            )
        else:
            measured = sorted({inches(stock.thickness, self.project.unit) for stock in self.project.stocks})
            yield from load_remedies.for_board(again, holder, words, remade, measured)

    def _again(self, name: str, holder: HolderFacts) -> Check:
        """Make one check of a changed holder; what it has no longer is no longer checked."""
        if name in _AT_HOLDER:
            return _AT_HOLDER[name](holder, self.wall, self.words)
        found = (check for check in shelf_load.shelf_checks(holder, self.wall, self.words) if check.check == name)
        return next(found, Check(holder.name, name, 0.0, 1.0, "force", "", "", ""))

    def _total(self, item: str, wall: WallFacts) -> Check:
        found = totals(self.pieces, self.on_row, wall, self.words)
        return next(check for check in found if check.item == item)

    def _remade(self, holder: HolderFacts, changes: dict[str, float | bool]) -> HolderFacts | None:
        """Build a holder again with changed keys; None where it cannot be built so."""
        asked = next(one for one in self.project.holder if one.name == holder.name)
        unit = self.project.unit
        keys = {key: value if isinstance(value, bool) else exact(value, unit) for key, value in changes.items()}
        changed = asked.model_copy(update=keys)
        if any(broken_holder_rules((), changed, self.project.cleats, unit)):
            return None
        others = tuple(changed if one is asked else one for one in self.project.holder)
        try:
            built = build(self.project.model_copy(update={"holder": others}), changed)
        except CannotBeDone:
            return None
        return holder_facts(self.project, built, self.feet[holder.name])
