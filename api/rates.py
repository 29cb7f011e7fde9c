"""How often somebody may ask: token buckets in memory (Tanenbaum, "Computer Networks", from memory)."""

from __future__ import annotations

import threading
import time
from collections import OrderedDict
from dataclasses import dataclass, field
from typing import Final

_MOST_REMEMBERED: Final = 10_000


@dataclass(slots=True)
class Buckets:
    """One bucket for each name: ``burst`` tokens at most, ``rate`` of them a second flow in."""

    rate: float
    burst: float
    _filled: OrderedDict[str, tuple[float, float]] = field(default_factory=OrderedDict)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def wait(self, name: str, now: float | None = None) -> float:
        """Take a token and return 0, or return the seconds until there is one.

        >>> buckets = Buckets(rate=1, burst=2)
        >>> [buckets.wait("ada", now=at) for at in (0.0, 0.0, 0.0, 1.5)]
        [0.0, 0.0, 1.0, 0.0]
        """
        return self._look(name, now, take=True)

    def peek(self, name: str, now: float | None = None) -> float:
        """Return the seconds until there is a token, taking none."""
        return self._look(name, now, take=False)

    def _look(self, name: str, now: float | None, *, take: bool) -> float:
        at = time.monotonic() if now is None else now
        with self._lock:
            left, since = self._filled.pop(name, (self.burst, at))
            left = min(self.burst, left + (at - since) * self.rate)
            enough = left >= 1
            self._filled[name] = (left - (1 if enough and take else 0), at)
            while len(self._filled) > _MOST_REMEMBERED:  # the one that has not asked for longest
                self._filled.popitem(last=False)
        return 0.0 if enough else (1 - left) / self.rate
