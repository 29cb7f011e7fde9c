"""``cleatwright plan``: the whole job, from a project file to a folder one can take to the shop."""

from __future__ import annotations

import math
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, cast

import typer

from cli.exits import GIVEN_UP
from cli.terminal import OutputFailed, flush, hand_over, name, plain, say, tell
from nesting.errors import BadInput, CannotBeDone, Fault

if TYPE_CHECKING:
    from cli.watch import Outcome
    from nesting.make import Made
    from nesting.paper.folder import Written
    from nesting.paper.packet import Paper
    from nesting.project.model import Project

LONGEST_SECONDS = 86_400.0
LARGEST_SEED = 2**31 - 1
LARGEST_GROUP = 10_000
_PAPERS = ("letter", "a4")


def read_seconds(given: str | float) -> float:
    """Return the seconds to search; raises ``typer.BadParameter`` for what is no such time."""
    text = str(given)
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not 0 < value <= LONGEST_SECONDS:
        raise typer.BadParameter(f"{plain(text)!r} is not a time; more than 0 and at most {LONGEST_SECONDS:,.0f}")
    return value


def read_seed(given: str | int) -> int:
    """Return a seed; raises ``typer.BadParameter`` for what is none."""
    text = str(given)
    if not (text.isascii() and text.isdigit() and len(text) <= 10 and int(text) <= LARGEST_SEED):
        raise typer.BadParameter(f"{plain(text)!r} is not a seed; a whole number from 0 to {LARGEST_SEED:,}")
    return int(text)


def _group(given: str | int) -> int:
    text = str(given)
    if not (text.isascii() and text.isdigit() and len(text) <= 5 and 1 <= int(text) <= LARGEST_GROUP):
        raise typer.BadParameter(
            f"{plain(text)!r} is not a number of sheets; a whole number from 1 to {LARGEST_GROUP:,}"
        )
    return int(text)


def read_paper(given: str) -> str:
    """Return the name of a paper in small letters; raises ``typer.BadParameter`` for what is none."""
    if given.lower() not in _PAPERS:
        raise typer.BadParameter(f"{plain(given)!r} is no paper; letter or a4")
    return given.lower()


def plan(
    project: Annotated[str, typer.Argument(metavar="PROJECT", help="The project file (TOML, or JSON).")],
    out: Annotated[
        str | None, typer.Option("--out", metavar="DIR", help="Folder to write into; only --json can do without.")
    ] = None,
    seconds: Annotated[
        float, typer.Option(parser=read_seconds, metavar="N", help="Longest search: more than 0, at most 86,400.")
    ] = 10.0,
    seed: Annotated[
        int, typer.Option(parser=read_seed, metavar="N", help="Seed of the search: 0 to 2,147,483,647.")
    ] = 0,
    group: Annotated[
        int | None,
        typer.Option(
            parser=_group, metavar="N", help="Work through the sheets N at a time (small shop); default: all together."
        ),
    ] = None,
    paper: Annotated[
        str | None,
        typer.Option(parser=read_paper, metavar="PAPER", help="letter or a4; default: letter for inches, a4 for mm."),
    ] = None,
    rack: Annotated[
        str | None, typer.Option("--rack", metavar="FILE", help="Draw on the leftovers in this rack.")
    ] = None,
    json: Annotated[bool, typer.Option("--json", help="Print the plan file alone on standard output.")] = False,
) -> None:
    """Plan the whole job: what to buy, layouts, steps."""
    if out is None and not json:
        raise typer.BadParameter("give --out DIR, the folder to write into, or --json", param_hint="--out")
    asked = _project(project, rack)
    folder = None if out is None else Path(out)
    on = None
    if folder is not None:
        from nesting.paper.contents import usual_files
        from nesting.paper.folder import look_over
        from nesting.paper.packet import today

        look_over(folder, usual_files())
        on = today()
    outcome = _planned(asked, seconds, seed, group)
    made = _made(outcome)
    written = _written(folder, made, cast("Paper | None", paper), on)
    if outcome.stopped and not made.plan.proven:
        tell("Stopped early: this is the best plan so far, and it is unproven.")
    try:
        _print(made, written, stopped=outcome.stopped, json=json)
        flush()
    except OutputFailed as failed:
        if written is None or json:
            raise
        tell(f"Not everything could be printed: {failed.reason}. The plan lies whole in {name(str(folder))}.")
        if not failed.closed:
            raise typer.Exit(1) from None


def _project(path: str, rack: str | None) -> Project:
    from nesting.project.read import read_project

    if rack is None:
        return read_project(Path(path))
    from nesting.rack.draw_on import read_project_on
    from nesting.rack.rack_file import read_rack

    if not Path(rack).exists():
        raise BadInput([Fault(rack, "", "there is no such file", "a rack that `cleatwright rack` made")])
    return read_project_on(Path(path), read_rack(Path(rack)).pieces)


def _planned(asked: Project, seconds: float, seed: int, group: int | None) -> Outcome[Made]:
    from cli.progress import View
    from cli.watch import watched
    from nesting.make import plan_project

    return watched(
        lambda cancel, observer: plan_project(
            asked, seconds=seconds, seed=seed, cancel=cancel, observer=observer, group=group
        ),
        View(seconds, asked.project.currency),
    )


def _made(outcome: Outcome[Made]) -> Made:
    if outcome.value is not None:
        return outcome.value
    if outcome.stopped and isinstance(outcome.error, CannotBeDone):
        tell("There was no plan yet, so nothing is written. As far as the search came:")
        for reason in outcome.error.reasons:
            tell(f"  {plain(reason)}")
        raise typer.Exit(GIVEN_UP)
    assert outcome.error is not None  # noqa: S101  (work that has no value has an error)
    raise outcome.error


def _written(folder: Path | None, made: Made, paper: Paper | None, on: date | None) -> Written | None:
    if folder is None:
        return None
    from nesting.paper.contents import contents
    from nesting.paper.folder import write_folder

    written = write_folder(folder, contents(made.plan, paper=paper, on=on))
    for old, kept in written.kept:
        tell(f"{name(old)} had been edited since it was written; your version is kept as {name(kept)}.")
    return written


def _print(made: Made, written: Written | None, *, stopped: bool, json: bool) -> None:
    if json:
        from nesting.plan import plan_to_json

        hand_over(plan_to_json(made.plan))
        return
    from cli.summary import summary

    for line in summary(made.plan, made.summary, written, stopped=stopped):
        say(line)
