"""How many of several tasks are done, on standard error: a bar on a terminal, else a line a task."""

from __future__ import annotations

import sys
from types import TracebackType
from typing import TYPE_CHECKING, Protocol

from cli.terminal import lively, plain, tell

if TYPE_CHECKING:
    from rich.progress import Progress as Bar


class Counted(Protocol):
    """What a piece of work of many tasks tells of itself."""

    @property
    def done(self) -> int:
        """Tasks done."""

    @property
    def total(self) -> int:
        """Tasks in all."""

    @property
    def words(self) -> str:
        """What the last one came to."""


class CountView:
    """Shows how many tasks are done until it is left."""

    def __init__(self) -> None:
        self._said: tuple[int, str] | None = None
        self._bar: Bar | None = None

    def __enter__(self) -> CountView:
        if lively(sys.stderr):
            from rich.console import Console
            from rich.progress import BarColumn, TextColumn
            from rich.progress import Progress as Bar

            self._bar = Bar(
                BarColumn(bar_width=24),
                TextColumn("{task.completed:.0f} of {task.total:.0f}"),
                TextColumn("{task.fields[elapsed]:.0f} s"),
                TextColumn("{task.fields[words]}", markup=False),
                console=Console(stderr=True, highlight=False, markup=False, emoji=False),
                auto_refresh=False,
                transient=True,
            )
            self._bar.add_task("", total=1, elapsed=0.0, words="")
            self._bar.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._bar is not None:
            self._bar.stop()

    def show(self, progress: Counted, elapsed: float) -> None:
        """Show the latest state; ``elapsed`` seconds have gone by now."""
        words = plain(progress.words)
        if self._bar is not None:
            task = self._bar.task_ids[0]
            self._bar.update(
                task, completed=progress.done, total=progress.total, elapsed=elapsed, words=words, refresh=True
            )
        elif (progress.done, words) != self._said:
            self._said = (progress.done, words)
            tell(f"{elapsed:5.1f} s  {progress.done} of {progress.total}  {words}")

    def note(self, line: str) -> None:
        """Say something beside the progress."""
        if self._bar is not None:
            self._bar.console.print(line)
        else:
            tell(line)
