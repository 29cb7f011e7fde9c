"""What is left of lost pieces, as stock of the new plan's job: owned, each there once, as large as it was found."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from nesting.errors import BadInput, Fault
from nesting.lengths import exact_text
from nesting.project.fields import LONGEST_NAME
from nesting.project.model import AnyStock, Offcut, Project, Sheet
from nesting.replan.bench import Bench


@dataclass(frozen=True, slots=True)
class Remain:
    """A rectangle left of a lost piece; ``stock`` is its name in the new job, None where it keeps its bevel."""

    piece: str
    stock: str | None
    length: Fraction
    width: Fraction


def remains(bench: Bench, measured: frozenset[str]) -> tuple[Project, tuple[Remain, ...]]:
    """Return the job with what is left of lost pieces among its stock, and which stock is of which piece.

    A piece that was ``measured`` and has a factory edge yet is trimmed all round as a sheet is; all else is square and
    sound as it was told. Raises :class:`~nesting.errors.BadInput` where a size cannot be written down exactly.
    """
    project = bench.project
    taken = {stock.name for stock in project.stocks}
    found: list[Remain] = []
    sheets: list[Sheet] = []
    offcuts: list[Offcut] = []
    faults: list[Fault] = []
    for piece, left in bench.lost.items():
        layout, _ = bench.nodes[piece]
        of = next(stock for stock in project.stocks if stock.name == layout.stock)
        for length, width in left:
            square = bench.square_rest(piece, length, width)
            if square is None:
                found.append(Remain(piece, None, length, width))
                continue
            try:
                for side in square:
                    exact_text(side, project.unit)
            except ValueError as error:
                faults.append(Fault(f"piece {piece}", "", str(error)))
                continue
            rough = piece in measured and any(_rough(bench, piece))
            if rough and min(square) <= 2 * project.trim(of):
                continue  # nothing would be left of it
            name = _name(f"{piece} as measured" if piece in measured else f"left of {piece}", taken)
            facts = {
                "name": name,
                "length": square[0],
                "width": square[1],
                "thickness": of.thickness,
                "nominal": of.nominal,
                "grain": of.grain,
            }
            context = {"unit": project.unit}
            if rough:
                more = {"price": 0, "available": 1, "edge_trim": project.trim(of)}
                sheets.append(Sheet.model_validate(facts | more, context=context))
            else:
                offcuts.append(Offcut.model_validate(facts, context=context))
            found.append(Remain(piece, name, *square))
    if faults:
        raise BadInput(faults)
    grown = {"sheet": (*project.sheet, *sheets), "offcut": (*project.offcut, *offcuts)}
    return project.model_copy(update=grown), tuple(found)


def _rough(bench: Bench, piece: str) -> Iterator[str]:
    """Yield the edges of a piece that are factory edges to be trimmed."""
    layout, node = bench.nodes[piece]
    if bench.trim(layout):
        edges = {
            "left": node.x == 0,
            "right": node.x + node.length == layout.length,
            "low": node.y == 0,
            "high": node.y + node.width == layout.width,
        }
        yield from (edge for edge, there in edges.items() if there)


def _name(wish: str, taken: set[str]) -> str:
    """Return a name that no stock has, and note it as taken."""
    wish = wish[: LONGEST_NAME - 6]
    name, number = wish, 2
    while name in taken:
        name, number = f"{wish}, {number}", number + 1
    taken.add(name)
    return name


def stock_called(project: Project, name: str) -> AnyStock:
    """Return a stock of a project by its name."""
    return next(stock for stock in project.stocks if stock.name == name)
