"""What the service takes on: sizes, counts and times, and the faults of a request that asks for more."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Final

from nesting.errors import BadInput, Fault
from nesting.project.faults import fault
from nesting.project.model import Project

PREFIX: Final = "CLEATWRIGHT_"
LARGEST_SEED: Final = 2**31 - 1


@dataclass(frozen=True, slots=True)
class Limits:
    """The service's limits; each can be set by an environment variable, ``CLEATWRIGHT_BODY_BYTES`` and so on.

    >>> Limits().seconds
    600
    """

    body_bytes: int = 2_000_000
    """Bytes in the body of one request."""
    body_seconds: int = 30
    """Seconds a client may take to send it."""
    pieces: int = 5_000
    """Pieces in one project, all parts and cleats together."""
    seconds: int = 600
    """Longest search; of a comparison, all its alternatives together."""
    alternatives: int = 20
    """Alternatives in one comparison."""
    projects_per_key: int = 1_000
    """Projects one key may keep."""
    plans_per_key: int = 5_000
    """Plans one key may keep, finished ones too; they go with their project."""
    queued_per_key: int = 20
    """Plans of one key that may wait at once."""
    queued: int = 200
    """Plans that may wait at once, of all keys together."""
    streams: int = 1_000
    """Event streams open at once."""
    requests_per_second: int = 200
    """Requests of one key, averaged; five seconds' worth may come at once. Without keys nothing is counted."""
    wrong_keys_per_minute: int = 30
    """Requests with a wrong key from one address."""

    def of(self, project: Project) -> None:
        """Raise :class:`~nesting.errors.BadInput` where a project is larger than the service takes on."""
        lists = {name: getattr(project, name, ()) for name in ("part", "cleat", "holder")}
        counts = {name: sum(asked.quantity for asked in rows) for name, rows in lists.items()}
        if sum(counts.values()) > self.pieces:
            most = max(counts, key=lambda name: counts[name])
            raise BadInput(
                [
                    fault(
                        (most,),
                        f"{sum(counts.values()):,} pieces are asked for in all",
                        f"at most {self.pieces:,} here",
                    )
                ]
            )


def limits_from(environment: Mapping[str, str]) -> Limits:
    """Return the limits with what the environment sets; raises :class:`~nesting.errors.BadInput` with every fault.

    >>> limits_from({"CLEATWRIGHT_SECONDS": "60"}).seconds
    60
    >>> limits_from({"CLEATWRIGHT_QUEUED": "many"})
    Traceback (most recent call last):
    nesting.errors.BadInput: CLEATWRIGHT_QUEUED: 'many' is not a limit; accepted: a whole number from 1 to ...
    """
    given: dict[str, int] = {}
    faults: list[Fault] = []
    for field in fields(Limits):
        name = PREFIX + field.name.upper()
        if name not in environment:
            continue
        text = environment[name]
        if text.isascii() and text.isdigit() and 0 < len(text) < 10 and int(text) > 0:
            given[field.name] = int(text)
        else:
            faults.append(Fault(name, "", f"{text[:40]!r} is not a limit", "a whole number from 1 to 999,999,999"))
    if faults:
        raise BadInput(faults)
    return Limits(**given)
