"""``cleatwright replan``: a new plan from what is left, the old one kept."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, cast

import typer

from cli.options import PaperName, Seconds, Seed
from cli.terminal import counted, hand_over, name, plain, say, tell

if TYPE_CHECKING:
    from nesting.paper.packet import Paper
    from nesting.replan.again import Replanned


def replan(
    folder: Annotated[str, typer.Argument(metavar="DIR", help="The folder that `plan` wrote.")],
    seconds: Seconds = 2.0,
    seed: Seed = 0,
    paper: PaperName = None,
    json: Annotated[bool, typer.Option("--json", help="Print the new plan file on standard output, too.")] = False,
) -> None:
    """Plan anew from what is left after a loss; the old plan is kept in DIR/earlier."""
    from nesting.paper.contents import contents
    from nesting.paper.earlier import keep_earlier
    from nesting.paper.folder import look_over, write_folder
    from nesting.paper.packet import today
    from nesting.progress.file import held, read, write
    from nesting.replan.again import replan as again

    place = Path(folder)
    with held(place):
        look_over(place)
        plan, progress = read(place)
        found = again(None, plan, progress, seconds, seed)
        if found.changed:
            files = contents(found.plan, paper=cast("Paper | None", paper), on=today())
            kept = keep_earlier(place)
            written = write_folder(place, files)
            write(place, found.progress)
            for old, beside in written.kept:
                tell(f"{name(old)} had been edited since it was written; your version is kept as {name(beside)}.")
            tell(f"The earlier plan is kept in {name(str(place / kept))}.")
    _print(found, json=json)


def _print(found: Replanned, *, json: bool) -> None:
    if json:
        from nesting.plan import plan_to_json

        hand_over(plan_to_json(found.plan))
        return
    say(plain(found.sentence))
    if not found.changed:
        return
    from nesting.money import money

    plan, told = found.plan, found.replaces
    open_steps = len(plan.steps) - (told.done_steps if told is not None else 0)
    say(f"{counted(open_steps, 'step')} to go; the job costs {money(plan.cost)} in all.")
    for warning in plan.warnings:
        if warning.code in ("unproven", "too_large_to_carry"):
            say(f"Warning: {plain(warning.text)}")
