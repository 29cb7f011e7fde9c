"""Alternatives: a project once for every combination of cleat height, thickness, kerf, gap and sheet to buy.

Each is a project of its own, read by the rules of every project file, so that a combination that breaks a rule is
known for what it is before anything is planned: an alternative with its reasons, beside the others.

*Cleat height* sets wall and holder cleats alike, for one height is one setting of the fence. *Thickness* is that of
the cleats: a stock's nominal thickness, or its measured one. *Sheet* leaves out every other sheet and board of its
thickness that would have to be bought; what is owned already (price 0) and other thicknesses stay.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import product
from math import prod
from typing import Any, Final

from nesting.errors import BadInput, Fault
from nesting.lengths import NotALength, Unit, read_length, show, show_length
from nesting.project.faults import nearest
from nesting.project.model import MEASURED_WITHIN, AnyStock, Project, Sheet, trim_of
from nesting.project.read import project_from_mapping, project_to_mapping
from nesting.trade.bevel import Bevel
from nesting.yield_curve import Yield

MOST: Final = 1_000
"""Alternatives in one comparison."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What is to be varied, as a person writes it; an empty list leaves the project's own value."""

    cleat_height: tuple[str, ...] = ()
    thickness: tuple[str, ...] = ()
    kerf: tuple[str, ...] = ()
    gap: tuple[str, ...] = ()
    sheet: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Choice:
    """One combination; None where the project's own value stands."""

    cleat_height: Fraction | None = None
    thickness: Fraction | None = None
    kerf: Fraction | None = None
    gap: Fraction | None = None
    sheet: str | None = None


@dataclass(frozen=True, slots=True)
class Alternative:
    """One combination with its project, or with the reasons why there can be none; ``label`` names what it varies."""

    choice: Choice
    label: str
    project: Project | None
    reasons: tuple[str, ...] = field(default=())


def alternatives(project: Project, asked: Asked) -> tuple[Alternative, ...]:
    """Return one alternative for every combination, heights varying slowest; a single one where nothing is asked.

    Raises :class:`~nesting.errors.BadInput` with every value that cannot be read, means nothing in this project, or
    would make too many combinations.
    """
    faults: list[Fault] = []
    heights = lengths("--cleat-height", asked.cleat_height, project.unit, faults)
    thicknesses = lengths("--thickness", asked.thickness, project.unit, faults)
    kerfs = lengths("--kerf", asked.kerf, project.unit, faults, zero=True)
    gaps = lengths("--gap", asked.gap, project.unit, faults)
    sheets = _names(project, asked.sheet, faults)
    faults += _out_of_place(project, gaps, thicknesses)
    lists: Mapping[str, Sequence[object]] = {
        "cleat_height": heights,
        "thickness": thicknesses,
        "kerf": kerfs,
        "gap": gaps,
        "sheet": sheets,
    }
    count = prod(max(1, len(values)) for values in lists.values())
    if count > MOST:
        faults.append(Fault("compare", "", f"these are {count:,} combinations", f"at most {MOST:,}"))
    if faults:
        raise BadInput(faults)
    varied = {name for name, values in lists.items() if len(values) > 1} or {
        name for name, values in lists.items() if values
    }
    own = (None,)
    combined = product(heights or own, thicknesses or own, kerfs or own, gaps or own, sheets or own)
    return tuple(_alternative(project, Choice(*values), varied) for values in combined)


def lengths(
    option: str, texts: Sequence[str], unit: Unit, faults: list[Fault], *, zero: bool = False
) -> tuple[Fraction, ...]:
    """Return the lengths given with an option, each once; what is none becomes a fault at that option."""
    found: dict[Fraction, None] = {}
    for text in texts:
        try:
            found[read_length(text, unit, zero=zero)] = None
        except NotALength as error:
            faults.append(Fault(option, "", error.reason, error.accepted))
    return tuple(found)


def _names(project: Project, names: Sequence[str], faults: list[Fault]) -> tuple[str, ...]:
    known = [sheet.name for sheet in (*project.sheet, *project.board)]
    for name in names:
        if name not in known:
            like = nearest(name, known)
            hint = f"; did you mean {like!r}?" if like else ""
            faults.append(Fault("--sheet", "", f"there is no sheet {name!r}{hint}", ", ".join(map(repr, known))))
    return tuple(dict.fromkeys(names))


