"""The rack as a table (CSV as RFC 4180 has it, UTF-8), out and in again without loss.

Lengths stand as exact texts in the unit of their line. No cell is taken for a formula: as in the other tables a text
that begins like one gets an apostrophe before it, and so does one that begins with an apostrophe, so that reading
can take it away again. Spreadsheets in countries with a decimal comma write semicolons between cells; these are
read as well.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterable
from typing import Final

from nesting.errors import BadInput, Fault
from nesting.lengths import said
from nesting.paper.tables import FORMULA, table_csv
from nesting.project.faults import nearest
from nesting.rack.piece import KEYS, MOST_PIECES, RackPiece, piece_mapping, read_piece

LARGEST: Final = 2_000_000
"""Characters in one table."""
_NEEDED: Final = ("length", "width", "thickness")
_YES_OR_NO: Final = {"yes": True, "true": True, "1": True, "no": False, "false": False, "0": False}
_MOST_FAULTS: Final = 200


def rack_csv(pieces: Iterable[RackPiece]) -> str:
    r"""Return pieces as a table, one a line, with the columns of :data:`~nesting.rack.piece.KEYS`.

    >>> from nesting.rack.piece import piece_from
    >>> lengths = {"length": "31", "width": "9 1/4", "thickness": "23/32"}
    >>> print(rack_csv([piece_from({"label": "R-1", **lengths, "note": "=SUM(A1)"})]).replace("\r", ""), end="")
    label,unit,length,width,thickness,nominal,grain,stock,place,origin,note
    R-1,in,31,9 1/4,23/32,23/32,yes,,,,'=SUM(A1)
    """
    return table_csv(KEYS, (tuple(map(_cell, piece_mapping(piece).values())) for piece in pieces))


def rack_from_csv(text: str, fresh: Callable[[], str]) -> tuple[RackPiece, ...]:
    r"""Return the pieces of a table; ``fresh`` gives labels to lines that have none.

    Columns may stand in any order, and only length, width and thickness must be there. Raises
    :class:`~nesting.errors.BadInput` with every fault, by its line and column.

    >>> rack_from_csv("length,width,thickness,unit\n31,9 1/4,23/32,in\n", lambda: "R-7")[0].label
    'R-7'
    >>> rack_from_csv("length,width,thicknes\n31,9,1/2\n", lambda: "R-7")
    Traceback (most recent call last):
    nesting.errors.BadInput: line 1: 'thicknes' is not a known column; did you mean thickness?; accepted: label, ...
    line 1: the column thickness is missing
    """
    rows = _rows(text.removeprefix("\ufeff"))
    if not rows:
        raise BadInput([Fault("", "", "the table is empty", f"a first line that names columns: {', '.join(KEYS)}")])
    line, head = rows[0]
    columns = tuple(name.strip().lower() for name in head)
    faults = _columns(columns, line)
    if faults:
        raise BadInput(faults)
    pieces: list[RackPiece] = []
    lines: dict[str, int] = {}
    for line, row in rows[1:]:
        if not any(cell.strip() for cell in row):
            continue
        piece = _piece(columns, row, line, fresh, faults)
        if piece is None:
            continue
        if piece.label in lines:
            words = f"is the label of line {lines[piece.label]} too"
            faults.append(Fault(f"line {line}, label", "", f"{said(piece.label)} {words}", "a label of its own"))
        lines.setdefault(piece.label, line)
        pieces.append(piece)
    if len(pieces) > MOST_PIECES:
        faults.append(Fault("", "", f"{len(pieces):,} pieces are too many for one rack", f"at most {MOST_PIECES:,}"))
    if faults:
        more = [Fault("", "", f"and {len(faults) - _MOST_FAULTS:,} more faults")] if len(faults) > _MOST_FAULTS else []
        raise BadInput([*faults[:_MOST_FAULTS], *more])
    return tuple(pieces)


def _rows(text: str) -> list[tuple[int, list[str]]]:
    """Return the rows with the numbers of the lines they end on."""
    if len(text) > LARGEST:
        raise BadInput([Fault("", "", f"the table has {len(text):,} characters", f"at most {LARGEST:,}")])
    first = text.partition("\n")[0]
    between = ";" if ";" in first and "," not in first else ","
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=between, strict=True)
    rows: list[tuple[int, list[str]]] = []
    try:
        for row in reader:
            if row:
                rows.append((reader.line_num, row))
    except csv.Error as error:
        where = f"line {reader.line_num}"
        raise BadInput([Fault(where, "", f"is not a line of a table: {error}", "CSV (RFC 4180)")]) from None
    return rows


def _columns(columns: tuple[str, ...], line: int) -> list[Fault]:
    where = f"line {line}"
    faults = []
    for at, name in enumerate(columns):
        if name in columns[:at]:
            faults.append(Fault(where, "", f"the column {said(name)} comes twice"))
        elif name not in KEYS:
            like = nearest(name, KEYS)
            meant = f"; did you mean {like}?" if like else ""
            faults.append(Fault(where, "", f"{said(name)} is not a known column{meant}", ", ".join(KEYS)))
    return faults + [Fault(where, "", f"the column {name} is missing") for name in _NEEDED if name not in columns]


def _piece(
    columns: tuple[str, ...], row: list[str], line: int, fresh: Callable[[], str], faults: list[Fault]
) -> RackPiece | None:
    where = f"line {line}"
    if len(row) != len(columns):
        faults.append(Fault(where, "", f"has {len(row)} cells", f"{len(columns)}, as the first line"))
        return None
    given: dict[str, object] = {
        name: text for name, cell in zip(columns, row, strict=True) if (text := _text(cell)) or name in _NEEDED
    }
    grain = str(given.get("grain", "yes")).strip().lower()
    found: list[Fault] = []
    if grain in _YES_OR_NO:
        given["grain"] = _YES_OR_NO[grain]
    else:
        found.append(Fault("grain", "", f"{said(given.pop('grain'))} is not a yes or no", "yes or no"))
    piece = read_piece(given, (), found, fresh)
    faults += [Fault(f"{where}, {one.path}", "", one.message, one.accepted) for one in found]
    return None if found else piece


def _cell(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    text = str(value)
    return f"'{text}" if text.startswith("'") else text


def _text(cell: str) -> str:
    """Return what a cell says, without the apostrophe that kept it from being a formula."""
    return cell[1:] if cell.startswith("'") and cell[1:].startswith(("'", *FORMULA)) else cell
