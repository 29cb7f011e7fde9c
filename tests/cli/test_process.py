"""The program as a process: signals, pipes, full devices, locales, a real terminal."""

import errno
import os
import pty
import signal
import subprocess
import sys
import time
from contextlib import contextmanager
from pathlib import Path

import pytest

from nesting.plan import plan_from_json

ROOT = Path(__file__).resolve().parents[2]
FAKE = str(Path(__file__).with_name("fake_make.py"))


def _variables(**more: str) -> dict[str, str]:
    kept = {name: value for name, value in os.environ.items() if name not in ("NO_COLOR", "PYTHONIOENCODING")}
    return {**kept, "PYTHONPATH": str(ROOT), **more}


@contextmanager
def _started(making: str, *arguments: str, **options):
    options = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "env": _variables()} | options
    process = subprocess.Popen([sys.executable, FAKE, making, *arguments], **options)
    try:
        yield process
    finally:
        process.kill()
        process.wait()
        for stream in (process.stdout, process.stderr):
            if stream is not None:
                stream.close()


def _wait_for(stream, words: bytes) -> bytes:
    """Read lines until one holds ``words``."""
    seen = b""
    for line in stream:
        seen += line
        if words in line:
            return seen
    raise AssertionError(seen.decode())


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_first_signal_keeps_the_best_plan_so_far(project, number):
    with _started("until stopped", "plan", project, "--out", "out") as process:
        _wait_for(process.stderr, b"improving")
        process.send_signal(number)
        out, err = process.communicate(timeout=30)
    assert process.returncode == 0
    assert b"Stopping: the best plan so far" in err
    assert b"it is unproven" in err
    assert b"it is unproven" in out
    assert not plan_from_json(Path("out/plan.json").read_text(encoding="utf-8")).proven
    assert {path.name for path in Path().iterdir()} == {project, "out"}


def test_second_ctrl_c_gives_up(project):
    with _started("deaf", "plan", project, "--out", "out") as process:
        _wait_for(process.stderr, b"improving")
        process.send_signal(signal.SIGINT)
        _wait_for(process.stderr, b"Stopping")
        process.send_signal(signal.SIGINT)
        out, err = process.communicate(timeout=30)
    assert (process.returncode, out) == (130, b"")
    assert err.endswith(b"Stopped.\n")
    assert b"Traceback" not in err
    assert {path.name for path in Path().iterdir()} == {project}


def test_ctrl_c_before_there_is_a_plan(project):
    with _started("nothing found", "plan", project, "--out", "out") as process:
        _wait_for(process.stderr, b"bounds")
        process.send_signal(signal.SIGINT)
        out, err = process.communicate(timeout=30)
    assert (process.returncode, out) == (130, b"")
    assert b"There was no plan yet, so nothing is written." in err
    assert not Path("out").exists()


def _with_output_nobody_reads(*arguments: str) -> tuple[int, bytes]:
    reading, writing = os.pipe()
    os.close(reading)
    try:
        with _started("proven", *arguments, stdout=writing) as process:
            _, err = process.communicate(timeout=30)
    finally:
        os.close(writing)
    return process.returncode, err


def test_broken_pipe_after_the_plan_is_written(project):
    status, err = _with_output_nobody_reads("plan", project, "--out", "out")
    assert status == 0
    assert err == b"Not everything could be printed: nobody reads it any more. The plan lies whole in out.\n"
    assert Path("out/plan.json").exists()


@pytest.mark.parametrize("line", ["plan demo.toml --json", "new -", "--version"])
def test_broken_pipe_where_the_output_was_all(project, line):
    status, err = _with_output_nobody_reads(*line.split())
    assert status == 1
    assert err == b"Not everything could be printed: nobody reads it any more.\n"


def test_broken_pipe_of_the_help_is_quiet(project):
    assert _with_output_nobody_reads("--help") == (1, b"")


@pytest.mark.parametrize(
    ("line", "more"), [("plan demo.toml --out out", b" The plan lies whole in out."), ("new -", b"")]
)
def test_full_device_as_output(project, line, more):
    with open("/dev/full", "wb") as full, _started("proven", *line.split(), stdout=full) as process:
        _, err = process.communicate(timeout=30)
    assert process.returncode == 1
    assert err == b"Not everything could be printed: No space left on device." + more + b"\n"


def test_closed_output(project):
    command = f"exec {sys.executable} {FAKE} proven plan {project} --out out >&- 2>&-"
    assert subprocess.run(["sh", "-c", command], env=_variables(), timeout=30, check=False).returncode == 1
    assert Path("out/plan.json").exists()


@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "cp1252"])
def test_any_locale_will_do(project, encoding):
    with _started("proven", "plan", project, "--out", "out", env=_variables(PYTHONIOENCODING=encoding)) as process:
        out, err = process.communicate(timeout=30)
    assert (process.returncode, err) == (0, b"")
    assert "1 × ".encode(encoding, "replace") in out
    with _started("proven", "new", "-", env=_variables(PYTHONIOENCODING=encoding)) as process:
        out, _ = process.communicate(timeout=30)
    out.decode("utf-8")


def _on_a_terminal(making: str, *arguments: str, **variables: str) -> tuple[int, str]:
    ours, theirs = pty.openpty()
    shown = b""
    try:
        with _started(making, *arguments, stdout=theirs, stderr=theirs, env=_variables(**variables)) as process:
            os.close(theirs)
            deadline = time.monotonic() + 30
            while time.monotonic() < deadline:
                try:
                    piece = os.read(ours, 65536)
                except OSError as error:
                    if error.errno == errno.EIO:  # how Linux says that the other end is closed
                        break
                    raise
                if not piece:
                    break
                shown += piece
            status = process.wait(timeout=30)
    finally:
        os.close(ours)
    return status, shown.decode()


def test_a_terminal_gets_a_bar_with_cost_and_bound(project):
    status, shown = _on_a_terminal("open", "plan", project, "--out", "out", TERM="xterm", COLUMNS="120")
    assert status == 0
    assert "improving: cost 20.00 USD, bound 10.00 USD, gap 50.0 %" in shown
    assert "\x1b[1mBuy\x1b[0m" in shown
    assert "\x1b[?25h" in shown  # the cursor is shown again


def test_a_terminal_without_colour(project):
    _, shown = _on_a_terminal("open", "plan", project, "--out", "out", TERM="xterm", COLUMNS="120", NO_COLOR="1")
    assert "cost 20.00 USD" in shown
    assert "\x1b[3" not in shown  # no colour of ink
    assert "\x1b[1m" not in shown


def test_a_dumb_terminal_gets_plain_lines(project):
    _, shown = _on_a_terminal("open", "plan", project, "--out", "out", TERM="dumb")
    assert "\x1b" not in shown
    assert "  0.3 s  improving: cost 20.00 USD" in shown
