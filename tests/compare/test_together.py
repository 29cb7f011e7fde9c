"""Many tasks at once: answers in order, deaths made good, nothing left behind."""

import os
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from nesting.compare import together
from nesting.compare.together import all_of, cores
from nesting.errors import Bug
from tests.compare import acts

ROOT = Path(__file__).resolve().parents[2]


def _gone(pid: int) -> bool:
    for _ in range(600):
        try:
            os.kill(pid, 0)
        except ProcessLookupError:
            return True
        if Path(f"/proc/{pid}/stat").exists() and Path(f"/proc/{pid}/stat").read_text().split()[2] == "Z":
            return True
        time.sleep(0.05)
    return False


def _written(file: Path) -> int:
    for _ in range(600):
        if file.exists() and file.read_text():
            return int(file.read_text())
        time.sleep(0.05)
    raise AssertionError("the process never began")


def test_answers_come_in_order_and_are_heard():
    heard: dict[int, str] = {}
    texts = ["a", "b", "c", "d", "e"]
    assert all_of(texts, threading.Event(), heard.__setitem__, workers=2, act=acts.shout) == list("ABCDE")
    assert heard == dict(enumerate("ABCDE"))
    assert all_of([], threading.Event()) == []
    assert cores() >= 1


def test_a_process_that_is_ended_is_replaced(tmp_path):
    assert all_of([str(tmp_path / "mark")], threading.Event(), act=acts.die_once) == ["answered"]
    with pytest.raises(Bug, match="ended 3 times"):
        all_of(["x"], threading.Event(), act=acts.die)


def test_an_error_in_a_process_is_told():
    with pytest.raises(Bug, match="ValueError: no bread"):
        all_of(["bread"], threading.Event(), act=acts.fail)


def test_stopping_lets_tasks_finish_with_what_they_have(tmp_path):
    cancel, first = threading.Event(), tmp_path / "first"

    def stop():
        _written(first)
        cancel.set()

    threading.Thread(target=stop).start()
    answers = all_of([str(first), str(tmp_path / "second")], cancel, workers=1, act=acts.until_stopped)
    assert answers == ["stopped in time", None]
    assert not (tmp_path / "second").exists()
    assert _gone(int(first.read_text()))


def test_what_does_not_stop_is_killed(tmp_path, monkeypatch):
    monkeypatch.setattr(together, "GRACE", 0.2)
    cancel, mark = threading.Event(), tmp_path / "mark"
    threading.Thread(target=lambda: (_written(mark), cancel.set())).start()
    assert all_of([str(mark)], cancel, act=acts.deaf) == [None]
    assert _gone(int(mark.read_text()))


def test_nothing_is_left_where_the_command_is_killed(tmp_path):
    mark = tmp_path / "mark"
    program = (
        "import sys, threading\nfrom tests.compare import acts\nfrom nesting.compare.together import all_of\n"
        "if __name__ == '__main__':\n    all_of([sys.argv[1]], threading.Event(), act=acts.deaf)\n"
    )
    file = tmp_path / "program.py"
    file.write_text(program)
    process = subprocess.Popen([sys.executable, file, mark], cwd=ROOT, env={**os.environ, "PYTHONPATH": str(ROOT)})
    pid = _written(mark)
    process.kill()
    process.wait()
    assert _gone(pid)
