"""``new``: a starter file, never over another one."""

import os

import pytest

from nesting.project.starter import starter_text


def test_writes_the_starter_file(cleatwright, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    ran = cleatwright("new")
    assert (ran.status, ran.err) == (0, "")
    assert "cleatwright plan cleatwright.toml" in ran.out
    assert (tmp_path / "cleatwright.toml").read_text(encoding="utf-8") == starter_text()


def test_dash_prints_it(cleatwright):
    ran = cleatwright("new", "-")
    assert (ran.status, ran.out, ran.err) == (0, starter_text(), "")


def test_wall_starts_with_a_wall(cleatwright):
    ran = cleatwright("new", "--wall", "-")
    assert (ran.status, ran.out, ran.err) == (0, starter_text(wall=True), "")
    assert "[wall]" in ran.out


def test_refuses_to_overwrite(cleatwright, tmp_path):
    (tmp_path / "mine.toml").write_bytes(b"mine")
    ran = cleatwright("new", str(tmp_path / "mine.toml"))
    assert (ran.status, ran.out) == (2, "")
    assert "nothing is overwritten" in ran.err
    assert (tmp_path / "mine.toml").read_bytes() == b"mine"


def test_does_not_write_through_a_dangling_link(cleatwright, tmp_path):
    (tmp_path / "link.toml").symlink_to(tmp_path / "elsewhere")
    assert cleatwright("new", str(tmp_path / "link.toml")).status == 2
    assert not (tmp_path / "elsewhere").exists()


@pytest.mark.parametrize(
    ("path", "words"),
    [("nowhere/x.toml", "folder is not there"), (".", "is there already"), ("a\0b", "is no path"), ("", "")],
)
def test_paths_that_cannot_be(cleatwright, tmp_path, monkeypatch, path, words):
    monkeypatch.chdir(tmp_path)
    ran = cleatwright("new", path)
    assert ran.status == 2
    assert words in ran.err
    assert list(tmp_path.iterdir()) == []


def test_full_disk_leaves_no_half_of_a_file(cleatwright):
    full = "/dev/full"  # opening it anew fails, as it is there already: nothing is lost
    assert os.path.exists(full)
    assert cleatwright("new", full).status == 2
