"""JSON text to plain values and back without recursion, so that cut trees of any depth can travel.

The standard library's reader and writer call themselves once a level and give up near a thousand levels; a
sheet ripped into a thousand strips is a tree that deep. Grammar: RFC 8259, with nothing lax about it: no NaN
or Infinity, no key given twice, no half of a surrogate pair.
"""

from __future__ import annotations

import json
import math
import re
import sys
from json.decoder import JSONDecodeError, scanstring  # type: ignore[attr-defined]
from typing import Any, Final

_SPACE: Final = re.compile(r"[ \t\n\r]*")
_TOKEN: Final = re.compile(
    r'(?:(?P<mark>[{}\[\],:"])|(?P<number>-?(?:0|[1-9][0-9]*)(?P<point>(?:\.[0-9]+)?(?:[eE][+-]?[0-9]+)?))'
    r"|(?P<word>true|false|null)|(?P<end>\Z))"
)
_HALF_PAIR: Final = re.compile("[\ud800-\udfff]|\\\\u[dD][89a-fA-F]")
"""What may be half of a surrogate pair, written out or escaped."""
_WORDS: Final = {"true": True, "false": False, "null": None}
_INDENT_AT_MOST: Final = 24
_LONGEST_NUMBER: Final = 400


class NotJson(ValueError):
    """The text is not JSON as RFC 8259 has it, or nested too deep; the message says where."""


def read_json(text: str, deepest: int) -> Any:
    """Return the value of a JSON text: dicts, lists, strings, ints, floats, booleans and None.

    ``deepest`` is how many objects and arrays may lie in one another. Raises :class:`NotJson`.

    >>> read_json('{"a": [1, 2.5, null]}', 10)
    {'a': [1, 2.5, None]}
    >>> read_json("[NaN]", 10)
    Traceback (most recent call last):
    nesting.json_text.NotJson: line 1, column 2: a value or ] was expected
    """
    if deepest >= sys.getrecursionlimit() and not _HALF_PAIR.search(text):
        try:
            return json.loads(
                text, object_pairs_hook=_once, parse_float=_finite, parse_int=_whole, parse_constant=_refuse
            )
        except (ValueError, RecursionError):
            pass  # too deep for the library's quick reader, or wrong: the patient one can say where
    return _Reader(text, deepest).value()


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    read = dict(pairs)
    if len(read) < len(pairs):
        raise ValueError("a key given twice")
    return read


def _finite(digits: str) -> float:
    value = float(digits)
    if len(digits) > _LONGEST_NUMBER or not math.isfinite(value):
        raise ValueError("too large or too long a number")
    return value


def _whole(digits: str) -> int:
    if len(digits) > _LONGEST_NUMBER:
        raise ValueError("too long a number")
    return int(digits)


def _refuse(word: str) -> None:
    raise ValueError(f"{word} is no number")


