"""The folder of a plan: whole or not at all, the owner's files untouched, at whatever moment it is interrupted."""

import errno
import json
import os
import shutil
import sys
import time
from pathlib import Path

import pytest

from nesting.errors import BadInput
from nesting.paper import folder as subject
from nesting.paper.folder import MARK, look_over, write_folder

FIRST = {"plan.json": b"1", "steps.csv": b"s1", "buy.csv": b"b1", "layouts/A1.svg": b"a1", "layouts/A5.svg": b"a5"}
SECOND = {"plan.json": b"2", "steps.csv": b"s2", "buy.csv": b"b2", "layouts/A1.svg": b"a1'", "layouts/B1.svg": b"new"}


def seen(place: Path) -> dict[str, bytes]:
    """Every file that its owner sees: all but our own corner."""
    return {
        path.relative_to(place).as_posix(): path.read_bytes()
        for path in place.rglob("*")
        if path.is_file() and MARK not in path.parts
    }


def corner(place: Path) -> set[str]:
    return {path.name for path in (place / MARK).iterdir()}


class Killed(BaseException):
    """Stands for a process that ends where it stands: nothing of it runs on."""


def _nothing_runs_after_a_crash(patch: pytest.MonkeyPatch) -> None:
    """Keep the handler of an error from tidying up where the process would be dead."""
    undo, clear = subject._Swap.undo, subject._clear
    patch.setattr(subject._Swap, "undo", lambda swap: None if _crashed() else undo(swap))
    patch.setattr(subject, "_clear", lambda mark: None if _crashed() else clear(mark))


def _crashed() -> bool:
    return isinstance(sys.exc_info()[1], Killed)


class TestNewFolder:
    def test_holds_every_file(self, tmp_path):
        written = write_folder(tmp_path / "out", FIRST)
        assert seen(tmp_path / "out") == FIRST
        assert (written.folder, written.files, written.kept) == (tmp_path / "out", tuple(FIRST), ())
        assert [path.name for path in tmp_path.iterdir()] == ["out"]

    def test_is_made_with_the_folders_above_it(self, tmp_path):
        write_folder(tmp_path / "a" / "b" / "out", FIRST)
        assert seen(tmp_path / "a" / "b" / "out") == FIRST

    @pytest.mark.parametrize("at", range(10))  # six files, three folders, the rename
    def test_full_disk_leaves_nothing(self, tmp_path, monkeypatch, at):
        _fail_at(monkeypatch, at, OSError(errno.ENOSPC, "No space left on device"))
        with pytest.raises(OSError, match="No space left") as caught:
            write_folder(tmp_path / "a" / "out", FIRST)
        assert caught.value.filename == str(tmp_path / "a" / "out")
        assert list(tmp_path.iterdir()) == []

    def test_somebody_else_makes_it_meanwhile(self, tmp_path, monkeypatch):
        out = tmp_path / "out"
        sync = subject._sync_folders

        def meanwhile(top):
            sync(top)
            if not out.exists():
                out.mkdir()
                (out / "mine.txt").write_bytes(b"mine")

        monkeypatch.setattr(subject, "_sync_folders", meanwhile)
        write_folder(out, FIRST)
        assert seen(out) == {**FIRST, "mine.txt": b"mine"}

    def test_drafts_of_killed_runs_are_swept_when_old(self, tmp_path):
        old, young, other = (
            tmp_path / name for name in (".out.cleatwright-0", ".out.cleatwright-1", ".x.cleatwright-0")
        )
        for place in (old, young, other):
            place.mkdir()
        os.utime(old, (time.time() - 7200,) * 2)
        os.utime(other, (time.time() - 7200,) * 2)
        write_folder(tmp_path / "out", FIRST)
        assert (old.exists(), young.exists(), other.exists()) == (False, True, True)


