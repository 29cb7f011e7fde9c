"""One search at work in a thread while proofs go on in another: compiled code leaves the interpreter to both.

The thread touches nothing of the driver's: it constructs and improves for a fixed number of iterations, so that
the same job gives the same plans, and lays them down for the driver to collect.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

from nesting.solve.bars import Composition
from nesting.solve.dives import Near
from nesting.solve.pattern import Plan, Sheet
from nesting.solve.stop import Stop

TRIES = 4
"""Tries to grow a plan from each thing that may give one."""


@dataclass(slots=True)
class Beside:
    """A search at work: what it has found and not yet handed over, and whether that is cheaper than ``least``.

    ``aside``, set, lets it wait where it is. ``met``: well-filled sheets seen on the way, for proofs to start from.
    ``near``: what the driver holds a cheaper plan may be grown from, to be tried ``tries`` times more; ``hoping`` is
    set where that is news.
    """

    least: int
    found: list[tuple[Composition, Plan]] = field(default_factory=list)
    met: list[tuple[Composition, Sheet]] = field(default_factory=list)
    better: threading.Event = field(default_factory=threading.Event)
    enough: threading.Event = field(default_factory=threading.Event)
    aside: threading.Event = field(default_factory=threading.Event)
    near: Near | None = None
    tries: int = 0
    hoping: threading.Event = field(default_factory=threading.Event)
    error: BaseException | None = None

    def hope(self, near: Near) -> None:
        """Leave word from what a cheaper plan may be grown; called by the driver."""
        self.near, self.tries = near, TRIES
        self.hoping.set()

    def to_try(self) -> Near | None:
        """Return from what a plan is to be grown now, ``None`` where it was tried enough; called by the search."""
        self.hoping.clear()
        near = self.near
        if near is None or not self.tries or near.target >= self.least:
            return None
        self.tries -= 1
        return near

    def lay_down(self, composition: Composition, plan: Plan, cost: int) -> None:
        """Hand a plan of a composition over; called by the search."""
        self.found.append((composition, plan))
        if cost < self.least:
            self.least = cost
            self.better.set()

    def collect(self) -> list[tuple[Composition, Plan]]:
        """Take what was found since the last time."""
        self.better.clear()
        plans = self.found[:]
        del self.found[: len(plans)]
        return plans


@contextmanager
def beside(work: Callable[[Beside, Stop], None], stop: Stop, least: int) -> Iterator[Beside]:
    """Run ``work`` in a thread while the block runs; at its end tell it that it is enough and wait for it.

    ``least``: what the best plan costs so far; a cheaper one is news.
    ``work`` gets a stop that also heeds this end. What it raised is raised here, unless the block raised first.

    >>> def count(search, stop):
    ...     while not stop.reached():
    ...         search.lay_down(None, (), 7)
    >>> with beside(count, Stop.after(5), 8) as search:
    ...     search.better.wait(5)
    True
    >>> len(search.collect()) > 0
    True
    """
    search = Beside(least)

    def run() -> None:
        try:
            work(search, stop.unless(search.enough).held(search.aside))
        except BaseException as error:  # handed to the thread that waits
            search.error = error

    thread = threading.Thread(target=run, name="search beside", daemon=True)
    thread.start()
    try:
        yield search
    finally:
        search.enough.set()
        thread.join()
    if search.error is not None:
        raise search.error
