"""The table of malformed projects, handed to ``plan``: status 2, each fault on a line with its key."""

from pathlib import Path

import pytest

from cli.terminal import plain
from tests.malformed import LEGAL, MALFORMED


@pytest.mark.parametrize("row", MALFORMED, ids=lambda row: row.id)
def test_malformed_projects_are_refused_whole(cleatwright, tmp_path, monkeypatch, row):
    monkeypatch.chdir(tmp_path)
    form = row.form if isinstance(row.document, str) else "json"
    Path(f"job.{form}").write_text(row.document if form == "toml" else row.json_text, encoding="utf-8")
    ran = cleatwright("plan", f"job.{form}", "--out", "out", making="proven")
    assert (ran.status, ran.out) == (2, "")
    head, *lines = ran.err.splitlines()
    assert head == f"{len(lines)} problem{'' if len(lines) == 1 else 's'}:"
    assert "Traceback" not in ran.err
    for path, words in row.faults:
        assert any(line.startswith(f"  {plain(path)}") and plain(words) in line for line in lines), (path, words)
    assert not Path("out").exists()


@pytest.mark.parametrize("row", LEGAL, ids=lambda row: row.id)
def test_odd_but_legal_projects_are_planned(cleatwright, tmp_path, monkeypatch, row):
    monkeypatch.chdir(tmp_path)
    Path("job.json").write_text(row.json_text or "", encoding="utf-8")
    ran = cleatwright("plan", "job.json", "--out", "out", making="proven")
    assert (ran.status, ran.err) == (0, "")
    assert Path("out/plan.json").exists()
