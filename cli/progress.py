"""How a search goes, on standard error: a bar on a terminal, else a line whenever cost or bound changed."""

from __future__ import annotations

import sys
import time
from fractions import Fraction
from types import TracebackType
from typing import TYPE_CHECKING, Protocol

from cli.terminal import lively, plain, tell
from nesting.money import gap, money

if TYPE_CHECKING:
    from rich.progress import Progress as Bar

_LEAST_SECONDS_BETWEEN_LINES = 1.0


class Progress(Protocol):
    """What the search tells of itself."""

    @property
    def elapsed(self) -> float:
        """Seconds since it began."""

    @property
    def cost(self) -> Fraction | None:
        """Of the best plan so far; None before there is one."""

    @property
    def bound(self) -> Fraction:
        """No plan costs less."""

    @property
    def phase(self) -> str:
        """What it is doing."""


def in_words(progress: Progress, currency: str) -> str:
    """Return the state of a search in one line, without its time."""
    cost, words = progress.cost, plain(progress.phase)
    bound = money(progress.bound, currency)
    if cost is None:
        return f"{words}: no whole plan yet, bound {bound}"
    return f"{words}: cost {money(cost, currency)}, bound {bound}, gap {gap(cost, progress.bound)}"


class View:
    """Shows progress until it is left."""

    def __init__(self, seconds: float, currency: str) -> None:
        self._seconds, self._currency = seconds, plain(currency)
        self._said: tuple[Fraction | None, Fraction] | None = None
        self._pending: Progress | None = None
        self._last = -_LEAST_SECONDS_BETWEEN_LINES
        self._bar: Bar | None = None

    def __enter__(self) -> View:
        if lively(sys.stderr):
            from rich.console import Console
            from rich.progress import BarColumn, TextColumn
            from rich.progress import Progress as Bar

            self._bar = Bar(
                BarColumn(bar_width=24),
                TextColumn("{task.fields[elapsed]:.1f} s"),
                TextColumn("{task.fields[words]}", markup=False),
                console=Console(stderr=True, highlight=False, markup=False, emoji=False),
                auto_refresh=False,
                transient=True,
            )
            self._bar.add_task("", total=self._seconds, elapsed=0.0, words="reading the job")
            self._bar.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._bar is not None:
            self._bar.stop()
        elif self._pending is not None:
            self._line(self._pending)

    def show(self, progress: Progress, elapsed: float) -> None:
        """Show the latest state; ``elapsed`` seconds have gone by now."""
        if self._bar is not None:
            self._bar.update(
                self._bar.task_ids[0],
                completed=min(elapsed, self._seconds),
                elapsed=elapsed,
                words=in_words(progress, self._currency),
                refresh=True,
            )
            return
        if (progress.cost, progress.bound) == self._said:
            self._pending = None
            return
        self._pending = progress
        if time.monotonic() - self._last >= _LEAST_SECONDS_BETWEEN_LINES:
            self._line(progress)

    def note(self, line: str) -> None:
        """Say something beside the progress."""
        if self._bar is not None:
            self._bar.console.print(line)
        else:
            tell(line)

    def _line(self, progress: Progress) -> None:
        tell(f"{progress.elapsed:5.1f} s  {in_words(progress, self._currency)}")
        self._said, self._pending = (progress.cost, progress.bound), None
        self._last = time.monotonic()
