"""Options that several commands have: a time to search, a seed. What is none is refused with what would be one."""

from __future__ import annotations

import math
from typing import Final

from nesting.errors import Fault
from nesting.lengths import said

LONGEST_SECONDS: Final = 86_400.0
LARGEST_SEED: Final = 2**31 - 1
LARGEST_BUDGET: Final = 1e9
MOST_SHEETS: Final = 10_000


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
