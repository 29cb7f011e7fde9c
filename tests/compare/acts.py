"""What the other processes do in the tests of working together: each a function that a process can find by name."""

import os
import signal
import time
from pathlib import Path


def shout(task, _cancel):
    return task.upper()


def fail(task, _cancel):
    raise ValueError(f"no {task}")


def die_once(task, _cancel):
    """End hard at the first try, which leaves a mark; answer at the second."""
    mark = Path(task)
    if mark.exists():
        return "answered"
    mark.write_text("")
    os.kill(os.getpid(), signal.SIGKILL)
    return "never"


def die(_task, _cancel):
    os._exit(9)


def until_stopped(task, cancel):
    Path(task).write_text(str(os.getpid()))
    cancel.wait(60)
    return "stopped in time"


def deaf(task, _cancel):
    Path(task).write_text(str(os.getpid()))
    time.sleep(60)
    return "never"


def hold_once(task, _cancel):
    """Wait to be killed at the first try, which leaves the process's number; answer at the second."""
    mark = Path(task)
    if mark.exists():
        return "answered"
    mark.write_text(str(os.getpid()))
    time.sleep(60)
    return "never"
