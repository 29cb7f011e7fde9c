"""``cleatwright done``, ``spoiled`` and ``measured``: what happened at the saw, kept beside the plan."""

from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from cli.rack_file import in_step
from cli.terminal import counted, name, plain, say
from nesting.errors import BadInput, Fault

if TYPE_CHECKING:
    from nesting.lengths import Unit
    from nesting.plan import Plan
    from nesting.progress.record import Progress

_STEPS = re.compile(r"([0-9]{1,9})(?:-([0-9]{1,9}))?", re.ASCII)
_MOST_STEPS = 100_000
_Folder = Annotated[str, typer.Argument(metavar="DIR", help="The folder that `plan` wrote.")]
_Rack = Annotated[
    str | None,
    typer.Option("--rack", metavar="FILE", help="Once all is done this rack takes and gives what was used and left."),
]
_Piece = Annotated[str, typer.Argument(metavar="PIECE", help="Its id, as on drawings and labels: A1.7.")]


def done(
    folder: _Folder,
    steps: Annotated[list[str], typer.Argument(metavar="STEP...", help="Numbers of steps, or from-to: 1 2 5-9.")],
    undo: Annotated[bool, typer.Option("--undo", help="They are not done after all.")] = False,
    rack: _Rack = None,
) -> None:
    """Tick steps that are carried out."""
    numbers = _numbers(steps)
    from nesting.progress.marks import tick, untick

    plan, progress = _changed(folder, lambda plan, record: (untick if undo else tick)(plan, record, numbers), rack)
    _tell(folder, plan, progress)


def spoiled(
    folder: _Folder,
    piece: _Piece,
    left: Annotated[
        list[str] | None,
        typer.Option(
            "--left", metavar="LENGTHxWIDTH", help="What remains of it, length along the face grain; may be repeated."
        ),
    ] = None,
    note: Annotated[str, typer.Option("--note", metavar="TEXT", help="What went wrong.")] = "",
    undo: Annotated[bool, typer.Option("--undo", help="It is sound after all, or as it was drawn.")] = False,
    rack: _Rack = None,
) -> None:
    """Say that a piece is lost; nothing remains of it but what is told."""
    from nesting.progress.marks import spoil, take_back
    from nesting.progress.record import LONGEST_NOTE

    if len(note) > LONGEST_NOTE:
        raise BadInput([Fault("--note", "", f"has {len(note):,} characters", f"at most {LONGEST_NOTE}")])

    def act(plan: Plan, record: Progress) -> Progress:
        if undo:
            return take_back(plan, record, piece)
        faults: list[Fault] = []
        rests = [_sides(text, "--left", plan.unit, faults) for text in left or ()]
        if faults:
            raise BadInput(faults)
        return spoil(plan, record, piece, [(float(a), float(b)) for a, b in rests], note)

    plan, progress = _changed(folder, act, rack)
    _tell(folder, plan, progress)


def measured(
    folder: _Folder,
    piece: _Piece,
    size: Annotated[str, typer.Argument(metavar="LENGTHxWIDTH", help="As measured, length along the face grain.")],
) -> None:
    """Say how large a piece came out; too small a one counts as lost (take it back: spoiled --undo)."""
    from nesting.progress.marks import measure

    def act(plan: Plan, record: Progress) -> Progress:
        faults: list[Fault] = []
        length, width = _sides(size, "LENGTHxWIDTH", plan.unit, faults)
        if faults:
            raise BadInput(faults)
        return measure(plan, record, piece, float(length), float(width))

    plan, progress = _changed(folder, act)
    _tell(folder, plan, progress)


def _changed(folder: str, act: Callable[[Plan, Progress], Progress], rack: str | None = None) -> tuple[Plan, Progress]:
    from nesting.progress.file import change

    def both(plan: Plan, record: Progress) -> Progress:
        after = act(plan, record)
        if rack is not None:
            in_step(rack, plan, after)
        return after

    return change(Path(folder), both)


def _numbers(texts: list[str]) -> list[int]:
    """Return the numbers of steps that are asked for; every text that is none is a fault."""
    found: list[int] = []
    faults: list[Fault] = []
    for text in texts:
        match = _STEPS.fullmatch(text)
        first = int(match[1]) if match else 0
        last = int(match[2] or first) if match else 0
        if not match or last < first or last - first > _MOST_STEPS:
            faults.append(Fault("STEP", "", f"{plain(text)!r} is no number of a step", "as 12, or from-to: 5-9"))
        else:
            found += range(first, last + 1)
    if faults:
        raise BadInput(faults)
    return found


def _sides(text: str, where: str, unit: Unit, faults: list[Fault]) -> tuple[Fraction, Fraction]:
    """Return length and width of a text such as ``31x9`` or ``30 1/2 x 9``; adds what is wrong to ``faults``.

    >>> faults = []
    >>> _sides("30 1/2 x 9", "--left", "in", faults), _sides("three", "--left", "in", faults), len(faults)
    ((Fraction(61, 2), Fraction(9, 1)), (Fraction(1, 1), Fraction(1, 1)), 1)
    """
    from nesting.lengths import NotALength, read_length

    sides = re.split("[x×]", text, flags=re.IGNORECASE)
    none = Fraction(1), Fraction(1)
    if len(sides) != 2:
        faults.append(Fault(where, "", f"{plain(text)!r} is no size", "length x width, as 31x9 or '30 1/2 x 9'"))
        return none
    try:
        return read_length(sides[0], unit, zero=False), read_length(sides[1], unit, zero=False)
    except NotALength as error:
        faults.append(Fault(where, "", f"{plain(text)!r}: {error.reason}", error.accepted))
        return none


def _tell(folder: str, plan: Plan, progress: Progress) -> None:
    from nesting.progress.standing import standing

    now = standing(plan, progress)
    line = f"{len(progress.done)} of {counted(len(plan.steps), 'step')} done"
    if now.open_steps:
        line += f"; next is step {now.open_steps[0]}"
    say(f"{line}.")
    lost = [f"{count} × {name(part)}" for part, count in sorted(now.lost.items())]
    if lost:
        say(f"Lost: {', '.join(lost)}. Plan anew: cleatwright replan {name(folder)}")
