"""The wall: rows at their heights, runs between keep-outs filled to the end, joints on studs, holders with room.

Everything is worked out anew from the project, in plain numbers; nothing of :mod:`nesting.wall` is used.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from nesting.check.report import TOLERANCE, Findings, Terms
from nesting.plan import Plan
from nesting.plan_wall import HungHolder, WallDocument, WallPiece, WallRow
from nesting.project.model import Project
from nesting.project.wall_keys import Wall


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle on the wall, from its low to its high edges."""

    left: float
    low: float
    right: float
    high: float

    def meets(self, other: Box) -> bool:
        """Whether two rectangles share more than an edge."""
        return (
            self.left < other.right - TOLERANCE
            and other.left < self.right - TOLERANCE
            and self.low < other.high - TOLERANCE
            and other.low < self.high - TOLERANCE
        )


def check_wall(plan: Plan, terms: Terms, findings: Findings) -> None:
    """Check the rows, their pieces and what hangs on them."""
    wall, document = terms.project.wall, plan.wall
    if document is None:
        return
    if wall is None:
        if document.rows or document.holders:
            findings.add("wall", "plan", "rows or holders hang on a wall that the project does not have")
        return
    heights = _heights(wall, terms)
    if len(document.rows) != len(heights):
        findings.add("wall", "plan", f"there are {len(document.rows)} rows, should be {len(heights)}")
        return
    studs = _studs(wall, terms.project)
    for number, (row, low) in enumerate(zip(document.rows, heights, strict=True), start=1):
        findings.equal("wall", f"row {number}", "the lower edge of its cleats", row.y, low)
        _check_row(row, f"row {number}", _runs(wall, terms, low, studs), studs, findings)
        for piece in row.pieces:
            here = Box(piece.x, row.y, piece.x + piece.length, row.y + float(terms.project.cleats.wall_height))
            _off_keepouts(wall, here, piece.part, findings)
    _check_holders(document, wall, terms, findings)


def _heights(wall: Wall, terms: Terms) -> list[float]:
    cleats = terms.project.cleats
    if wall.rows is not None:
        return sorted((float(low) for low in wall.rows), reverse=True)
    high = cleats.wall_height
    pitch = high + (high if wall.gap is None else wall.gap)
    topmost = max(wall.height - high - cleats.holder_height, 0 * high)
    heights, low = [], 0 * high if wall.start == "bottom" else topmost
    while 0 <= low <= topmost:
        heights.append(float(low))
        low = low + pitch if wall.start == "bottom" else low - pitch
    return sorted(heights, reverse=True)


def _studs(wall: Wall, project: Project) -> list[float]:
    studs = wall.studs
    if studs.positions is not None:
        return sorted(map(float, studs.positions))
    usual = 16.0 if project.unit == "in" else 400.0
    spacing = usual if studs.spacing is None else float(studs.spacing)
    first = spacing if studs.first is None else float(studs.first)
    count = int((float(wall.width) - first + TOLERANCE) / spacing) + 1
    return [first + n * spacing for n in range(count)]


def _runs(wall: Wall, terms: Terms, low: float, studs: Sequence[float]) -> list[tuple[float, float]]:
    """Return from where to where a row is filled."""
    high = low + float(terms.project.cleats.wall_height)
    free = [(0.0, float(wall.width))]
    for box in _keepouts(wall):
        if box.low < high - TOLERANCE and low < box.high - TOLERANCE:
            free = [
                (start, end)
                for left, right in free
                for start, end in ((left, min(right, box.left)), (max(left, box.right), right))
                if end > start
            ]
    found, over = [], float(wall.overhang)
    for left, right in sorted(free):
        behind = [stud for stud in studs if left - TOLERANCE <= stud <= right + TOLERANCE]
        if len(behind) >= 2:
            found.append((max(left, behind[0] - over), min(right, behind[-1] + over)))
    return found


def _keepouts(wall: Wall) -> Iterator[Box]:
    for keepout in wall.keepout:
        x, y, room = float(keepout.x), float(keepout.y), float(keepout.clearance)
        yield Box(x - room, y - room, x + float(keepout.width) + room, y + float(keepout.height) + room)


def _off_keepouts(wall: Wall, box: Box, place: str, findings: Findings) -> None:
    for keepout, around in zip(wall.keepout, _keepouts(wall), strict=True):
        if box.meets(around):
            findings.add("wall", place, f"comes too near to the keep-out {keepout.name!r}")


