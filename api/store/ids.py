"""Names of rows: unguessable, in order of making."""

from __future__ import annotations

import re
import secrets
import time
from typing import Final

_LETTERS: Final = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
PATTERN: Final = "^[0-7][0-9A-HJKMNP-TV-Z]{25}$"
_ID: Final = re.compile(PATTERN)


def fresh_id(now: float | None = None) -> str:
    """Return a new id: 48 bits of the time in milliseconds and 80 random ones, in Crockford's base 32.

    The form is that of the ULID specification (github.com/ulid/spec).

    >>> fresh_id(1_700_000_000.0)[:10]
    '01HF7YAT00'
    """
    milliseconds = int((time.time() if now is None else now) * 1000)
    value = (milliseconds << 80) | secrets.randbits(80)
    return "".join(_LETTERS[(value >> shift) & 31] for shift in range(125, -1, -5))


def is_id(text: str) -> bool:
    """Whether a text could be one of our ids; nothing else is looked for in the database.

    >>> is_id(fresh_id()), is_id("../etc/passwd"), is_id("")
    (True, False, False)
    """
    return _ID.fullmatch(text) is not None
