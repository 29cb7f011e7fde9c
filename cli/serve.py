"""``cleatwright serve``: the service and its pages, on this machine or for a whole workshop."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from cli.terminal import counted, flush, name, plain, say

if TYPE_CHECKING:
    from api.settings import Settings

_HIGHEST_PORT = 65_535
_MOST_JOBS = 256


def _whole(least: int, most: int, what: str) -> object:
    def read(given: str | int) -> int:
        text = str(given)
        if not (text.isascii() and text.isdigit() and len(text) <= 6 and least <= int(text) <= most):
            raise typer.BadParameter(f"{plain(text)!r} is not {what}; a whole number from {least} to {most:,}")
        return int(text)

    return read


def serve(
    host: Annotated[str, typer.Option("--host", metavar="ADDRESS", help="Address to listen on.")] = "127.0.0.1",
    port: Annotated[
        int,
        typer.Option(
            "--port", parser=_whole(0, _HIGHEST_PORT, "a port"), metavar="N", help="Port to listen on; 0: any free one."
        ),
    ] = 8000,
    data: Annotated[
        str | None, typer.Option("--data", metavar="FOLDER", help="Where projects and plans are kept.")
    ] = None,
    jobs: Annotated[
        int | None,
        typer.Option(
            "--jobs",
            parser=_whole(1, _MOST_JOBS, "a number of searches"),
            metavar="N",
            help="Plans searched for at once; one for each processor if left out.",
        ),
    ] = None,
    cluster: Annotated[bool, typer.Option("--cluster", help="Search on a dask cluster.")] = False,
    scheduler: Annotated[
        str | None,
        typer.Option("--scheduler", metavar="ADDRESS", help="Scheduler of the cluster; one is started if left out."),
    ] = None,
    browse: Annotated[bool, typer.Option("--open/--no-open", help="Open a browser.")] = False,
    new_key: Annotated[
        str | None, typer.Option("--new-key", metavar="NAME", help="Make a key for somebody, print it, and end.")
    ] = None,
    drop_key: Annotated[
        str | None, typer.Option("--drop-key", metavar="NAME", help="Forget somebody's key, and end.")
    ] = None,
    erase: Annotated[
        bool, typer.Option("--erase", help="With --drop-key: delete all that was made with it, for good.")
    ] = False,
) -> None:
    """Serve projects and plans over HTTP, until Ctrl-C."""
    if scheduler is not None and not cluster:
        raise typer.BadParameter("it is the address of a cluster; give --cluster too", param_hint="--scheduler")
    if erase and drop_key is None:
        raise typer.BadParameter("it says what becomes of a key's data; give --drop-key too", param_hint="--erase")
    settings = _settings(host, port, data, jobs, (scheduler or "local") if cluster else None)
    if new_key is not None or drop_key is not None:
        _keys(settings, new_key, drop_key, erase=erase)
        return
    from api.serve import serve as run

    def ready(address: str) -> None:
        say(f"Serving at {plain(address)}; projects and plans are kept in {name(str(settings.data))}. Ctrl-C ends it.")
        flush()
        if browse:
            import webbrowser

            webbrowser.open(address)

    run(settings, ready)


def _settings(host: str, port: int, data: str | None, jobs: int | None, cluster: str | None) -> Settings:
    from api.settings import settings_from

    folder = None if data is None else Path(data)
    return settings_from(os.environ, host=host, port=port, data=folder, jobs=jobs, cluster=cluster)


def _keys(settings: Settings, new_key: str | None, drop_key: str | None, *, erase: bool) -> None:
    from api.serve import forget_key, make_key

    if drop_key is not None:
        count = forget_key(settings, drop_key, erase=erase)
        also = f", and {counted(count, 'thing')} of theirs erased" if erase else ""
        say(f"The key of {name(drop_key)} is forgotten{also}.")
    if new_key is not None:
        say(make_key(settings, new_key))
