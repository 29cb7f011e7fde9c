"""The rack's file, as commands change it: read, changed and written in one go, and what that did said."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, TypeVar

import typer

from cli.rack_words import about_change
from cli.terminal import plain, say

if TYPE_CHECKING:
    from nesting.plan import Plan
    from nesting.progress.record import Progress
    from nesting.rack.rack import Change, Rack

T = TypeVar("T")
File = Annotated[str, typer.Option("--rack", metavar="FILE", help="The rack's file.")]
USUAL = "rack.json"


def in_step(rack: str, plan: Plan, progress: Progress) -> bool:
    """Keep the rack in step with a plan's record, and say what that changed; False where it changed nothing."""
    from nesting.rack.give_back import kept_in_step

    told = changed_rack(rack, lambda found: kept_in_step(found, plan, progress))
    if told is None:
        return False
    say_change(told.change)
    for note in told.notes:
        say(plain(note))
    return True


def changed_rack(rack: str, act: Callable[[Rack], tuple[Rack, T]]) -> T:
    """Let ``act`` change the rack in a file; return what it returns beside the rack."""
    from nesting.rack.rack_file import change_rack

    return change_rack(Path(rack), act)


def with_change(found: Rack, change: Change, numbered: int | None = None) -> tuple[Rack, Change]:
    """Return a rack after a change, and the change."""
    from nesting.rack.rack import changed

    return changed(found, change, numbered), change


def say_change(change: Change) -> None:
    """Say what left the rack and what came into it."""
    for line in about_change(change):
        say(line)
