"""The record beside the plan: ``progress.json`` in the folder that a plan was written into.

Whoever changes it holds the folder's lock from reading to writing, so that two who tick at once lose no tick; it is
written to a draft, synced and renamed, so that it is never there by half.
"""

from __future__ import annotations

import contextlib
import os
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Final

from nesting.errors import BadInput, Fault
from nesting.plan import LARGEST_FILE as LARGEST_PLAN
from nesting.plan import Plan, plan_from_json
from nesting.progress.marks import agreed
from nesting.progress.record import LARGEST_FILE, Progress, begin, progress_from_json, progress_to_json

NAME: Final = "progress.json"
PLAN: Final = "plan.json"
MARK: Final = ".cleatwright"
"""The folder in which the writer of plans keeps what it wrote: where it is not, no plan was written."""
PLAN_FOLDER: Final = "a folder that `cleatwright plan --out` wrote"


@contextlib.contextmanager
def held(folder: Path) -> Iterator[None]:
    """Hold a plan's folder against everybody else who would change its record, waiting for whoever holds it.

    Raises :class:`~nesting.errors.BadInput` where it is no folder of a plan.
    """
    _refuse_others(folder)
    try:
        import fcntl
    except ImportError:  # Windows: the rename alone keeps the record whole
        yield
        return
    handle = os.open(folder / MARK, os.O_RDONLY)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX)
        yield
    finally:
        os.close(handle)


def read(folder: Path) -> tuple[Plan, Progress]:
    """Return the plan in a folder and how far it has come.

    Without a record nothing is done yet. A record of the plan before this one, left by an interruption, counts as none.
    Raises :class:`~nesting.errors.BadInput` with every fault of both files.
    """
    _refuse_others(folder)
    return read_kept(folder)


def read_kept(folder: Path) -> tuple[Plan, Progress]:
    """Return a plan and its record from wherever they lie side by side; raises as :func:`read` does."""
    faults: list[Fault] = []
    plan: Plan | None = None
    progress: Progress | None = None
    try:
        plan = plan_from_json(_text(folder / PLAN, LARGEST_PLAN))
    except BadInput as error:
        faults += [_inside(PLAN, fault) for fault in error.faults]
    recorded = os.path.lexists(folder / NAME)
    try:
        progress = progress_from_json(_text(folder / NAME, LARGEST_FILE)) if recorded else None
        if plan is not None:
            stale = progress is None or (plan.replaces is not None and progress.plan == plan.replaces.plan)
            progress = begin(plan) if progress is None or stale else agreed(plan, progress)
    except BadInput as error:
        faults += [_inside(NAME, fault) for fault in error.faults]
    if faults or plan is None or progress is None:
        raise BadInput(faults)
    return plan, progress


def change(folder: Path, act: Callable[[Plan, Progress], Progress]) -> tuple[Plan, Progress]:
    """Change the record in a folder and return it with its plan; raises what reading or ``act`` raises."""
    with held(folder):
        plan, progress = read(folder)
        progress = act(plan, progress)
        write(folder, progress)
        return plan, progress


def write(folder: Path, progress: Progress) -> None:
    """Write the record into a folder whose lock is held."""
    draft = folder / MARK / f"{NAME}.draft"
    try:
        with draft.open("wb") as file:
            file.write(progress_to_json(progress).encode())
            file.flush()
            os.fsync(file.fileno())
        draft.replace(folder / NAME)
    except BaseException:
        draft.unlink(missing_ok=True)
        raise


def _refuse_others(folder: Path) -> None:
    place = str(folder)
    if "\0" in place:
        raise BadInput([Fault(place, "", "is no path: it holds a null byte")])
    if not folder.is_dir():
        what = "is not a folder" if os.path.lexists(folder) else "is not there"
        raise BadInput([Fault(place, "", what, PLAN_FOLDER)])
    if (folder / MARK).is_symlink() or not (folder / MARK).is_dir():
        raise BadInput([Fault(place, "", "was not written by a plan", PLAN_FOLDER)])
    if not (folder / PLAN).is_file():
        raise BadInput([Fault(place, "", f"holds no {PLAN}", PLAN_FOLDER)])


def _text(place: Path, most: int) -> str:
    try:
        with place.open("rb") as file:
            return file.read(4 * most + 1).decode("utf-8-sig")
    except OSError as error:
        raise BadInput([Fault("", "", f"cannot be read: {error.strerror}")]) from None
    except UnicodeDecodeError:
        raise BadInput([Fault("", "", "is not a text in UTF-8")]) from None


def _inside(name: str, fault: Fault) -> Fault:
    """Return a fault with the file it is in."""
    return Fault(f"{name}, {fault.path}" if fault.path else name, fault.pointer, fault.message, fault.accepted)