class TestFolderInUse:
    def test_next_plan_takes_the_place_of_the_earlier(self, tmp_path):
        write_folder(tmp_path, FIRST)
        written = write_folder(tmp_path, SECOND)
        assert seen(tmp_path) == SECOND
        assert written.kept == ()
        assert corner(tmp_path) == {"written.json"}

    def test_full_disk_leaves_an_owners_folder_as_it_was(self, tmp_path, monkeypatch):
        (tmp_path / "notes.txt").write_bytes(b"mine")
        _fail_at(monkeypatch, 2, OSError(errno.ENOSPC, "No space left on device"))
        with pytest.raises(OSError, match="No space left"):
            write_folder(tmp_path, FIRST)
        assert [path.name for path in tmp_path.iterdir()] == ["notes.txt"]

    def test_owner_keeps_what_is_the_owners(self, tmp_path):
        (tmp_path / "layouts").mkdir()
        mine = {"notes.txt": b"mine", "layouts/sketch.svg": b"sketch"}
        for name, data in mine.items():
            (tmp_path / name).write_bytes(data)
        write_folder(tmp_path, FIRST)
        write_folder(tmp_path, SECOND)
        assert seen(tmp_path) == SECOND | mine

    def test_empty_folder_of_drawings_goes(self, tmp_path):
        write_folder(tmp_path, FIRST)
        write_folder(tmp_path, {"plan.json": b"3"})
        assert seen(tmp_path) == {"plan.json": b"3"}
        assert not (tmp_path / "layouts").exists()

    def test_edited_files_are_kept_aside(self, tmp_path):
        write_folder(tmp_path, FIRST)
        (tmp_path / "steps.csv").write_bytes(b"my notes")
        (tmp_path / "layouts" / "A5.svg").write_bytes(b"my drawing")
        written = write_folder(tmp_path, SECOND)
        kept = {"steps.edited.csv": b"my notes", "layouts/A5.edited.svg": b"my drawing"}
        assert seen(tmp_path) == SECOND | kept
        assert set(written.kept) == {("steps.csv", "steps.edited.csv"), ("layouts/A5.svg", "layouts/A5.edited.svg")}
        (tmp_path / "steps.csv").write_bytes(b"more notes")
        write_folder(tmp_path, FIRST)
        assert seen(tmp_path) == FIRST | kept | {"steps.edited-2.csv": b"more notes"}

    def test_link_in_place_of_a_file_is_kept_and_not_followed(self, tmp_path):
        write_folder(tmp_path / "out", FIRST)
        outside = tmp_path / "outside"
        outside.write_bytes(b"s1")
        (tmp_path / "out" / "steps.csv").unlink()
        (tmp_path / "out" / "steps.csv").symlink_to(outside)
        write_folder(tmp_path / "out", SECOND)
        assert outside.read_bytes() == b"s1"
        assert (tmp_path / "out" / "steps.edited.csv").is_symlink()
        assert (tmp_path / "out" / "steps.csv").read_bytes() == b"s2"

    def test_removed_files_come_back(self, tmp_path):
        write_folder(tmp_path, FIRST)
        (tmp_path / "plan.json").unlink()
        shutil.rmtree(tmp_path / "layouts")
        write_folder(tmp_path, SECOND)
        assert seen(tmp_path) == SECOND

    @pytest.mark.parametrize("name", ["plan.json", "steps.csv", "buy.csv", "layouts/A1.svg"])
    def test_somebody_elses_file_of_our_name_is_refused(self, tmp_path, name):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_bytes(b"mine")
        with pytest.raises(BadInput, match="was not written by a plan"):
            write_folder(tmp_path, FIRST)
        assert seen(tmp_path) == {name: b"mine"}
        assert not (tmp_path / MARK).exists()

    @pytest.mark.parametrize(
        "damage", [b"", b"{", b"[]", b'{"files": 3}', b'{"files": {"../../x": "0", "/etc/x": "0"}}']
    )
    def test_damaged_manifest_counts_nothing_as_ours(self, tmp_path, damage):
        write_folder(tmp_path, FIRST)
        (tmp_path / MARK / "written.json").write_bytes(damage)
        with pytest.raises(BadInput):
            write_folder(tmp_path, SECOND)
        assert seen(tmp_path) == FIRST

    @pytest.mark.parametrize("name", ["layouts", MARK])
    @pytest.mark.parametrize("kind", ["link", "file"])
    def test_links_and_files_in_place_of_our_folders_are_refused(self, tmp_path, name, kind):
        out, outside = tmp_path / "out", tmp_path / "outside"
        out.mkdir()
        outside.mkdir()
        if kind == "link":
            (out / name).symlink_to(outside, target_is_directory=True)
        else:
            (out / name).write_bytes(b"")
        with pytest.raises(BadInput, match="file or a link"):
            write_folder(out, FIRST)
        assert list(outside.iterdir()) == []

    def test_one_writer_at_a_time(self, tmp_path):
        write_folder(tmp_path, FIRST)
        with subject._only_writer(tmp_path), pytest.raises(BadInput, match="another plan"):
            write_folder(tmp_path, SECOND)
        assert seen(tmp_path) == FIRST

    @pytest.mark.parametrize(
        "names", [{"plan.json": b"", "../x": b""}, {"steps.csv": b""}, {"plan.json": b"", "/x": b""}]
    )
    def test_only_files_of_a_plan_are_written(self, tmp_path, names):
        with pytest.raises(ValueError, match="not the files of a plan"):
            write_folder(tmp_path, names)
        assert list(tmp_path.iterdir()) == []