def _check_row(
    row: WallRow, place: str, runs: Sequence[tuple[float, float]], studs: Sequence[float], findings: Findings
) -> None:
    pieces = list(row.pieces)
    for left, right in runs:
        at = left
        while pieces and at < right - TOLERANCE and abs(pieces[0].x - at) <= TOLERANCE:
            piece = pieces.pop(0)
            _check_piece(piece, studs, findings)
            at = piece.x + piece.length
            if at < right - TOLERANCE and not any(abs(at - stud) <= TOLERANCE for stud in studs):
                findings.add("wall", place, f"the joint at {at:g} is not on the centre of a stud")
        findings.equal("wall", place, f"the end of the pieces of the run from {left:g}", at, right)
    for piece in pieces:
        findings.add("wall", piece.part, f"hangs at {piece.x:g}, where its row has no room for it")


def _check_piece(piece: WallPiece, studs: Sequence[float], findings: Findings) -> None:
    behind = [stud for stud in studs if piece.x - TOLERANCE <= stud <= piece.x + piece.length + TOLERANCE]
    if len(behind) < 2:
        findings.add("wall", piece.part, f"has {len(behind)} studs behind it, two are needed")
    if piece.studs and (
        len(piece.studs) != len(behind)
        or any(abs(told - stud) > TOLERANCE for told, stud in zip(piece.studs, behind, strict=True))
    ):
        findings.add("wall", piece.part, "is said to be screwed to studs that are not those behind it")


# -- holders


def _check_holders(document: WallDocument, wall: Wall, terms: Terms, findings: Findings) -> None:
    cleats = terms.project.cleats
    asked = {holder.name: holder for holder in terms.project.holder}
    thickness = max(
        (float(stock.thickness) for stock in terms.stocks.values() if terms.project.suits(cleats.thickness, stock)),
        default=float(cleats.thickness),
    )
    rise = terms.rise(thickness)
    fronts: list[tuple[HungHolder, Box]] = []
    for hung in document.holders:
        holder = asked.get(hung.holder)
        if holder is None:
            findings.add("wall", hung.holder, "hangs on the wall, but nobody asked for it")
            continue
        if hung.row > len(document.rows):
            findings.add("wall", hung.holder, f"hangs on row {hung.row}, which is not there")
            continue
        row = document.rows[hung.row - 1]
        left, right = hung.x, hung.x + float(holder.width)
        top = row.y + float(cleats.wall_height + cleats.holder_height) - rise
        box = Box(left, top - float(holder.height), right, top)
        if hung.y is not None:
            findings.equal("wall", hung.holder, "the height of its foot", hung.y, box.low)
        if left < -TOLERANCE or right > float(wall.width) + TOLERANCE or box.low < -TOLERANCE:
            findings.add("wall", hung.holder, "reaches beyond the wall")
        if not _carried(row, left, right):
            findings.add("wall", hung.holder, f"is wider than what row {hung.row} offers where it hangs")
        raised = Box(left, box.low, right, top + rise)
        _off_keepouts(wall, raised, hung.holder, findings)
        _check_room_for_cleat(document, hung, raised, float(cleats.holder_height), findings)
        for other, front in fronts:
            if box.meets(front) or raised.meets(front) or box.meets(_raised(front, rise)):
                findings.add("wall", hung.holder, f"leaves {other.holder!r} no room, or has none to be lifted off")
        fronts.append((hung, box))
    _check_count(document, terms, findings)


def _raised(front: Box, rise: float) -> Box:
    return Box(front.left, front.low, front.right, front.high + rise)


def _carried(row: WallRow, left: float, right: float) -> bool:
    """Whether pieces of a row reach without a gap from one end of a holder to the other."""
    at = left
    for piece in sorted(row.pieces, key=lambda piece: piece.x):
        if piece.x <= at + TOLERANCE:
            at = max(at, piece.x + piece.length)
    return at >= right - TOLERANCE


def _check_room_for_cleat(
    document: WallDocument, hung: HungHolder, raised: Box, high: float, findings: Findings
) -> None:
    """Check that no wall cleat is in the way of the holder's own when it is lifted."""
    own = Box(raised.left, raised.high - high, raised.right, raised.high)
    tall = document.cleat_height or high
    for number, row in enumerate(document.rows, start=1):
        for piece in row.pieces:
            if number != hung.row and own.meets(Box(piece.x, row.y, piece.x + piece.length, row.y + tall)):
                findings.add("wall", hung.holder, f"cannot be lifted off: row {number} is in the way of its cleat")
                break


def _check_count(document: WallDocument, terms: Terms, findings: Findings) -> None:
    for holder in terms.project.holder:
        hung = sum(one.holder == holder.name for one in document.holders)
        left_out = sum(one.copies for one in document.left_out if one.holder == holder.name)
        if hung + left_out != holder.quantity:
            findings.add("wall", holder.name, f"{holder.quantity} are wanted, {hung} hang and {left_out} are left out")
