"""From a project to what has to be cut: stocks, panels, cleats and fillers, one group for each thickness."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from nesting.project.model import AnyStock, Project
    from nesting.wall.fitting import Fitting


@dataclass(frozen=True, slots=True)
class Stock:
    """One kind of piece to cut from. Lengths in the document's unit; ``trim`` is lost at every edge, kerf included.

    ``length`` lies along the face grain; ``available`` is None where there is no limit.
    """

    name: str
    kind: Literal["sheet", "board", "offcut"]
    length: Fraction
    width: Fraction
    thickness: Fraction
    trim: Fraction
    price: Fraction
    available: int | None
    grain: bool


@dataclass(frozen=True, slots=True)
class Panel:
    """A rectangular part wanted ``quantity`` times; a filler is cut only from what is left over.

    ``stocks`` are the indices of the group's stocks whose thickness suits it.
    """

    name: str
    length: Fraction
    width: Fraction
    quantity: int
    grain: Literal["length", "width", "any"]
    filler: bool
    stocks: frozenset[int]


@dataclass(frozen=True, slots=True)
class Cleat:
    """A cleat wanted ``quantity`` times; ``height`` is its tall face."""

    name: str
    kind: Literal["wall", "holder"]
    height: Fraction
    length: Fraction
    quantity: int
    stocks: frozenset[int]


@dataclass(frozen=True, slots=True)
class SplicedRun:
    """A stretch of wall to be filled by one of several splices, whichever the cutting likes best.

    Each of ``alternatives`` lists the lengths of its pieces from the low end, those of fewest joints first; the first
    of all is what would be hung if nobody asked the cutting. The k-th piece of the alternative chosen is called
    ``piece_names[k]``, so there are as many names as the longest alternative has pieces. ``row`` (1 at the top) and
    ``x`` (of the low end) say where the run lies: runs of neighbouring rows get their joints apart where that is free.
    """

    name: str
    kind: Literal["wall", "holder"]
    height: Fraction
    alternatives: tuple[tuple[Fraction, ...], ...]
    stocks: frozenset[int]
    piece_names: tuple[str, ...]
    row: int = 0
    x: Fraction = Fraction(0)


@dataclass(frozen=True, slots=True)
class Group:
    """Everything of one thickness: it shares stocks with nothing outside and is solved by itself."""

    stocks: tuple[Stock, ...]
    panels: tuple[Panel, ...]
    cleats: tuple[Cleat, ...]
    runs: tuple[SplicedRun, ...] = ()


def groups(project: Project, fitting: Fitting | None = None) -> tuple[Group, ...]:
    """Part a project into groups that share no stock, thickest first; ``fitting`` is its wall fitted out.

    Parts and stocks are joined where a stock has the thickness a part asks for; every stock that suits
    nothing is left out.
    """
    stocks = tuple(stock_of(project, stock) for stock in project.stocks)
    wanted: list[tuple[frozenset[int], Panel | Cleat | SplicedRun]] = []
    for part in project.part:
        suiting = _suiting(project, part.thickness)
        panel = Panel(part.name, part.length, part.width, part.quantity, part.grain, filler=part.filler, stocks=suiting)
        wanted.append((suiting, panel))
    for asked in project.cleat:
        suiting = _suiting(project, project.cleats.thickness)
        height = project.cleats.height(asked.kind)
        wanted.append((suiting, Cleat(asked.name, asked.kind, height, asked.length, asked.quantity, suiting)))
    if fitting is not None:
        wanted += _of_wall(project, fitting)
    return parted(stocks, wanted)


def parted(
    stocks: Sequence[Stock], wanted: Sequence[tuple[frozenset[int], Panel | Cleat | SplicedRun]]
) -> tuple[Group, ...]:
    """Part pieces, each with the places of the stocks that suit it, into groups that share no stock, thick first."""
    joined: list[set[int]] = []
    for suiting, _ in wanted:
        touching = [shared for shared in joined if shared & suiting]
        joined = [shared for shared in joined if not shared & suiting] + [set(suiting).union(*touching)]
    found = []
    for shared in joined:
        indices = sorted(shared)
        place = {old: new for new, old in enumerate(indices)}
        pieces = [
            replace(piece, stocks=frozenset(place[i] for i in suiting))
            for suiting, piece in wanted
            if suiting and suiting <= shared
        ]
        panels = tuple(piece for piece in pieces if isinstance(piece, Panel))
        cleats = tuple(piece for piece in pieces if isinstance(piece, Cleat))
        runs = tuple(piece for piece in pieces if isinstance(piece, SplicedRun))
        found.append(Group(tuple(stocks[i] for i in indices), panels, cleats, runs))
    return tuple(sorted(found, key=lambda group: -max(stock.thickness for stock in group.stocks)))


def fixed(group: Group) -> Group:
    """Return a group whose runs are cut as fewest full-length pieces, nothing left to choose."""
    wanted = Counter((run.kind, run.height, length, run.stocks) for run in group.runs for length in run.alternatives[0])
    cleats = tuple(
        Cleat(f"fixed {n}", kind, height, length, quantity, stocks)
        for n, ((kind, height, length, stocks), quantity) in enumerate(wanted.items(), start=1)
    )
    return replace(group, cleats=(*group.cleats, *cleats), runs=())


def _of_wall(project: Project, fitting: Fitting) -> Iterator[tuple[frozenset[int], Panel | Cleat | SplicedRun]]:
    """Yield what a wall fitted out asks for, each with the stocks that suit it."""
    cleats = project.cleats
    suiting = _suiting(project, cleats.thickness)
    for fitted in fitting.runs:
        run = fitted.run
        name = f"row {run.row} from {fitted.piece_names[0].rpartition(' ')[2]}"
        high = cleats.wall_height
        yield (
            suiting,
            SplicedRun(name, "wall", high, fitted.splices, suiting, fitted.piece_names, run.row, run.x),
        )
    for built in fitting.built:
        cleat = built.cleat
        yield (
            suiting,
            Cleat(cleat.name, "holder", cleats.holder_height, cleat.length, cleat.quantity, suiting),
        )
    for part in fitting.parts:
        thick = _suiting(project, part.thickness)
        yield (
            thick,
            Panel(part.name, part.length, part.width, part.quantity, part.grain, filler=False, stocks=thick),
        )


def stock_of(project: Project, stock: AnyStock) -> Stock:
    """Return a stock of a project as it is cut from."""
    return Stock(
        stock.name,
        stock.kind,
        stock.length,
        stock.width,
        stock.thickness,
        project.trim(stock),
        Fraction(stock.price),
        stock.limit,
        stock.grain,
    )


def _suiting(project: Project, thickness: Fraction) -> frozenset[int]:
    return frozenset(i for i, stock in enumerate(project.stocks) if project.suits(thickness, stock))