class _Reader:
    def __init__(self, text: str, deepest: int) -> None:
        self.text = text
        self.deepest = deepest
        self.open: list[tuple[dict[str, Any] | list[Any], str]] = []
        self.key = ""
        self.result: list[Any] = []

    def value(self) -> Any:
        """Read the one value of the text; ``expect`` names what may come next."""
        at, expect = 0, "value"
        while True:
            start = _SPACE.match(self.text, at).end()  # type: ignore[union-attr]  # matches anywhere
            token = _TOKEN.match(self.text, start)
            if token is None or (token["end"] is not None and expect != "end"):
                raise self._fault(start, expect)
            at = token.end()
            if token["end"] is not None:
                return self.result[0]
            mark = token["mark"]
            if mark == '"' and expect in ("value", "value or ]", "key", "key or }"):
                word, at = self._string(at)
                if expect in ("value", "value or ]"):
                    expect = self._put(word)
                else:
                    self._new_key(word, start)
                    expect = ":"
            elif mark in ("{", "[") and expect in ("value", "value or ]"):
                expect = self._begin(mark, start)
            elif mark == ":" and expect == ":":
                expect = "value"
            elif mark == "," and expect == ", or close":
                expect = "key" if isinstance(self.open[-1][0], dict) else "value"
            elif mark in ("}", "]") and self._may_close(mark, expect):
                self.key = self.open.pop()[1]
                expect = ", or close" if self.open else "end"
            elif mark is None and expect in ("value", "value or ]"):
                expect = self._put(self._number(token, start) if token["number"] else _WORDS[token["word"]])
            else:
                raise self._fault(start, expect)

    def _may_close(self, mark: str, expect: str) -> bool:
        is_object = bool(self.open) and isinstance(self.open[-1][0], dict)
        fits = mark == ("}" if is_object else "]") and bool(self.open)
        return fits and expect in (", or close", "key or }" if is_object else "value or ]")

    def _put(self, value: Any) -> str:
        if not self.open:
            self.result.append(value)
            return "end"
        into = self.open[-1][0]
        if isinstance(into, dict):
            into[self.key] = value
        else:
            into.append(value)
        return ", or close"

    def _begin(self, mark: str, at: int) -> str:
        if len(self.open) >= self.deepest:
            raise NotJson(f"{self._place(at)}: nested more than {self.deepest} levels deep")
        fresh: dict[str, Any] | list[Any] = {} if mark == "{" else []
        self._put(fresh)
        self.open.append((fresh, self.key))
        return "key or }" if mark == "{" else "value or ]"

    def _new_key(self, key: str, at: int) -> None:
        if key in self.open[-1][0]:
            raise NotJson(f"{self._place(at)}: the key {json.dumps(key[:60])} is given twice")
        self.key = key

    def _string(self, at: int) -> tuple[str, int]:
        try:
            word, end = scanstring(self.text, at, True)
        except JSONDecodeError as error:
            raise NotJson(f"line {error.lineno}, column {error.colno}: {error.msg.lower().rstrip(' at')}") from error
        if not word.isascii() and any("\ud800" <= letter <= "\udfff" for letter in word):
            raise NotJson(f"{self._place(at)}: the text holds half of a surrogate pair")
        return word, end

    def _number(self, token: re.Match[str], at: int) -> int | float:
        digits = token["number"]
        try:
            return _finite(digits) if token["point"] else _whole(digits)
        except ValueError:
            raise NotJson(f"{self._place(at)}: {digits[:40]} is too large or too long a number") from None

    def _fault(self, at: int, expect: str) -> NotJson:
        closing = "}" if self.open and isinstance(self.open[-1][0], dict) else "]"
        wanted = {
            "value": "a value",
            "value or ]": "a value or ]",
            "key": "a key in quotes",
            "key or }": "a key in quotes or }",
            ":": "a colon",
            ", or close": f"a comma or {closing}",
            "end": "the end of the text",
        }[expect]
        return NotJson(f"{self._place(at)}: {wanted} was expected")

    def _place(self, at: int) -> str:
        line = self.text.count("\n", 0, at) + 1
        return f"line {line}, column {at - self.text.rfind(chr(10), 0, at)}"


def write_json(value: Any) -> str:
    """Return a value as JSON text that a person can read: an object a line, a list of objects over lines.

    Whole floats are written without a point, keys in the order given; ends with a newline.

    >>> print(write_json({"cost": 173.0, "buy": [{"stock": "birch", "count": 2}], "makes": ["A1.1"]}), end="")
    {
     "cost": 173,
     "buy": [
      {"stock": "birch", "count": 2}
     ],
     "makes": ["A1.1"]
    }
    """
    out: list[str] = []
    todo: list[tuple[bool, Any, int]] = [(False, value, 0)]
    while todo:
        is_text, item, level = todo.pop()
        if is_text:
            out.append(item)
            continue
        opening, closing, between, entries = _laid_out(item, level)
        out.append(opening)
        todo.append((True, closing, level))
        for place in range(len(entries) - 1, -1, -1):
            lead, entry = entries[place]
            todo.append((False, entry, level + 1))
            todo.append((True, (between if place else "") + lead, level))
    out.append("\n")
    return "".join(out)


def _laid_out(item: Any, level: int) -> tuple[str, str, str, list[tuple[str, Any]]]:
    """Return the opening, the closing, what stands between entries, and the entries with their keys."""
    fresh = "\n" + " " * min(level + 1, _INDENT_AT_MOST)
    back = "\n" + " " * min(level, _INDENT_AT_MOST)
    if (
        isinstance(item, dict | list | tuple)
        and level
        and not any(
            isinstance(entry, dict | list | tuple) for entry in (item.values() if isinstance(item, dict) else item)
        )
    ):
        plain = {key: _short(entry) for key, entry in item.items()} if isinstance(item, dict) else map(_short, item)
        return _dumps(plain if isinstance(item, dict) else list(plain)), "", "", []
    if isinstance(item, dict):
        entries = [(f"{_dumps(key)}: ", entry) for key, entry in item.items()]
        broken = level == 0 and bool(entries)
        return ("{" + fresh, back + "}", "," + fresh, entries) if broken else ("{", "}", ", ", entries)
    if isinstance(item, list | tuple):
        rows = [("", entry) for entry in item]
        broken = any(isinstance(entry, dict | list | tuple) for entry in item)
        return ("[" + fresh, back + "]", "," + fresh, rows) if broken else ("[", "]", ", ", rows)
    return _dumps(_short(item)), "", "", []


def _short(item: Any) -> Any:
    return int(item) if isinstance(item, float) and item.is_integer() and abs(item) < 1e15 else item


_dumps: Final = json.JSONEncoder(ensure_ascii=False, allow_nan=False).encode
