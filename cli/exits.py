"""From whatever ended a command to one exit status and a line or two of plain words.

0 done; 1 the job cannot be done; 2 bad input; 3 a bug; 130 given up with Ctrl-C.
"""

from __future__ import annotations

import os
import traceback
from collections.abc import Callable

import typer

from cli.terminal import OutputFailed, counted, flush, plain, tell
from nesting.errors import NOT_ENOUGH_MEMORY, BadInput, CannotBeDone, bug_in_words

DONE, CANNOT_BE_DONE, BAD_INPUT, BUG, GIVEN_UP = 0, 1, 2, 3, 130
DEBUG = "CLEATWRIGHT_DEBUG"


def guarded(act: Callable[[], int]) -> int:
    """Run a command and return its exit status; whatever goes wrong becomes words, never a traceback."""
    try:
        status = act()
        flush()
    except Exception as error:
        if os.environ.get(DEBUG):
            tell(traceback.format_exc())
        status = _told(error)
    except KeyboardInterrupt:
        status = GIVEN_UP
    if status == GIVEN_UP:
        tell("Stopped.")
    return status


def _told(error: Exception) -> int:
    if isinstance(error, typer.Exit):
        return error.exit_code
    if isinstance(error, typer.Abort):
        return GIVEN_UP
    if isinstance(error, typer.TyperException):
        _usage(error)
        return BAD_INPUT
    if isinstance(error, BadInput):
        _listed([str(fault) for fault in error.faults], "problem")
        return BAD_INPUT
    if isinstance(error, CannotBeDone):
        _listed(list(error.reasons), "reason why the job cannot be done", "reasons why the job cannot be done")
        return CANNOT_BE_DONE
    if isinstance(error, OutputFailed):
        tell(f"Not everything could be printed: {error.reason}.")
        return CANNOT_BE_DONE
    if isinstance(error, OSError):
        tell(plain(about(error)))
        return CANNOT_BE_DONE
    if isinstance(error, MemoryError):
        tell(NOT_ENOUGH_MEMORY)
        return CANNOT_BE_DONE
    tell(f"{plain(bug_in_words(error))} (run with {DEBUG}=1 for the traceback)")
    return BUG


def _usage(error: typer.TyperException) -> None:
    message = error.format_message()
    if message.startswith("Usage:"):  # asked for nothing: the help is the answer
        tell(message)
    else:
        tell(f"{' '.join(map(plain, message.splitlines()))} (cleatwright --help tells what there is)")


def _listed(lines: list[str], one: str, many: str | None = None) -> None:
    tell(f"{len(lines)} {many}:" if many and len(lines) > 1 else f"{counted(len(lines), one)}:")
    for line in lines:
        tell(f"  {plain(line)}")


def about(error: OSError) -> str:
    """Return what the system refused, in one line: which file, and why."""
    where = f"{error.filename}: " if error.filename is not None else ""
    return f"{where}{error.strerror or type(error).__name__}"
