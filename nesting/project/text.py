"""From a file to the keys in it: TOML 1.0 or JSON, numbers as decimals, every failure in plain words."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Mapping
from decimal import Decimal
from pathlib import Path
from typing import Any, Final, Literal

from nesting.errors import BadInput, Fault
from nesting.lengths import said

Format = Literal["toml", "json"]
LARGEST_FILE: Final = 2_000_000
"""Bytes in a project file; the largest job that makes sense has a tenth of them."""


def text_of(path: Path) -> str:
    """Return the text of a file; raise :class:`~nesting.errors.BadInput` where there is none to be had."""
    try:
        with path.open("rb") as file:
            content = file.read(LARGEST_FILE + 1)
    except FileNotFoundError:
        raise _refused(path, "there is no such file") from None
    except IsADirectoryError:
        raise _refused(path, "is a folder, not a file") from None
    except PermissionError:
        raise _refused(path, "may not be read") from None
    except (OSError, ValueError) as error:  # ValueError: a zero byte in the name
        raise _refused(path, f"cannot be read ({getattr(error, 'strerror', None) or error})") from None
    if len(content) > LARGEST_FILE:
        raise _refused(path, "is too large for a project file", f"at most {LARGEST_FILE // 1_000_000} MB")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise _refused(path, f"line {line} is not UTF-8 text", "a text file saved as UTF-8") from None


def parsed(text: str, form: Format) -> Any:
    """Return what a TOML or JSON text holds, broken numbers as decimals; raise ``BadInput`` where it is neither.

    >>> parsed("kerf = 0.125", "toml")
    {'kerf': Decimal('0.125')}
    """
    if len(text) > LARGEST_FILE:
        raise _broken("is too large for a project", f"at most {LARGEST_FILE:,} characters")
    try:
        if form == "toml":
            return tomllib.loads(text, parse_float=Decimal)
        return json.loads(text, parse_float=Decimal, object_pairs_hook=_without_twins)
    except tomllib.TOMLDecodeError as error:
        raise _broken(_toml_words(str(error)), "TOML as in the starter file") from None
    except json.JSONDecodeError as error:
        raise _broken(f"line {error.lineno}, column {error.colno}: not JSON: {_lower(error.msg)}", "JSON") from None
    except RecursionError:
        raise _broken("is nested too deeply", "tables and lists of tables as in the starter file") from None
    except ValueError as error:  # thousands of digits in one number, or an object with a key twice
        words = str(error) if isinstance(error, _Twin) else "a number has thousands of digits"
        raise _broken(words) from None


class _Twin(ValueError):
    """A JSON object names a key twice."""


def _without_twins(pairs: list[tuple[str, Any]]) -> Mapping[str, Any]:
    table: dict[str, Any] = {}
    for key, value in pairs:
        if key in table:
            raise _Twin(f"the key {said(key)} is given twice in one object")
        table[key] = value
    return table


def _toml_words(message: str) -> str:
    """Return ``line 3, column 5: …`` for what the TOML reader says.

    >>> _toml_words("Cannot declare ('saw',) twice (at line 7, column 5)")
    'line 7, column 5: not TOML: cannot declare saw twice'
    """
    what, _, where = message.removesuffix(")").rpartition(" (at ")
    what = re.sub(r"\(('.*?'),?\)", lambda names: names[1].replace("', '", ".").strip("'"), what)
    what = what.replace("Cannot overwrite a value", "a key is given twice")
    return f"{where}: not TOML: {_lower(what)}"


def _lower(words: str) -> str:
    return words[:1].lower() + words[1:]


def _refused(path: Path, message: str, accepted: str = "") -> BadInput:
    return _broken(
        f"{said(str(path)) if len(str(path)) > 200 or not str(path).isprintable() else path}: {message}", accepted
    )


def _broken(message: str, accepted: str = "") -> BadInput:
    return BadInput([Fault("", "", message, accepted)])
