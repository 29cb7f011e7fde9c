"""The words of a wall's drawing: its tables, its legend, and the sentences read aloud in its place."""

from __future__ import annotations

from collections.abc import Sequence

from nesting.draw.lettering import clean
from nesting.draw.subject import Rule
from nesting.draw.table import Table
from nesting.plan import Plan
from nesting.plan_wall import WallDocument, WallRow


def tables(wall: WallDocument, rule: Rule, letters: Sequence[str], keys: Sequence[str]) -> list[Table]:
    """Return the tables under the drawing: rows in order of hanging, holders, keep-outs, layers."""
    unit = rule.unit
    found = [
        Table(
            f"Rows from the top, {unit}: hang them in this order, each piece from the left",
            ("row", "above floor", "pieces", "screws"),
            tuple(
                (
                    str(number),
                    rule.length(row.y + wall.floor_gap),
                    _pieces(row, rule),
                    str(sum(len(piece.studs) for piece in row.pieces) * wall.per_stud),
                )
                for number, row in enumerate(wall.rows, start=1)
            ),
            grow=2,
        )
    ]
    if wall.holders:
        found.append(
            Table(
                f"Holders, {unit}",
                ("", "holder", "on row", "left edge at", "foot rests on"),
                tuple(
                    (letter, hung.holder, str(hung.row), rule.length(hung.x), hung.foot or "")
                    for letter, hung in zip(letters, wall.holders, strict=True)
                ),
                grow=1,
            )
        )
    if wall.keepouts:
        found.append(
            Table(
                f"Keep-outs, {unit}: left edge from the left, lower edge above the floor",
                ("", "keep-out", "size", "left", "lower edge", "clear"),
                tuple(
                    (
                        key,
                        one.name,
                        rule.size((one.width, one.height)),
                        rule.length(one.x),
                        rule.length(one.y + wall.floor_gap),
                        rule.length(one.clearance),
                    )
                    for key, one in zip(keys, wall.keepouts, strict=True)
                ),
                grow=1,
            )
        )
    return found


def _pieces(row: WallRow, rule: Rule) -> str:
    """Return a row's pieces, each with its length, and where a stretch begins away from the piece before."""
    says, at = [], None
    for piece in row.pieces:
        letter = piece.part.rpartition(" ")[2]
        begins = "" if at is not None and abs(piece.x - at) < 1e-6 else f"from {rule.length(piece.x)}: "
        says.append(f"{begins}{letter} {rule.length(piece.length)}")
        at = piece.x + piece.length
    return ", ".join(says) or "bare"


def headline(wall: WallDocument, rule: Rule, denominator: float) -> str:
    """Return the second line of the heading: size, rows and scale."""
    size = rule.size((wall.width or 0.0, wall.height or 0.0))
    rows = f"{len(wall.rows)} rows" if len(wall.rows) != 1 else "1 row"
    pieces = sum(len(row.pieces) for row in wall.rows)
    cleats = f"{pieces} pieces" if pieces != 1 else "1 piece"
    return f"{size} {rule.unit} · {rows}, {cleats} · scale 1 : {denominator:g} · seen from the room"


def legend(wall: WallDocument, rule: Rule, *, lettered: bool) -> str:
    """Return what the signs mean: only those that occur."""
    says = ["Chain lines: strike them level, the lower edge of each row; left: its height above the floor."]
    if wall.studs is not None:
        layers = "".join(f", behind {rule.length(layer.thickness)} {clean(layer.name)}" for layer in wall.sheathing)
        says.append(f"Dashed: studs{layers}; below: their centres from the left edge.")
    screws = "two screws" if wall.per_stud == 2 else "a screw"
    says.append(f"Dots: {screws} of each piece at every stud, a joint on a stud takes those of both pieces.")
    says += _screws(wall, rule)
    if any(len(row.pieces) > len(row.runs) for row in wall.rows):
        says.append("Heavy strokes: joints.")
    if wall.keepouts:
        says.append("Hatched: keep-outs; dotted: the room to leave around them.")
    if wall.holders:
        says.append("Heavy outlines: holders, as they hang in front; fine dashes: the cleats behind them.")
    if not lettered:
        says.append("Pieces without a letter had no room for one: see the table.")
    return " ".join(says)


def _screws(wall: WallDocument, rule: Rule) -> list[str]:
    """Return how many screws of which size the rows take."""
    counts: dict[str, int] = {}
    for line in wall.screws:
        if line.use.startswith("row "):
            kind = f"No. {line.gauge} × {rule.length(line.length)} {rule.unit} {clean(line.kind)}s"
            counts[kind] = counts.get(kind, 0) + line.count
    return [f"{count} {kind} in all." for kind, count in counts.items()]


def described(plan: Plan, wall: WallDocument, rule: Rule) -> tuple[str, str]:
    """Return title and description for those who cannot see the drawing."""
    unit = {"in": "inches", "mm": "millimetres"}[rule.unit]
    title = f"Wall of {clean(plan.project)}, {rule.size((wall.width or 0.0, wall.height or 0.0), ' by ')} {unit}"
    says = []
    for number, row in enumerate(wall.rows, start=1):
        high = rule.length(row.y + wall.floor_gap)
        says.append(f"Row {number}, lower edge {high} above the floor: {_pieces(row, rule)}.")
    for hung in wall.holders:
        says.append(f"{clean(hung.holder)} hangs on row {hung.row}, its left edge at {rule.length(hung.x)}.")
    for one in wall.keepouts:
        says.append(f"{clean(one.name)} stays free.")
    return title, " ".join(says)