def _fail_at(monkeypatch, at: int, error: BaseException, names: tuple[str, ...] = ("rename", "fsync", "replace")):
    """Let the ``at``-th call that changes the disk fail, before it has done anything; return the count of calls."""
    calls = []

    def failing(call):
        def counted(*arguments, **named):
            calls.append(call)
            if len(calls) == at + 1:
                raise error
            return call(*arguments, **named)

        return counted

    for name in names:
        monkeypatch.setattr(os, name, failing(getattr(os, name)))
    return calls


def _changes(tmp_path) -> int:
    """How many renames and syncs one exchange takes."""
    place = tmp_path / "count"
    write_folder(place, FIRST)
    with pytest.MonkeyPatch.context() as patch:
        calls = _fail_at(patch, 10**6, OSError())
        write_folder(place, SECOND)
    shutil.rmtree(place)
    return len(calls)


def test_failure_at_any_moment_leaves_the_earlier_or_the_new_plan_whole(tmp_path):
    count = _changes(tmp_path)
    assert count > 20
    outcomes = set()
    for at in range(count):
        place = tmp_path / str(at)
        write_folder(place, FIRST)
        (place / "mine.txt").write_bytes(b"mine")
        with pytest.MonkeyPatch.context() as patch:
            _fail_at(patch, at, OSError(errno.EIO, "Input/output error"))
            with pytest.raises(OSError, match="Input/output"):
                write_folder(place, SECOND)
        there = seen(place)
        assert there.pop("mine.txt") == b"mine"
        assert there in (FIRST, SECOND), at
        outcomes.add(there["plan.json"])
        write_folder(place, SECOND)
        assert seen(place) == SECOND | {"mine.txt": b"mine"}
        assert corner(place) == {"written.json"}
    assert b"1" in outcomes


def test_crash_at_any_moment_is_finished_by_the_next_run(tmp_path):
    count = _changes(tmp_path)
    halves = 0
    for at in range(count):
        place = tmp_path / str(at)
        write_folder(place, FIRST)
        (place / "mine.txt").write_bytes(b"mine")
        with pytest.MonkeyPatch.context() as patch:
            _fail_at(patch, at, Killed())
            _nothing_runs_after_a_crash(patch)
            with pytest.raises(Killed):
                write_folder(place, SECOND)
        there = seen(place)
        there.pop("mine.txt")
        if "plan.json" in there:  # then all that belongs to it is there
            assert there in (FIRST, SECOND), at
        else:
            halves += 1
        look_over(place)
        there = seen(place)
        assert there.pop("mine.txt") == b"mine"
        assert there in (FIRST, SECOND), at
        write_folder(place, SECOND)
        assert seen(place) == SECOND | {"mine.txt": b"mine"}
        assert corner(place) == {"written.json"}
    assert halves > 3


