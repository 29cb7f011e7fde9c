"""Plans that were made anew keep what was before them: ``earlier/1``, ``earlier/2`` and so on in the plan's folder.

A copy of every file that the earlier plan wrote, and of the record beside it, is built and synced in the folder's own
``.cleatwright`` and renamed into place: whole or not at all. Only then is the plan itself exchanged. An interruption in
between leaves the plan as it was and a copy of it, which the next run finds to be the same and uses.
"""

from __future__ import annotations

import os
import secrets
import shutil
from itertools import count
from pathlib import Path
from typing import Final

from nesting.errors import BadInput, Fault
from nesting.paper.contents import PLAN
from nesting.paper.folder import MARK, sync_folder, written_names
from nesting.plan import plan_from_json
from nesting.progress.file import NAME
from nesting.progress.record import fingerprint

EARLIER: Final = "earlier"
_DRAFT: Final = "earlier-"


def keep_earlier(folder: Path) -> str:
    """Keep a copy of the plan in ``folder`` and return its name below it, as ``earlier/1``.

    Raises :class:`~nesting.errors.BadInput` where something else has the name ``earlier``, and ``OSError`` where the
    disk refuses; the folder is then as it was.
    """
    place = folder / EARLIER
    if place.is_symlink() or (os.path.lexists(place) and not place.is_dir()):
        raise BadInput(
            [Fault(str(place), "", "is a file or a link where earlier plans are kept", "another name for it")]
        )
    _sweep(folder)
    names = [name for name in (*written_names(folder), NAME) if (folder / name).is_file()]
    number = next(n for n in count(1) if not os.path.lexists(place / str(n)) or _same(place / str(n), folder))
    kept = f"{EARLIER}/{number}"
    if os.path.lexists(folder / kept):
        return kept
    draft = folder / MARK / f"{_DRAFT}{secrets.token_hex(8)}"
    try:
        for name in names:
            target = draft / name
            target.parent.mkdir(parents=True, exist_ok=True)
            _copy(folder / name, target)
        for made in {draft, *((draft / name).parent for name in names)}:
            sync_folder(made)
        place.mkdir(exist_ok=True)
        draft.rename(folder / kept)
    except BaseException:
        shutil.rmtree(draft, ignore_errors=True)
        raise
    sync_folder(place)
    return kept


def find_earlier(folder: Path, mark: str) -> Path | None:
    """Return where the plan of a fingerprint is kept in ``folder``, None where it is not, or cannot be read."""
    for place in sorted((folder / EARLIER).glob("[0-9]*")):
        try:
            plan = plan_from_json((place / PLAN).read_text(encoding="utf-8"))
        except (OSError, ValueError, BadInput):
            continue  # somebody else's, or damaged: it is none of ours
        if fingerprint(plan) == mark:
            return place
    return None


def _same(kept: Path, folder: Path) -> bool:
    """Whether a kept plan is the one that still lies in the folder."""
    try:
        return (kept / PLAN).read_bytes() == (folder / PLAN).read_bytes()
    except OSError:
        return False


def _sweep(folder: Path) -> None:
    """Remove what a run that was killed left half copied."""
    for place in (folder / MARK).glob(f"{_DRAFT}*"):
        shutil.rmtree(place, ignore_errors=True)


def _copy(source: Path, target: Path) -> None:
    with source.open("rb") as old, target.open("xb") as new:
        shutil.copyfileobj(old, new)
        new.flush()
        os.fsync(new.fileno())
