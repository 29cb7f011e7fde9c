"""The tree of errors: bad input, a job that cannot be done, a bug.

Every error that leaves ``nesting`` on purpose descends from :class:`CleatwrightError`; the command
line and the service turn each branch into one exit status or one problem type.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

NOT_ENOUGH_MEMORY: Final = "There is not enough memory for this job."
_LONGEST_WORDS: Final = 500


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong in what was handed in, with its place and what is accepted.

    ``path`` names the key as a person would write it: ``sheet[2].width``, ``saw.kerf``.
    ``pointer`` is the same place as a JSON pointer (RFC 6901): ``/sheet/1/width``.

    >>> print(Fault("saw.kerf", "/saw/kerf", "'wide' is not a length", "a length such as 1/8 in or 3.2 mm"))
    saw.kerf: 'wide' is not a length; accepted: a length such as 1/8 in or 3.2 mm
    """

    path: str
    pointer: str
    message: str
    accepted: str = ""

    def __str__(self) -> str:
        accepted = f"; accepted: {self.accepted}" if self.accepted else ""
        return f"{self.path}: {self.message}{accepted}" if self.path else self.message + accepted


class CleatwrightError(Exception):
    """Anything this project raises on purpose."""


class BadInput(CleatwrightError):
    """What was handed in cannot be understood; holds every fault found, not the first.

    >>> error = BadInput([Fault("saw.kerf", "/saw/kerf", "is missing")])
    >>> str(error)
    'saw.kerf: is missing'
    """

    def __init__(self, faults: list[Fault] | tuple[Fault, ...]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))


class CannotBeDone(CleatwrightError):
    """The job is understood but impossible: every reason, one by one, in plain words."""

    def __init__(self, reasons: list[str] | tuple[str, ...]) -> None:
        self.reasons = tuple(reasons)
        super().__init__("\n".join(self.reasons))


class Bug(CleatwrightError):
    """The program contradicts itself: a plan that fails its check, a model the solver calls invalid."""


def bug_in_words(error: Exception) -> str:
    """Return what a person is told of a bug, on one line.

    >>> bug_in_words(Bug("the plan fails its own check"))
    'This is a bug in cleatwright, not a fault of yours: the plan fails its own check'
    >>> bug_in_words(KeyError("A1"))
    "This is a bug in cleatwright, not a fault of yours: KeyError: 'A1'"
    """
    kind = "" if isinstance(error, Bug) else f"{type(error).__name__}: "
    what = " ".join(str(error).splitlines())[:_LONGEST_WORDS]
    return f"This is a bug in cleatwright, not a fault of yours: {kind}{what}"