def _out_of_place(project: Project, gaps: Sequence[Fraction], thicknesses: Sequence[Fraction]) -> Iterator[Fault]:
    if gaps:
        if project.wall is None:
            yield Fault("--gap", "", "this project has no [wall] whose rows it could part")
        elif project.wall.rows is not None:
            yield Fault("--gap", "", "wall.rows says where every row lies, so there is no gap to choose")
    offered = project.stocks
    for thickness in thicknesses:
        if not any(project.suits(thickness, stock) for stock in offered):
            known = sorted({stock.nominal for stock in offered} | {stock.thickness for stock in offered})
            shown = show_length(thickness, project.unit, Fraction(1, 64))
            accepted = ", ".join(show_length(one, project.unit, Fraction(1, 64)) for one in known)
            yield Fault("--thickness", "", f"no stock is {shown} {project.unit} thick", f"{accepted} {project.unit}")


def _alternative(project: Project, choice: Choice, varied: set[str]) -> Alternative:
    label = labelled(project, choice, varied)
    try:
        return Alternative(choice, label, varied_project(project, choice))
    except BadInput as error:
        return Alternative(choice, label, None, tuple(map(str, error.faults)))


def varied_project(project: Project, choice: Choice) -> Project:
    """Return the project with the values of a choice.

    Raises :class:`~nesting.errors.BadInput` where it breaks a rule of every project file.
    """
    data: dict[str, Any] = project_to_mapping(project)
    cleats, saw = dict(data["cleats"]), dict(data["saw"])
    if choice.cleat_height is not None:
        cleats |= {"wall_height": choice.cleat_height, "holder_height": choice.cleat_height}
    if choice.thickness is not None:
        cleats["thickness"] = choice.thickness
    if choice.kerf is not None:
        saw["kerf"] = choice.kerf
    data |= {"cleats": cleats, "saw": saw}
    if choice.gap is not None:
        data["wall"] = dict(data["wall"]) | {"gap": choice.gap}
    if choice.sheet is not None:
        chosen = next(sheet for sheet in (*project.sheet, *project.board) if sheet.name == choice.sheet)
        for kind, stocks in (("sheet", project.sheet), ("board", project.board)):
            data[kind] = [
                row for row, stock in zip(data[kind], stocks, strict=True) if not _rival(stock, chosen, project.unit)
            ]
    return project_from_mapping(data)


def _rival(stock: Sheet, chosen: Sheet, unit: Unit) -> bool:
    """Whether a stock would have to be bought in place of the chosen one."""
    if stock.name == chosen.name or not stock.price:
        return False
    alike = abs(stock.thickness - chosen.thickness) <= MEASURED_WITHIN[unit]
    return alike or stock.nominal == chosen.nominal


def labelled(project: Project, choice: Choice, varied: set[str]) -> str:
    """Return the values that set an alternative apart, in words.

    The first is plain where it is the height: ``3 in``, ``3 in, kerf 3/32 in``.
    """
    words = {"cleat_height": "", "thickness": "thickness ", "kerf": "kerf ", "gap": "gap ", "sheet": ""}
    said = []
    for name, before in words.items():
        value = getattr(choice, name)
        if name not in varied or value is None:
            continue
        shown = value if isinstance(value, str) else f"{_shown(value, project)} {project.unit}"
        said.append(before + shown)
    return ", ".join(said) or "as in the file"


def _shown(value: Fraction, project: Project) -> str:
    """Return a length as read off a rule where that is exact, else as a decimal: no two alternatives look alike."""
    shown = show(value, project.unit, Fraction(1, 64))
    return shown.text if shown.exact else f"{float(value):.4g}"


# -- the yield of an alternative


def cleat_stock(project: Project) -> AnyStock | None:
    """Return the stock that cleats are counted on: the first sheet or board of their thickness, one to buy if any."""
    suiting = [s for s in (*project.sheet, *project.board) if project.suits(project.cleats.thickness, s)]
    return next((stock for stock in suiting if stock.price), next(iter(suiting), None))


def yield_of(project: Project) -> Yield | None:
    """Return the yield of the stock that cleats are cut from; None where there is no sheet for them."""
    stock = cleat_stock(project)
    if stock is None:
        return None
    saw, cleats = project.saw, project.cleats
    rule = Bevel(stock.thickness, saw.kerf, cleats.bevel, project.project.fence_step)
    return Yield(stock.width, trim_of(stock, saw.edge_trim), rule)


def running(project: Project) -> Fraction:
    """Return how long a full-length cleat of :func:`cleat_stock` is; 0 where there is no such stock."""
    stock = cleat_stock(project)
    return Fraction(0) if stock is None else stock.length - 2 * trim_of(stock, project.saw.edge_trim)
