"""``cleatwright compare``: other cleat heights, blades and sheets side by side, before anything is cut."""

from __future__ import annotations

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
    cluster: Annotated[
        str | None, typer.Option(metavar="ADDRESS", help="Plan on the cluster of this scheduler, tcp://host:port.")
    ] = None,
    json: Annotated[bool, typer.Option("--json", help="Print the comparison as JSON alone.")] = False,
) -> None:
    """Compare cleat heights, thicknesses, kerfs, gaps and sheets."""
    from nesting.compare.alternatives import Asked

    asked = Asked(*(tuple(texts) for texts in (cleat_height, thickness, kerf, gap, sheet)))
    job, longest, start, folder = _read(project, asked, seconds, seed, out, cluster)
    outcome = _compared(job, asked, longest, start, cluster)
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
    if all(row.plan is None for row in found.rows):
        raise typer.Exit(CANNOT_BE_DONE)


def _read(
    path: str, asked: Asked, seconds: str, seed: str, out: str | None, cluster: str | None
) -> tuple[Project, float, int, Path | None]:
    """Return what is asked for; raises :class:`BadInput` with the faults of file and options together."""
    from nesting.compare.alternatives import alternatives
    from nesting.project.read import read_project

    faults: list[Fault] = []
    job: Project | None = None
    try:
        job = read_project(Path(path))
    except BadInput as error:
        faults += error.faults
    if job is not None:
        try:
            alternatives(job, asked)
        except BadInput as error:
            faults += error.faults
    else:
        faults += _unread(asked)
    longest = options.seconds(seconds, faults)
    start = options.whole("--seed", seed, 0, options.LARGEST_SEED, "a seed", faults)
    if cluster is not None:
        from nesting.compare.cluster import faults_of

        faults += faults_of(cluster)
    folder = None if out is None else Path(out)
    if folder is not None:
        from nesting.compare.contents import ALWAYS
        from nesting.paper.folder import look_over

        try:
            look_over(folder, ALWAYS)
        except BadInput as error:
            faults += error.faults
    if faults or job is None:
        raise BadInput(faults)
    return job, longest, start, folder


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


def _compared(job: Project, asked: Asked, seconds: float, seed: int, address: str | None) -> Outcome[Comparison]:
    from cli.count_view import CountView
    from cli.watch import watched
    from nesting.compare.comparison import News
    from nesting.compare.comparison import compare as compared
    from nesting.compare.together import all_of

    def work(cancel: threading.Event, observer: Callable[[News], None]) -> Comparison:
        if address is None:
            return compared(job, asked, seconds=seconds, seed=seed, cancel=cancel, observer=observer, run=all_of)
        from nesting.compare.cluster import cluster

        with cluster(address) as there:
            return compared(job, asked, seconds=seconds, seed=seed, cancel=cancel, observer=observer, run=there.run)

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
