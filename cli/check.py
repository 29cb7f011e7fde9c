"""``cleatwright check``: a plan file replayed against every rule, whoever wrote it."""

from __future__ import annotations

import contextlib
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from cli.exits import CANNOT_BE_DONE
from cli.terminal import OutputFailed, counted, flush, name, plain, say
from nesting.errors import BadInput, Fault

if TYPE_CHECKING:
    from nesting.plan import Plan


def check(
    plan: Annotated[str, typer.Argument(metavar="PLAN", help="A plan file, or the folder that holds plan.json.")],
) -> None:
    """Replay a plan against every rule (status 1: unsound)."""
    document = read_plan(plan)
    from nesting.check import check_plan

    report = check_plan(document)
    faults = [plain(str(fault)) for fault in report.faults]
    before = _against_the_one_before(plan, document, faults)
    notes = [plain(str(note)) for note in (*report.notes, *report.unsaid)]
    with contextlib.suppress(OutputFailed):  # the verdict stands, whoever stopped reading
        if faults:
            say(f"{name(plan)} breaks the rules in {counted(len(faults), 'place')}:")
            for fault in faults:
                say(f"  {fault}")
        else:
            made = sum(part.made for part in document.parts)
            say(
                f"{name(plan)} is sound: {counted(len(document.layouts), 'layout')}, {counted(made, 'part')} and "
                f"{counted(len(document.steps), 'step')}, replayed without a fault."
            )
            if before is not None:
                say(f"Against the plan in {name(before)} and its record: nothing finished is lost, nothing invented.")
        for note in notes:
            say(f"Note: {note}")
        flush()
    if faults:
        raise typer.Exit(CANNOT_BE_DONE)


def _against_the_one_before(path: str, plan: Plan, faults: list[str]) -> str | None:
    """Check a plan made anew against the one before it, where its folder keeps that; return the place of that plan."""
    if plan.replaces is None or not Path(path).is_dir():
        return None
    from nesting.check import check_replan
    from nesting.paper.earlier import find_earlier
    from nesting.progress.file import read_kept

    kept = find_earlier(Path(path), plan.replaces.plan)
    if kept is None:
        return None
    faults += [plain(str(fault)) for fault in check_replan(plan, *read_kept(kept)).faults]
    return str(kept)


def read_plan(path: str) -> Plan:
    """Return the plan of a plan file, or of a folder that holds one; raises :class:`BadInput`."""
    from nesting.plan import LARGEST_FILE, plan_from_json

    try:
        file = Path(path)
        if file.is_dir():
            file /= "plan.json"
        with file.open("rb") as stream:
            data = stream.read(4 * LARGEST_FILE + 1)
    except OSError as error:
        raise BadInput([Fault(path, "", f"cannot be read: {error.strerror}")]) from None
    except ValueError as error:  # a null byte
        raise BadInput([Fault(path, "", f"is no path: {error}")]) from None
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise BadInput([Fault(path, "", "is not a text in UTF-8")]) from None
    return plan_from_json(text)