def test_file_put_into_a_half_exchanged_folder_is_kept(tmp_path, monkeypatch):
    write_folder(tmp_path, FIRST)
    _interrupt_before_arrival(tmp_path, monkeypatch)
    assert "plan.json" not in seen(tmp_path)
    (tmp_path / "plan.json").write_bytes(b"mine")
    look_over(tmp_path)
    assert seen(tmp_path) == SECOND | {"plan.edited.json": b"mine"}


@pytest.mark.parametrize(
    "journal",
    [
        b"{",
        b"[]",
        b'{"leaving": {"../mine.txt": "0"}, "arriving": ["../mine.txt", "/mine.txt", 3]}',
        b'{"leaving": 3, "arriving": null}',
    ],
)
def test_journal_that_is_none_moves_nothing(tmp_path, journal):
    out = tmp_path / "out"
    write_folder(out, FIRST)
    (tmp_path / "mine.txt").write_bytes(b"mine")
    (out / MARK / "journal.json").write_bytes(journal)
    look_over(out)
    assert seen(out) == FIRST
    assert (tmp_path / "mine.txt").read_bytes() == b"mine"
    assert not (out / MARK / "journal.json").exists()


def _interrupt_before_arrival(place, monkeypatch):
    """Leave a folder as a crash would: the earlier plan gone, the next not yet there."""
    with monkeypatch.context() as patch:
        _nothing_runs_after_a_crash(patch)
        rename = os.rename

        def killed(source, target, **named):
            if Path(target) == place / "plan.json":
                raise Killed
            return rename(source, target, **named)

        patch.setattr(os, "rename", killed)
        with pytest.raises(Killed):
            write_folder(place, SECOND)


class TestLookOver:
    def test_folders_that_will_do(self, tmp_path):
        look_over(tmp_path)
        look_over(tmp_path / "new" / "deep")
        write_folder(tmp_path / "out", FIRST)
        look_over(tmp_path / "out")
        assert {path.name for path in tmp_path.iterdir()} == {"out"}

    @pytest.mark.parametrize("below", ["", "/deeper/out"])
    def test_file_is_no_folder(self, tmp_path, below):
        (tmp_path / "file").write_bytes(b"")
        with pytest.raises(BadInput, match="file: is not a folder"):
            look_over(Path(f"{tmp_path}/file{below}"))

    def test_dangling_link_is_no_folder(self, tmp_path):
        (tmp_path / "link").symlink_to(tmp_path / "nowhere")
        with pytest.raises(BadInput, match="is not a folder"):
            look_over(tmp_path / "link")

    def test_folder_without_leave_to_write(self, tmp_path, monkeypatch):
        monkeypatch.setattr(os, "access", lambda _place, mode: not mode & os.W_OK)  # root may write anywhere
        with pytest.raises(BadInput, match="cannot be written to"):
            look_over(tmp_path / "out")

    def test_null_byte_is_no_path(self):
        with pytest.raises(BadInput, match="is no path"):
            look_over(Path("a\0b"))

    def test_every_stranger_is_named(self, tmp_path):
        (tmp_path / "plan.json").write_bytes(b"")
        (tmp_path / "buy.csv").write_bytes(b"")
        with pytest.raises(BadInput) as caught:
            look_over(tmp_path)
        assert [Path(fault.path).name for fault in caught.value.faults] == ["plan.json", "buy.csv"]


def test_manifest_names_what_was_written(tmp_path):
    write_folder(tmp_path / "out", FIRST)
    manifest = json.loads((tmp_path / "out" / MARK / "written.json").read_bytes())
    assert set(manifest["files"]) == set(FIRST)
