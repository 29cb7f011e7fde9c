"""``cleatwright plan``: the whole job, from a project file to a folder one can take to the shop."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, cast

import typer

from cli.exits import GIVEN_UP
from cli.options import GroupSize, PaperName, Seconds, Seed
from cli.terminal import OutputFailed, flush, hand_over, name, plain, say, tell
from nesting.errors import BadInput, CannotBeDone, Fault

if TYPE_CHECKING:
    from cli.watch import Outcome
    from nesting.make import Made
    from nesting.paper.folder import Written
    from nesting.paper.packet import Paper
    from nesting.project.model import Project


def plan(
    project: Annotated[str, typer.Argument(metavar="PROJECT", help="The project file (TOML, or JSON).")],
    out: Annotated[
        str | None, typer.Option("--out", metavar="DIR", help="Folder to write into; only --json can do without.")
    ] = None,
    seconds: Seconds = 10.0,
    seed: Seed = 0,
    group: GroupSize = None,
    paper: PaperName = None,
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
