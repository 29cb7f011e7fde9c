"""The key below or beside a drawing: every piece by its whole name, with letter, count and size."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from nesting.draw.ink import Line as Stroke
from nesting.draw.ink import Mark, Text
from nesting.draw.lettering import SMALLEST, advance, wrapped
from nesting.draw.listing import Line
from nesting.draw.subject import Rule
from nesting.draw.table import in_columns

_ROW = 11.4
_GAP = 20.0
_WIDEST = 330.0
_NAME_AT_LEAST = 84.0
TITLE = 15.0
_AGAIN = "the same, other size"


@dataclass(frozen=True, slots=True)
class Key:
    """A key laid out: its columns of rows, each row with the lines of its name; ``height`` includes the title."""

    columns: tuple[tuple[tuple[Line, tuple[str, ...]], ...], ...]
    width: float
    """Of one column."""
    letter: float
    count: float
    height: float


def lay_out(lines: Sequence[Line], rule: Rule, width: float) -> Key:
    """Set the list in as many columns as make it lowest; long names run on over lines, the first time."""
    sizes = max((advance(rule.size(line.size), SMALLEST) for line in lines), default=0.0)
    letter = max((advance(line.letter, SMALLEST, bold=True) for line in lines), default=0.0) + 7
    count = max((advance(f"{line.count} ×", SMALLEST) for line in lines), default=0.0) + 5
    fixed = letter + count + sizes + 10
    most = max(1, min(len(lines), int((width + _GAP) / (fixed + _NAME_AT_LEAST + _GAP))))
    keys = []
    for number in range(1, most + 1):
        column = min((width - (number - 1) * _GAP) / number, _WIDEST)
        rows = []
        for at, line in enumerate(lines):
            name = tuple(wrapped(("keep: " if line.kept else "") + line.name, column - fixed, SMALLEST))
            again = at > 0 and lines[at - 1].name == line.name and len(name) > 1
            rows.append((line, (_AGAIN,) if again else name))
        columns = tuple(map(tuple, in_columns(rows, number)))
        height = TITLE + max((sum(len(name) for _, name in rows) for rows in columns), default=0) * _ROW
        keys.append(Key(columns, column, letter, count, height))
    return min(keys, key=lambda key: round(key.height, 1))


def draw_key(key: Key, title: str, rule: Rule, x: float, y: float) -> tuple[Mark, ...]:
    """Draw a key with its upper left corner at ``x``, ``y``."""
    marks: list[Mark] = [Text(x, y + 9.5, title, 10.0, bold=True)]
    for number, rows in enumerate(key.columns):
        left = x + number * (key.width + _GAP)
        right = left + key.width
        top = y + TITLE
        for line, name in rows:
            base = top + 8.6
            marks.append(Stroke(left, top, right, top, weight=0.3))
            marks.append(Text(left, base, line.letter, SMALLEST, bold=True))
            marks.append(Text(left + key.letter + key.count - 5, base, f"{line.count} ×", SMALLEST, anchor="end"))
            marks += [
                Text(left + key.letter + key.count, base + at * _ROW, part, SMALLEST) for at, part in enumerate(name)
            ]
            marks.append(Text(right, base, rule.size(line.size), SMALLEST, anchor="end"))
            top += len(name) * _ROW
    return tuple(marks)
