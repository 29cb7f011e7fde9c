"""The program ``cleatwright``: its commands, and how it ends."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated

import typer

from cli import check, compare, marks, new, plan, rack, replan, serve
from cli.exits import guarded
from cli.terminal import prepare, say

app = typer.Typer(
    name="cleatwright",
    help="Buying lists, cutting layouts and a safe saw sequence for French-cleat storage.",
    epilog="Exit status: 0 done; 1 the job cannot be done; 2 bad input; 3 a bug; 130 given up with Ctrl-C.",
    rich_markup_mode=None,
    add_completion=False,
    pretty_exceptions_enable=False,
    no_args_is_help=True,
)
app.command("new")(new.new)
app.command("plan")(plan.plan)
app.command("check")(check.check)
app.command("compare")(compare.compare)
app.command("serve")(serve.serve)
app.command("done")(marks.done)
app.command("spoiled")(marks.spoiled)
app.command("measured")(marks.measured)
app.command("replan")(replan.replan)
app.add_typer(rack.app, name="rack")


def _version(asked: bool) -> None:
    if asked:
        from importlib.metadata import PackageNotFoundError, version

        try:
            say(f"cleatwright {version('cleatwright')}")
        except PackageNotFoundError:  # run from the source tree
            say("cleatwright, not installed")
        raise typer.Exit


@app.callback()
def _options(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version and exit.")
    ] = False,
) -> None:
    pass


def main(arguments: Sequence[str]) -> int:
    """Carry out one command and return its exit status."""
    prepare()
    return guarded(lambda: app(list(arguments), standalone_mode=False, prog_name="cleatwright") or 0)
