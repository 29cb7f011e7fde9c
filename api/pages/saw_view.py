"""One setting of a saw as the phone at the bench shows it: what to set, what to cut, what is ticked, the way back.

Pure: a plan and the record of its work go in, what a page shows comes out. Whether a tick may be made is decided
where it is kept; here it is only shown.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace
from typing import Final

from nesting.draw.hand import SCREEN
from nesting.draw.ink import Page, to_svg
from nesting.draw.piece import piece_page
from nesting.draw.section import HEIGHT, WIDTH, section
from nesting.draw.setting import (
    WHAT,
    Setting,
    blade_words,
    made_words,
    off_the_mark,
    sentences,
    settings_of,
    side_of,
)
from nesting.draw.subject import rule_of
from nesting.paper.words import counted, shown, together
from nesting.plan import Plan, StepDocument
from nesting.progress.ground import Ground, ground
from nesting.progress.record import Progress
from nesting.progress.standing import lost_pieces, standing

_LETTERS: Final = 13.0
_LARGER: Final = 1.5
"""A phone is 390 pixels wide and a picture as wide as the phone: so nothing in it is below 18."""
_NAME: Final = 60
_HOLD: Final = {"table saw": "against the fence", "crosscut sled": "against the stop"}


@dataclass(frozen=True, slots=True)
class Cut:
    """One step.

    ``waits_for``: steps to be done before it. ``lost``: id of the piece that was spoiled, so that it cannot be done.
    ``kept_by``: why its tick cannot be taken back, in words, empty where it can.
    """

    n: int
    piece: str
    size: str
    side: str
    makes: str
    cautions: tuple[str, ...]
    picture: str
    alt: str
    done: bool
    waits_for: tuple[int, ...]
    lost: str
    kept_by: str

    @property
    def can_tick(self) -> bool:
        """Whether its piece exists."""
        return not (self.done or self.waits_for or self.lost)

    @property
    def can_untick(self) -> bool:
        """Whether nothing that was done since needs it."""
        return self.done and not self.kept_by


@dataclass(frozen=True, slots=True)
class Card:
    """One setting; ``before`` and ``after`` number its neighbours in working order, None at the ends."""

    number: int
    total: int
    station: str
    set_to: str
    unit: str
    what: str
    exactly: str
    blade: str
    section: str
    alt: str
    sentences: tuple[str, ...]
    cautions: tuple[str, ...]
    cuts: tuple[Cut, ...]
    before: int | None
    after: int | None

    @property
    def open(self) -> int:
        """How many of its cuts are not ticked."""
        return sum(not cut.done for cut in self.cuts)


@dataclass(frozen=True, slots=True)
class HowFar:
    """How far the work is, in steps."""

    done: int
    of: int

    @property
    def words(self) -> str:
        """Say it.

        >>> HowFar(3, 129).words, HowFar(1, 1).words
        ('3 of 129 cuts done', 'the only cut is done')
        """
        if self.of == 1:
            return "the only cut is done" if self.done else "one cut to make"
        return f"all {self.of} cuts are done" if self.done == self.of else f"{self.done} of {self.of} cuts done"


@dataclass(frozen=True, slots=True)
class Line:
    """One setting in a list of all."""

    number: int
    station: str
    set_to: str
    unit: str
    tilt: str
    cuts: str
    pieces: str
    done: int
    of: int


def how_far(plan: Plan, done: Collection[int]) -> HowFar:
    """Count the steps that are ticked."""
    return HowFar(sum(step.n in done for step in plan.steps), len(plan.steps))


def first_open(plan: Plan, progress: Progress) -> int | None:
    """Return the setting to go on with: that of the first step open, the last one where none is; None: no steps.

    A step whose piece is lost is not open.
    """
    steps = {step.n: step for step in plan.steps}
    still = standing(plan, progress).open_steps
    go_on = min(still, default=max(steps, default=None))
    return None if go_on is None else steps[go_on].setup


def card(plan: Plan, number: int, progress: Progress) -> Card | None:
    """Return one setting; None where the plan has none of that number."""
    settings = list(settings_of(plan))
    at = next((at for at, setting in enumerate(settings) if setting.number == number), None)
    if at is None:
        return None
    setting = settings[at]
    first, work = setting.first, _Work(plan, progress)
    cuts = tuple(_cut(work, setting, step) for step in setting.steps)
    shared = tuple(
        dict.fromkeys(
            caution for cut in cuts for caution in cut.cautions if all(caution in one.cautions for one in cuts)
        )
    )
    return Card(
        number=number,
        total=setting.total,
        station=first.station,
        set_to=setting.rule.length(first.setting),
        unit=setting.rule.unit,
        what=WHAT[first.station],
        exactly=off_the_mark(setting),
        blade=blade_words(setting),
        section=_drawn(Page(WIDTH, HEIGHT, _alt(setting), "", tuple(section(setting, 0.0, _LARGER)), "px")),
        alt=_alt(setting),
        sentences=tuple(sentences(setting)),
        cautions=tuple(map(together, shared)),
        cuts=tuple(_without(cut, shared) for cut in cuts),
        before=settings[at - 1].number if at else None,
        after=settings[at + 1].number if at + 1 < len(settings) else None,
    )


def all_settings(plan: Plan, done: Collection[int]) -> tuple[Line, ...]:
    """Return every setting in working order, with how much of it is ticked."""
    return tuple(
        Line(
            number=setting.number,
            station=setting.first.station,
            set_to=setting.rule.length(setting.first.setting),
            unit=setting.rule.unit,
            tilt=f"{setting.first.bevel:g}°" if setting.first.bevel else "square",
            cuts=counted(len(setting.steps), "cut"),
            pieces=_some([step.piece for step in setting.steps]),
            done=sum(step.n in done for step in setting.steps),
            of=len(setting.steps),
        )
        for setting in settings_of(plan)
    )


def piece_name(plan: Plan, piece: str) -> str:
    """Say what a piece is: its part's name and size, or that it is a leftover; empty where there is no such piece.

    ``piece`` is the id of a rectangle of some layout.
    """
    node = next((node for layout in plan.layouts for node in layout.tree.walk() if node.id == piece), None)
    if node is None:
        return ""
    size = together(rule_of(plan).size((node.length, node.width)))
    what = {"part": shown(node.part or "", _NAME) or "a part", "offcut": "a leftover to keep", "waste": "waste"}
    return f"{what.get(node.role, 'to be cut further')}, {size} {plan.unit}"


class _Work:
    """A plan and its record, looked over once."""

    def __init__(self, plan: Plan, progress: Progress) -> None:
        self.seen: Ground = ground(plan)
        self.done = frozenset(progress.done)
        self.lost = lost_pieces(plan, progress, self.seen)
        self.marked = {one.piece for one in progress.spoiled} | {one.piece for one in progress.measured}
        self.settled = 0 if plan.replaces is None else plan.replaces.done_steps

    def waits_for(self, step: StepDocument) -> tuple[int, ...]:
        """Return the steps not done that lead to a step's piece, in working order."""
        return tuple(n for n in self.seen.way_to(step.piece) if n not in self.done)

    def lost_before(self, step: StepDocument) -> str:
        """Return the spoiled piece that a step cuts, or that its piece was to come from; empty where none is."""
        at: str | None = step.piece
        while at is not None:
            if at in self.lost:
                return at
            at = self.seen.places[at].parent
        return ""

    def kept_by(self, step: StepDocument) -> str:
        """Say why a tick cannot be taken back."""
        if step.n <= self.settled:
            return "and the plan was made anew since"
        if any(self.seen.cutter.get(piece) in self.done for piece in step.makes):
            return "and what it made is cut up further"
        found = [shown(piece, 40) for piece in step.makes if piece in self.marked]
        return f"and {', '.join(found)} was told of since" if found else ""


