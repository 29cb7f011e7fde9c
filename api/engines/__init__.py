"""Where searches run: processes of this machine, or a cluster."""

from __future__ import annotations

from dataclasses import dataclass
from queue import SimpleQueue
from typing import Any, Protocol


@dataclass(frozen=True, slots=True)
class Run:
    """One attempt at one plan."""

    plan: str
    attempt: int


@dataclass(frozen=True, slots=True)
class News:
    """What a run says: a message of :mod:`api.runner`, or ``{"kind": "gone", "reason": …}`` where it died."""

    run: Run
    message: dict[str, Any]


class Engine(Protocol):
    """Carries out orders; tells everything by the queue it was made with."""

    news: SimpleQueue[News | None]

    def begin(self, run: Run, order: str) -> None:
        """Begin a search; where that fails, ``gone`` is the news."""

    def finish(self, run: Run) -> None:
        """Ask a search to end with the best plan there is."""

    def kill(self, run: Run) -> None:
        """End a search at once; no news of it matters any more."""

    def close(self) -> None:
        """End every search and leave nothing running."""
