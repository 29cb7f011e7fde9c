"""Whose turn it is: nobody waits because somebody else asked for much."""

from __future__ import annotations

from collections.abc import Mapping, Sequence


def next_up(
    waiting: Sequence[tuple[str, str]], running: Mapping[str, int], served: Mapping[str, float], most_each: int
) -> str | None:
    """Return the plan to begin, out of ``waiting`` (plan and owner, in order of asking); None where none may.

    The owner with the fewest plans running comes first; among equals the one served longest ago; then who asked
    first. Nobody has more than ``most_each`` running.

    >>> next_up([("a1", "ada"), ("a2", "ada"), ("b1", "bo")], {"ada": 1}, {"ada": 5.0}, 2)
    'b1'
    >>> next_up([("a1", "ada"), ("b1", "bo")], {}, {"ada": 5.0, "bo": 6.0}, 2)
    'a1'
    >>> next_up([("a1", "ada")], {"ada": 2}, {}, 2) is None
    True
    """
    first: dict[str, str] = {}
    for plan, owner in waiting:
        first.setdefault(owner, plan)
    may = [owner for owner in first if running.get(owner, 0) < most_each]
    if not may:
        return None
    return first[min(may, key=lambda owner: (running.get(owner, 0), served.get(owner, float("-inf"))))]