def _cut(work: _Work, setting: Setting, step: StepDocument) -> Cut:
    node = setting.nodes[step.piece]
    side = side_of(step)
    placed = f"measured from the {side}" if step.station == "breakdown saw" else f"{side} {_HOLD[step.station]}"
    made = together(made_words(setting, step, lambda name: shown(name, _NAME)))
    if step.matters and set(step.matters) == {"waste"}:
        made += "; an error here does no harm, it goes into waste alone"
    alt = f"Piece {step.piece}, {placed}, is cut in {made}."
    picture = piece_page(step, setting.nodes, _LETTERS)
    return Cut(
        n=step.n,
        piece=shown(step.piece, 40),
        size=together(setting.rule.size((node.length, node.width))),
        side=placed,
        makes=made,
        cautions=tuple(shown(caution, 2000) for caution in setting.cautions_at(step)),
        picture=_drawn(Page(picture.width, picture.height, alt, "", picture.items, "px")),
        alt=alt,
        done=step.n in work.done,
        waits_for=work.waits_for(step),
        lost="" if step.n in work.done else work.lost_before(step),
        kept_by=work.kept_by(step) if step.n in work.done else "",
    )


def _without(cut: Cut, shared: Collection[str]) -> Cut:
    return replace(cut, cautions=tuple(together(caution) for caution in cut.cautions if caution not in shared))


def _alt(setting: Setting) -> str:
    return f"{blade_words(setting)}. {' '.join(sentences(setting))}"


def _drawn(page: Page) -> str:
    """Return a drawing to stand inside a page: as wide as its place, its title read aloud."""
    return to_svg(page, SCREEN)


def _some(pieces: list[str], most: int = 4) -> str:
    named = ", ".join(shown(piece, 20) for piece in dict.fromkeys(pieces[:most]))
    return named if len(pieces) <= most else f"{named} and {len(pieces) - most} more"
