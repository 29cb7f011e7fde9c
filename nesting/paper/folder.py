"""The folder a plan is written into: whole or not at all, and nobody else's file touched.

A folder that is not there yet is built beside its place under a hidden name and renamed into it: one step,
whole or nothing. A folder that is there may hold its owner's files, so its plan is exchanged inside it:

1. the new files are written and synced in ``.cleatwright/next``, and a journal says what is to be exchanged;
2. ``plan.json`` leaves first, then the rest of the earlier plan; the new files arrive, ``plan.json`` last.

So whenever ``plan.json`` is there, all that belongs to it is there too. An error on the way is undone; after a
crash the next run finds the journal and finishes the exchange, each step of which can be repeated. The manifest
``.cleatwright/written.json`` holds a checksum (SHA-256) of each file written: only such files are exchanged, and
one that was edited since is kept beside the new one under a name of its own. Write-ahead journal and ordered
renames are common practice (Gray and Reuter, "Transaction Processing", 1993, from memory).
"""

from __future__ import annotations

import contextlib
import glob
import hashlib
import json
import os
import re
import secrets
import shutil
import time
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

from nesting.errors import BadInput, Fault
from nesting.paper.contents import ALWAYS, COMPARISON, HEADS, LAYOUTS

MARK: Final = ".cleatwright"
_JOURNAL: Final = "journal.json"
_MANIFEST: Final = "written.json"
_NEXT: Final = "next"
_OLD: Final = "old"
_STEP: Final = r"[A-Za-z0-9][A-Za-z0-9._-]*"
_OUR_NAME: Final = re.compile(rf"{_STEP}(?:/{_STEP})?")
_ABANDONED_AFTER: Final = 3600.0
"""Seconds after which a half-built folder beside its place has no writer any more."""


@dataclass(frozen=True, slots=True)
class Written:
    """What was written where; ``kept`` pairs each edited file of an earlier plan with its new name."""

    folder: Path
    files: tuple[str, ...]
    kept: tuple[tuple[str, str], ...]


def look_over(folder: Path, always: tuple[str, ...] = ALWAYS) -> None:
    """Say before the work begins whether a plan can be written into ``folder``; finish an interrupted exchange.

    ``always``: files that will be written whatever the plan. Raises :class:`~nesting.errors.BadInput` with every
    reason against it.
    """
    if "\0" in str(folder):
        raise BadInput([Fault(str(folder), "", "is no path: it holds a null byte")])
    nearest = next(place for place in (folder, *folder.absolute().parents) if os.path.lexists(place))
    if not nearest.is_dir():
        raise BadInput([Fault(str(nearest), "", "is not a folder", "a folder, there already or to be made")])
    if not os.access(nearest, os.W_OK | os.X_OK):
        raise BadInput([Fault(str(nearest), "", "cannot be written to", "a folder with leave to write")])
    if not folder.is_dir():
        return
    if (folder / MARK / _JOURNAL).exists():
        with _only_writer(folder):
            _finish_interrupted(folder)
    _refuse_other_kind(folder, always, _manifest(folder))
    _refuse_strangers(folder, always, _manifest(folder))


def write_folder(folder: Path, files: Mapping[str, bytes]) -> Written:
    """Write the files of one plan into ``folder`` in place of those of the plan before.

    ``files`` maps names below the folder (``/`` between, at most one folder deep) to their bytes and holds
    ``plan.json`` or ``compare.json``. Raises :class:`~nesting.errors.BadInput` where a file of that name is somebody
    else's, and ``OSError`` where the disk refuses; in both cases the folder is as it was.
    """
    odd = [name for name in files if not _OUR_NAME.fullmatch(name)]
    if odd or not any(head in files for head in HEADS):
        raise ValueError(f"these are not the files of a plan: {odd or f'{HEADS[0]} is missing'}")
    try:
        if not os.path.lexists(folder):
            with contextlib.suppress(_Taken):
                return _build(folder, files)
        with _only_writer(folder):
            return _exchange(folder, files)
    except OSError as error:
        raise OSError(error.errno, error.strerror or "cannot be written", str(folder)) from error


# -- a folder that is not there yet


class _Taken(Exception):
    """Somebody else made the folder meanwhile."""


