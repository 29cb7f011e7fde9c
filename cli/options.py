"""Options that several commands have: a time to search, a seed. What is none is refused with what would be one."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Annotated, Final, TypeVar

import typer

from nesting.errors import Fault
from nesting.lengths import said

LONGEST_SECONDS: Final = 86_400.0
LARGEST_SEED: Final = 2**31 - 1
LARGEST_BUDGET: Final = 1e9
MOST_SHEETS: Final = 10_000
PAPERS: Final = ("letter", "a4")

T = TypeVar("T", int, float, str)


def seconds(text: str, faults: list[Fault]) -> float:
    """Return the seconds to search; 1 with a fault added where the text is no such time.

    >>> faults = []
    >>> seconds("2.5", faults), seconds("nan", faults), str(faults[0])
    (2.5, 1.0, "--seconds: 'nan' is not a time; accepted: more than 0 and at most 86,400")
    """
    value = _number(text)
    if not 0 < value <= LONGEST_SECONDS:
        accepted = f"more than 0 and at most {LONGEST_SECONDS:,.0f}"
        faults.append(Fault("--seconds", "", f"{said(text)} is not a time", accepted))
        return 1.0
    return value


def whole(option: str, text: str, least: int, most: int, what: str, faults: list[Fault]) -> int:
    """Return a whole number; ``least`` with a fault added where the text is none in that range.

    >>> faults = []
    >>> whole("--seed", "7", 0, 99, "a seed", faults), whole("--seed", "-1", 0, 99, "a seed", faults), len(faults)
    (7, 0, 1)
    """
    digits = text.isascii() and text.isdigit() and len(text) <= 10
    if not (digits and least <= int(text) <= most):
        faults.append(Fault(option, "", f"{said(text)} is not {what}", f"a whole number from {least} to {most:,}"))
        return least
    return int(text)


def amount(option: str, text: str, faults: list[Fault]) -> float:
    """Return an amount of money; 0 with a fault added where the text is none.

    >>> faults = []
    >>> amount("--budget", "150", faults), amount("--budget", "lots", faults), len(faults)
    (150.0, 0.0, 1)
    """
    value = _number(text)
    if not 0 <= value <= LARGEST_BUDGET:
        accepted = "an amount of 0 or more, without a currency sign"
        faults.append(Fault(option, "", f"{said(text)} is not an amount", accepted))
        return 0.0
    return value


def _number(text: str) -> float:
    try:
        return float(text) if text.isascii() and "_" not in text else math.nan
    except ValueError:
        return math.nan


def alone(read: Callable[[str, list[Fault]], T]) -> Callable[[str | float], T]:
    """Return a parser of one option for typer from a reader that adds faults.

    Raises ``typer.BadParameter`` for the first.
    """

    def parse(given: str | float) -> T:
        faults: list[Fault] = []
        value = read(str(given), faults)
        if faults:
            raise typer.BadParameter(f"{faults[0].message}; {faults[0].accepted}")
        return value

    return parse


def _seed(text: str, faults: list[Fault]) -> int:
    return whole("--seed", text, 0, LARGEST_SEED, "a seed", faults)


def _paper(text: str, faults: list[Fault]) -> str:
    if text.lower() not in PAPERS:
        faults.append(Fault("--paper", "", f"{said(text)} is no paper", "letter or a4"))
    return text.lower()


def _group(text: str, faults: list[Fault]) -> int:
    return whole("--group", text, 1, MOST_SHEETS, "a number of sheets", faults)


Seconds = Annotated[
    float,
    typer.Option(
        parser=alone(seconds), metavar="N", help=f"Longest search: more than 0, at most {LONGEST_SECONDS:,.0f}."
    ),
]
Seed = Annotated[
    int, typer.Option(parser=alone(_seed), metavar="N", help=f"Seed of the search: 0 to {LARGEST_SEED:,}.")
]
GroupSize = Annotated[
    int | None,
    typer.Option(
        parser=alone(_group),
        metavar="N",
        help="Work through the sheets N at a time (small shop); default: all together.",
    ),
]
PaperName = Annotated[
    str | None,
    typer.Option(parser=alone(_paper), metavar="PAPER", help="letter or a4; default: letter for inches, a4 for mm."),
]
