"""``cleatwright compare``: other cleat heights, blades and sheets side by side, before anything is cut."""

from __future__ import annotations

import contextlib
import threading
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from cli import options
from cli.exits import CANNOT_BE_DONE
from cli.terminal import OutputFailed, flush, hand_over, name, say, tell
from nesting.errors import BadInput, Fault

if TYPE_CHECKING:
    from cli.watch import Outcome
    from nesting.compare.alternatives import Asked
    from nesting.compare.budget import Limit, Run
    from nesting.compare.comparison import Comparison
    from nesting.paper.folder import Written
    from nesting.project.model import Project

Several = list[str]
STOPPING = "Stopping: what is planned so far is being finished. Ctrl-C again gives it up."


def compare(
    project: Annotated[str, typer.Argument(metavar="PROJECT", help="The project file (TOML, or JSON).")],
    cleat_height: Annotated[
        Several, typer.Option(metavar="LENGTH", help="Height of wall and holder cleats. Give it twice or more.")
    ] = [],  # noqa: B006  (typer copies it)
    thickness: Annotated[Several, typer.Option(metavar="LENGTH", help="Thickness of the cleats.")] = [],  # noqa: B006
    kerf: Annotated[Several, typer.Option(metavar="LENGTH", help="Width the blade removes.")] = [],  # noqa: B006
    gap: Annotated[Several, typer.Option(metavar="LENGTH", help="Clear height between rows.")] = [],  # noqa: B006
    sheet: Annotated[Several, typer.Option(metavar="NAME", help="The sheet to buy of its thickness.")] = [],  # noqa: B006
    out: Annotated[str | None, typer.Option("--out", metavar="DIR", help="Folder to write into.")] = None,
    seconds: Annotated[str, typer.Option(metavar="N", help="Longest search for each alternative.")] = "10",
    seed: Annotated[str, typer.Option(metavar="N", help="Seed of every search.")] = "0",
    budget: Annotated[
        str | None, typer.Option(metavar="AMOUNT", help="How much of the job this money does, and the plan for it.")
    ] = None,
    sheets: Annotated[
        str | None, typer.Option(metavar="N", help="How much of the job so many sheets do, and the plan for it.")
    ] = None,
    cluster: Annotated[
        str | None, typer.Option(metavar="ADDRESS", help="Plan on the cluster of this scheduler, tcp://host:port.")
    ] = None,
    json: Annotated[bool, typer.Option("--json", help="Print the comparison as JSON alone.")] = False,
) -> None:
    """Compare cleat heights, thicknesses, kerfs, gaps and sheets; say what a budget does."""
    from nesting.compare.alternatives import Asked

    asked = Asked(*(tuple(texts) for texts in (cleat_height, thickness, kerf, gap, sheet)))
    faults: list[Fault] = []
    job = _project(project, asked, faults)
    longest = options.seconds(seconds, faults)
    start = options.whole("--seed", seed, 0, options.LARGEST_SEED, "a seed", faults)
    limit = _limit(budget, sheets, faults)
    folder = None if out is None else Path(out)
    _look_over(folder, cluster, faults)
    if faults or job is None:
        raise BadInput(faults)
    outcome = _compared(job, asked, longest, start, cluster, limit)
    if outcome.error is not None:
        raise outcome.error
    assert outcome.value is not None  # noqa: S101  (work without an error has a value)
    found = outcome.value
    written = _written(folder, found)
    if outcome.stopped:
        tell("Stopped early: what was not planned to its end is said to be so.")
    try:
        _print(found, written, json=json)
        flush()
    except OutputFailed as failed:
        if written is None or json or not failed.closed:
            raise
        tell(f"Not everything could be printed: {failed.reason}. The comparison lies whole in {name(str(folder))}.")
    if all(row.plan is None for row in found.rows) and found.best is None:
        raise typer.Exit(CANNOT_BE_DONE)


def _project(path: str, asked: Asked, faults: list[Fault]) -> Project | None:
    """Return the project, None with its faults and those of the options that vary it where there are any."""
    from nesting.compare.alternatives import alternatives
    from nesting.project.read import read_project

    try:
        job = read_project(Path(path))
    except BadInput as error:
        faults += [*error.faults, *_unread(asked)]
        return None
    try:
        alternatives(job, asked)
    except BadInput as error:
        faults += error.faults
    return job


def _limit(budget: str | None, sheets: str | None, faults: list[Fault]) -> Limit | None:
    """Return what may be spent; None where nothing is said of it, or it is no limit."""
    from nesting.compare.budget import Limit

    money = None if budget is None else options.amount("--budget", budget, faults)
    count = None if sheets is None else options.whole("--sheets", sheets, 0, options.MOST_SHEETS, "a count", faults)
    if money is not None and count is not None:
        faults.append(Fault("--sheets", "", "is given, and so is --budget", "one of the two"))
    return None if money is None and count is None else Limit(money, count)


def _look_over(folder: Path | None, cluster: str | None, faults: list[Fault]) -> None:
    """Add what speaks against the cluster and against writing into the folder."""
    if cluster is not None:
        from nesting.compare.cluster import faults_of

        faults += faults_of(cluster)
    if folder is not None:
        from nesting.compare.contents import ALWAYS
        from nesting.paper.folder import look_over

        try:
            look_over(folder, ALWAYS)
        except BadInput as error:
            faults += error.faults


def _unread(asked: Asked) -> list[Fault]:
    """Return the faults of the lengths by themselves, where the project they are for could not be read."""
    from nesting.compare.alternatives import lengths

    faults: list[Fault] = []
    for option, texts in (
        ("--cleat-height", asked.cleat_height),
        ("--thickness", asked.thickness),
        ("--kerf", asked.kerf),
        ("--gap", asked.gap),
    ):
        lengths(option, texts, "in", faults, zero=option == "--kerf")
    return faults


def _compared(
    job: Project, asked: Asked, seconds: float, seed: int, address: str | None, limit: Limit | None
) -> Outcome[Comparison]:
    from cli.count_view import CountView
    from cli.watch import watched
    from nesting.compare.comparison import News
    from nesting.compare.comparison import compare as compared
    from nesting.compare.together import all_of

    def work(cancel: threading.Event, observer: Callable[[News], None]) -> Comparison:
        with contextlib.ExitStack() as stack:
            run: Run = all_of
            if address is not None:
                from nesting.compare.cluster import cluster

                run = stack.enter_context(cluster(address)).run
            return compared(
                job, asked, seconds=seconds, seed=seed, cancel=cancel, observer=observer, run=run, limit=limit
            )

    return watched(work, CountView(), STOPPING)


def _written(folder: Path | None, found: Comparison) -> Written | None:
    if folder is None:
        return None
    from nesting.compare.contents import contents
    from nesting.paper.folder import write_folder

    files: Mapping[str, bytes] = contents(found)
    written = write_folder(folder, files)
    for old, kept in written.kept:
        tell(f"{name(old)} had been edited since it was written; your version is kept as {name(kept)}.")
    return written


def _print(found: Comparison, written: Written | None, *, json: bool) -> None:
    if json:
        from nesting.compare.contents import comparison_json

        hand_over(comparison_json(found))
        return
    from cli.comparison import comparison

    for line in comparison(found, written):
        say(line)