def _build(folder: Path, files: Mapping[str, bytes]) -> Written:
    parent = folder.absolute().parent
    made = [place for place in (parent, *parent.parents) if not place.exists()]
    hidden = f".{folder.name}{MARK}-"
    parent.mkdir(parents=True, exist_ok=True)
    _sweep(parent, hidden)
    draft = parent / f"{hidden}{secrets.token_hex(8)}"
    try:
        (draft / MARK).mkdir(parents=True)
        _write_all(draft, files)
        _write(draft / MARK / _MANIFEST, _manifest_of(files))
        _sync_folders(draft)
        try:
            draft.rename(folder)
        except OSError:
            if os.path.lexists(folder):
                raise _Taken from None
            raise
    except BaseException:
        shutil.rmtree(draft, ignore_errors=True)
        for place in made:
            with contextlib.suppress(OSError):  # not empty: somebody else uses it
                place.rmdir()
        raise
    sync_folder(parent)
    return Written(folder, tuple(files), ())


def _sweep(parent: Path, hidden: str) -> None:
    """Remove what a run that was killed left half built."""
    for place in parent.glob(f"{glob.escape(hidden)}*"):
        with contextlib.suppress(OSError):
            if time.time() - place.stat().st_mtime > _ABANDONED_AFTER:
                shutil.rmtree(place, ignore_errors=True)


# -- a folder that is there


def _exchange(folder: Path, files: Mapping[str, bytes]) -> Written:
    mark = folder / MARK
    _finish_interrupted(folder)
    written = _manifest(folder)
    _refuse_other_kind(folder, tuple(files), written)
    _refuse_strangers(folder, tuple(files), written)
    new_mark = not mark.exists()
    arriving = tuple(sorted(files, key=lambda name: name in HEADS))
    swap = _Swap(folder, written, arriving)
    try:
        mark.mkdir(exist_ok=True)
        _write_all(mark / _NEXT, files)
        _write(mark / _NEXT / MARK, _manifest_of(files))
        _sync_folders(mark / _NEXT)
        draft = mark / f"{_JOURNAL}.draft"
        draft.unlink(missing_ok=True)
        _write(draft, json.dumps({"leaving": written, "arriving": arriving}).encode())
        draft.replace(mark / _JOURNAL)
        sync_folder(mark)
        swap.carry_out()
    except BaseException:
        swap.undo()  # where even that fails, the journal stays for the next run
        _clear(mark)
        if new_mark:
            shutil.rmtree(mark, ignore_errors=True)
        raise
    _sync_folders(folder)
    _clear(mark)
    return Written(folder, tuple(files), tuple(swap.kept))


@dataclass(slots=True)
class _Swap:
    """The exchange of one plan for the next; each step of it can be repeated, and undone in this process."""

    folder: Path
    leaving: Mapping[str, str]
    arriving: tuple[str, ...]
    done: list[tuple[Path, Path]] = field(default_factory=list)
    kept: list[tuple[str, str]] = field(default_factory=list)

    def carry_out(self) -> None:
        """Let the earlier plan leave, ``plan.json`` first, and the new one arrive, ``plan.json`` last."""
        mark, arriving = self.folder / MARK, set(self.arriving)
        for name in sorted(self.leaving, key=lambda name: name not in HEADS):
            arrived = name in arriving and not (mark / _NEXT / name).exists()
            if not arrived:
                self._set_aside(name, self.leaving[name])
        manifest = mark / _NEXT / MARK
        if manifest.exists():
            if (mark / _MANIFEST).exists():
                self._move(mark / _MANIFEST, mark / _OLD / MARK)
            self._move(manifest, mark / _MANIFEST)
        for name in self.arriving:
            coming = mark / _NEXT / name
            if coming.exists():
                self._set_aside(name, "")  # put there since the journal was written: not ours
                self._move(coming, self.folder / name)
        for place in {(self.folder / name).parent for name in self.leaving} - {self.folder}:
            with contextlib.suppress(OSError):  # not empty
                place.rmdir()

    def undo(self) -> None:
        """Put everything moved so far back where it was."""
        while self.done:
            source, target = self.done[-1]
            if os.path.lexists(target) and not os.path.lexists(source):
                source.parent.mkdir(parents=True, exist_ok=True)
                target.rename(source)
            self.done.pop()

    def _set_aside(self, name: str, checksum: str) -> None:
        place = self.folder / name
        if not os.path.lexists(place):
            return
        if place.is_file() and not place.is_symlink() and _checksum(place) == checksum:
            self._move(place, self.folder / MARK / _OLD / name)
            return
        beside = _free_name(place)
        self._move(place, beside)
        self.kept.append((name, beside.relative_to(self.folder).as_posix()))

    def _move(self, source: Path, target: Path) -> None:
        target.parent.mkdir(parents=True, exist_ok=True)
        self.done.append((source, target))  # noted first: an interruption may come right after the move
        source.rename(target)


