"""What fits the vehicle: stocks to buy that are too large to carry home uncut, and what to say of them.

A piece fits where it fits either way round. Leftovers and stocks that are owned already are at home.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction

from nesting.lengths import show_length
from nesting.project.model import Project, Sheet
from nesting.steps import Caution

CODE = "too_large_to_carry"


def fits(project: Project, length: Fraction, width: Fraction) -> bool:
    """Whether a piece fits the project's vehicle, ``carry_length`` by ``carry_width``, lying either way."""
    head = project.project
    return any(
        (head.carry_length is None or along <= head.carry_length)
        and (head.carry_width is None or across <= head.carry_width)
        for along, across in ((length, width), (width, length))
    )


def too_large(project: Project) -> tuple[Sheet, ...]:
    """Return the sheets and boards to buy that do not fit the vehicle; none where it is not told what fits."""
    stocks = (*project.sheet, *project.board)
    return tuple(stock for stock in stocks if stock.price and not fits(project, stock.length, stock.width))


def cautions(project: Project, used: Iterable[str]) -> Iterator[Caution]:
    """Yield a caution for every stock that a plan uses and that does not fit the vehicle uncut."""
    names = set(used)

    def length(value: Fraction) -> str:
        return show_length(value, project.unit, project.project.fence_step)

    for stock in too_large(project):
        if stock.name in names:
            yield Caution(
                CODE,
                f"{stock.name!r}, {length(stock.length)} × {length(stock.width)} {project.unit}, does not fit the "
                "vehicle. `cleatwright compare` plans the job with pieces cut in the shop of purchase.",
                stock.name,
            )
