"""``cleatwright new``: a starter project file to change into one's own."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from cli.exits import about
from cli.terminal import hand_over, name, say
from nesting.errors import BadInput, Fault


def new(
    path: Annotated[str, typer.Argument(help="File to write; - prints it.")] = "cleatwright.toml",
    wall: Annotated[bool, typer.Option("--wall", help="A wall to be fitted out with tool holders.")] = False,
) -> None:
    """Write a starter project file; never overwrite one."""
    from nesting.project.starter import starter_text

    text = starter_text(wall=wall)
    if path == "-":
        hand_over(text)
        return
    target = Path(path)
    try:
        with target.open("xb") as file:
            try:
                file.write(text.encode())
                file.flush()
            except BaseException:  # a full disk, Ctrl-C: leave no half of a file
                target.unlink(missing_ok=True)
                raise
    except FileExistsError:
        raise _refused(path, "is there already, and nothing is overwritten", "a name that is not taken") from None
    except (FileNotFoundError, NotADirectoryError):
        raise _refused(path, "cannot be written: its folder is not there", "a path in a folder that exists") from None
    except ValueError as error:  # a null byte
        raise _refused(path, f"is no path: {error}") from None
    except PermissionError as error:
        raise _refused(path, f"cannot be written: {about(error).rpartition(': ')[2]}") from None
    say(f"{name(path)} is written. Change it to your own job, then: cleatwright plan {name(path)} --out plan")


def _refused(path: str, message: str, accepted: str = "") -> BadInput:
    return BadInput([Fault(path, "", message, accepted)])