def _free_name(place: Path) -> Path:
    """Return a name beside a file that is not taken: steps.edited.csv, steps.edited-2.csv and so on."""
    number = 1
    while True:
        mark = ".edited" if number == 1 else f".edited-{number}"
        free = place.with_name(f"{place.stem}{mark}{place.suffix}")
        if not os.path.lexists(free):
            return free
        number += 1


def _finish_interrupted(folder: Path) -> None:
    mark = folder / MARK
    journal = _read(mark / _JOURNAL)
    if isinstance(journal, dict):
        leaving, arriving = journal.get("leaving"), journal.get("arriving")
        _refuse_links(folder)
        _Swap(folder, _names(leaving), tuple(_names(dict.fromkeys(arriving or (), "")))).carry_out()
        _sync_folders(folder)
    _clear(mark)


def _clear(mark: Path) -> None:
    """Forget an exchange that is over: the journal first, so that nobody repeats it."""
    if (mark / _JOURNAL).exists():
        (mark / _JOURNAL).unlink()
        sync_folder(mark)
    for name in (_NEXT, _OLD):
        shutil.rmtree(mark / name, ignore_errors=True)


def _refuse_strangers(folder: Path, names: tuple[str, ...], written: Mapping[str, str]) -> None:
    _refuse_links(folder)
    faults = [
        Fault(str(folder / name), "", "is there already and was not written by a plan", "another folder, or move it")
        for name in names
        if name not in written and os.path.lexists(folder / name)
    ]
    if faults:
        raise BadInput(faults)


def _refuse_other_kind(folder: Path, names: tuple[str, ...], written: Mapping[str, str]) -> None:
    """Refuse to exchange a plan for a comparison, or the other way: one of the two would be lost."""
    if written and (COMPARISON in written) != (COMPARISON in names):
        kind = "comparison" if COMPARISON in written else "plan"
        raise BadInput([Fault(str(folder), "", f"holds a {kind}, which would be lost", "another folder")])


def _refuse_links(folder: Path) -> None:
    """Refuse what is no folder where one of ours belongs; a link would lead out of the folder."""
    for place in (folder / MARK, folder / MARK / _NEXT, folder / MARK / _OLD, folder / LAYOUTS):
        if place.is_symlink() or (place.exists() and not place.is_dir()):
            raise BadInput([Fault(str(place), "", "is a file or a link where a plan keeps a folder", "another folder")])


@contextlib.contextmanager
def _only_writer(folder: Path) -> Iterator[None]:
    """Hold a folder against another run of this program, where the system has such locks."""
    try:
        import fcntl
    except ImportError:  # Windows: a second writer fails at its first rename
        yield
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            raise BadInput([Fault(str(folder), "", "another plan is being written into it")]) from None
        yield
    finally:
        os.close(handle)


# -- files


def written_names(folder: Path) -> tuple[str, ...]:
    """Return the names of the files that a plan wrote into a folder; none where nothing tells."""
    return tuple(_manifest(folder))


def _manifest(folder: Path) -> Mapping[str, str]:
    """Return the checksums of what was written into a folder; empty where nothing tells."""
    manifest = _read(folder / MARK / _MANIFEST)
    return _names(manifest.get("files")) if isinstance(manifest, dict) else {}


def _manifest_of(files: Mapping[str, bytes]) -> bytes:
    sums = {name: hashlib.sha256(data).hexdigest() for name, data in files.items()}
    return json.dumps({"files": sums}, indent=1).encode()


def _names(raw: object) -> dict[str, str]:
    """Return what can be a file of ours, whoever wrote the list."""
    pairs = raw.items() if isinstance(raw, Mapping) else ()
    return {name: str(value) for name, value in pairs if isinstance(name, str) and _OUR_NAME.fullmatch(name)}


def _read(place: Path) -> Any:
    try:
        return json.loads(place.read_bytes())
    except (FileNotFoundError, NotADirectoryError):
        return None
    except ValueError:  # damaged: it tells nothing, so nothing counts as ours
        return None


def _checksum(place: Path) -> str:
    return hashlib.sha256(place.read_bytes()).hexdigest()


def _write_all(folder: Path, files: Mapping[str, bytes]) -> None:
    for name, data in files.items():
        place = folder / name
        place.parent.mkdir(parents=True, exist_ok=True)
        _write(place, data)


def _write(place: Path, data: bytes) -> None:
    with place.open("xb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())


def _sync_folders(top: Path) -> None:
    """Sync a folder and those in it that are ours."""
    for place in (top, *(top / name for name in (MARK, LAYOUTS))):
        if place.is_dir():
            sync_folder(place)


def sync_folder(place: Path) -> None:
    """Have the system write down the names in a folder."""
    if os.name == "nt":  # folders cannot be opened there
        return
    handle = os.open(place, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
