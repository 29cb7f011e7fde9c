"""The program as a whole: help, version, and what it does not know."""

import pytest


def test_help_lists_what_there_is(cleatwright):
    ran = cleatwright("--help")
    assert ran.status == 0
    for command in ("new", "plan", "check", "compare", "serve", "done", "spoiled", "measured", "replan", "rack"):
        assert f"\n  {command} " in ran.out
    assert max(map(len, ran.out.splitlines())) <= 100


def test_version(cleatwright):
    ran = cleatwright("--version")
    assert ran.status == 0
    assert ran.out.startswith("cleatwright")


def test_nothing_asked_is_answered_with_the_help(cleatwright):
    ran = cleatwright()
    assert (ran.status, ran.out) == (2, "")
    assert ran.err.startswith("Usage: cleatwright")


@pytest.mark.parametrize(
    "arguments", [("plann",), ("plan",), ("plan", "x", "--ouut", "y"), ("check", "a", "b"), ("--x",)]
)
def test_mistyped_commands(cleatwright, arguments):
    ran = cleatwright(*arguments)
    assert (ran.status, ran.out) == (2, "")
    (line,) = ran.err.splitlines()
    assert line.endswith("(cleatwright --help tells what there is)")


def test_ctrl_c_while_reading_is_told(cleatwright, project, monkeypatch):
    def interrupted(_path):
        raise KeyboardInterrupt

    monkeypatch.setattr("nesting.project.read.read_project", interrupted)
    ran = cleatwright("plan", project, "--out", "out")
    assert (ran.status, ran.out, ran.err.strip()) == (130, "", "Stopped.")


def test_ctrl_c_while_loading_shows_no_traceback(monkeypatch, capfd):
    from cli.__main__ import run

    def interrupted(_arguments):
        raise KeyboardInterrupt

    monkeypatch.setattr("cli.main.main", interrupted)
    monkeypatch.setattr("threading.active_count", lambda: 1)
    with pytest.raises(SystemExit) as ended:
        run()
    assert ended.value.code == 130
    assert capfd.readouterr() == ("", "")
