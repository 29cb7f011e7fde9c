"""Small tables under a drawing: set in as many columns as make them lowest, long cells run on over lines."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeVar

from nesting.draw.ink import Line, Mark, Text
from nesting.draw.lettering import SMALLEST, advance, clean, wrapped

Cells = TypeVar("Cells")
ROW = 11.4
TITLE = 15.0
_GAP = 20.0
_BETWEEN = 7.0
_GROW_AT_LEAST = 60.0


@dataclass(frozen=True, slots=True)
class Table:
    """A title, the head of each column and the cells of each row; one column takes what room is left."""

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    grow: int


@dataclass(frozen=True, slots=True)
class LaidOut:
    """A table shared out into columns of rows, each row with the lines of its growing cell."""

    table: Table
    columns: tuple[tuple[tuple[tuple[str, ...], tuple[str, ...]], ...], ...]
    width: float
    cells: tuple[float, ...]
    height: float


def lay_out(table: Table, width: float) -> LaidOut:
    """Set a table in the number of columns that makes it lowest; the height includes its title."""
    widths = []
    for at, head in enumerate(table.heads):
        texts = [advance(clean(row[at]), SMALLEST) for row in table.rows]
        widths.append(max([advance(head, SMALLEST, bold=True), *texts]))
    fixed = sum(wide for at, wide in enumerate(widths) if at != table.grow) + _BETWEEN * (len(widths) - 1)
    least = min(widths[table.grow], _GROW_AT_LEAST)
    most = max(1, min(len(table.rows), int((width + _GAP) / (fixed + least + _GAP))))
    tried = []
    for number in range(1, most + 1):
        column = (width - (number - 1) * _GAP) / number
        room = min(column - fixed, widths[table.grow])
        rows = [(row, tuple(wrapped(clean(row[table.grow]), room, SMALLEST))) for row in table.rows]
        columns = in_columns(rows, number)
        lines = max((sum(len(grown) for _, grown in rows) for rows in columns), default=0)
        cells = tuple(room if at == table.grow else wide for at, wide in enumerate(widths))
        tried.append(LaidOut(table, tuple(map(tuple, columns)), fixed + room, cells, TITLE + (lines + 1) * ROW + 4))
    return min(tried, key=lambda one: round(one.height, 1))


def in_columns(rows: Sequence[tuple[Cells, tuple[str, ...]]], number: int) -> list[list[tuple[Cells, tuple[str, ...]]]]:
    """Break rows into columns in reading order, the longest as short as can be; each row has its lines last."""
    high = max((len(lines) for _, lines in rows), default=0)
    while True:
        columns: list[list[tuple[Cells, tuple[str, ...]]]] = [[]]
        filled = 0
        for row in rows:
            if filled + len(row[1]) > high and columns[-1]:
                columns.append([])
                filled = 0
            columns[-1].append(row)
            filled += len(row[1])
        if len(columns) <= number:
            return columns
        high += 1


def draw_table(laid: LaidOut, x: float, y: float) -> tuple[Mark, ...]:
    """Draw a table with its upper left corner at ``x``, ``y``."""
    table = laid.table
    marks: list[Mark] = [Text(x, y + 9.5, table.title, 10.0, bold=True)]
    starts = [sum(laid.cells[:at]) + _BETWEEN * at for at in range(len(laid.cells))]
    for number, rows in enumerate(laid.columns):
        left = x + number * (laid.width + _GAP)
        base = y + TITLE + 8.6
        for start, head in zip(starts, table.heads, strict=True):
            marks.append(Text(left + start, base, head, SMALLEST, bold=True))
        top = y + TITLE + ROW
        for row, grown in rows:
            marks.append(Line(left, top, left + laid.width, top, weight=0.3))
            for at, (start, cell) in enumerate(zip(starts, row, strict=True)):
                lines = grown if at == table.grow else (clean(cell),)
                marks += [
                    Text(left + start, top + 8.6 + rank * ROW, line, SMALLEST)
                    for rank, line in enumerate(lines)
                    if line
                ]
            top += len(grown) * ROW
    return tuple(marks)
