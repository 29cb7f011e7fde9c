"""Commands that the file formats already name but this version does not have: each says so clearly."""

from __future__ import annotations

from collections.abc import Callable

import typer

from cli.exits import BAD_INPUT
from cli.terminal import tell

LATER = ("done", "spoiled", "replan")


def announce(app: typer.Typer) -> None:
    """Let each command of a later version answer for itself, without listing it."""
    for word in LATER:
        app.command(
            word,
            hidden=True,
            add_help_option=False,
            context_settings={"ignore_unknown_options": True, "allow_extra_args": True},
        )(_answer(word))


def _answer(word: str) -> Callable[[], None]:
    def answer() -> None:
        has = "this one has `new`, `plan`, `check`, `compare` and `serve`"
        tell(f"`cleatwright {word}` comes with a later version; {has}.")
        raise typer.Exit(BAD_INPUT)

    return answer
