"""One holder on the bench: its sizes worked out from the project, and how lengths of it are told."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from nesting.lengths import show_length
from nesting.project.holder_keys import USUAL_CELLS, Holder
from nesting.project.model import Project
from nesting.trade.saw import inches
from nesting.wall.drilling import Board
from nesting.wall.holder_screws import IntoCleat, into_cleat
from nesting.wall.section import Section, measured, section_of
from nesting.wall.styles import Outside, gussets_under


@dataclass(frozen=True)
class Draft:
    """One holder of a project; everything about it is worked out when it is asked for."""

    project: Project
    holder: Holder

    @cached_property
    def section(self) -> Section:
        """The cleats seen from the side."""
        return section_of(self.project)

    @property
    def asked(self) -> Fraction:
        """Thickness as the project asks for it."""
        return self.holder.thickness or self.project.cleats.thickness

    @cached_property
    def t(self) -> Fraction:
        """Thickness as measured."""
        return measured(self.project, self.asked)

    @property
    def depth(self) -> Fraction:
        """From the rear of the back to the front, over all."""
        return self.holder.deep(self.project.unit) or self.t

    @property
    def outer(self) -> Outside:
        """Its outer size and what else its style needs."""
        holder, head = self.holder, self.project.project
        cells = (holder.cells or USUAL_CELLS) if holder.style == "bin" else 1
        size = (holder.width, holder.height, self.depth, self.t)
        return Outside(*size, cells, holder.has_gussets, head.unit, head.fence_step)

    @property
    def screw(self) -> IntoCleat:
        """The screw through the back into the cleat."""
        return into_cleat(self.t, self.section.thickness, self.project.unit, self.holder.screws.length)

    @property
    def arm(self) -> Fraction:
        """From the middle of the bevel to the middle of the contents."""
        closed = self.holder.style in ("box", "bin")
        middle = self.depth / 2 if closed else (self.depth + self.t) / 2
        return self.section.thickness / 2 + middle

    def inches(self, value: Fraction | int) -> Fraction:
        """Return a size of the trade in the document's unit; a rounder one of millimetres."""
        return inches(value, "in") if self.project.unit == "in" else Fraction(25) * value

    @cached_property
    def board(self) -> Board:
        """The drilled board of a rack."""
        outer = self.outer
        ends = self.t if outer.gussets and gussets_under(outer) else Fraction(0)
        return Board(self.holder.width, self.depth - self.t, ends, self.project.unit)

    @property
    def slot_length(self) -> Fraction:
        """How far a rack's slots run in from the front edge."""
        slots = self.holder.slots
        if slots is None or slots.length is None:
            return self.board.depth / 2
        return slots.length

    @property
    def mark(self) -> Fraction:
        """Finest length that is shown to a person."""
        return self.project.project.fence_step if self.project.unit == "in" else Fraction(1, 10)

    def length(self, value: Fraction) -> str:
        """Return a length with its unit."""
        return f"{show_length(value, self.project.unit, self.project.project.fence_step)} {self.project.unit}"

    def at_least(self, value: Fraction) -> str:
        """Return a length with its unit, rounded up to what can be shown."""
        return self.length(-(-value // self.mark) * self.mark)

    def at_most(self, value: Fraction) -> str:
        """Return a length with its unit, rounded down to what can be shown."""
        return self.length(value // self.mark * self.mark)
