"""Writing a plan down: the document of the plan file from layouts, steps and what was proven."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING, NamedTuple

from nesting.document_load import load_document
from nesting.document_wall import wall_document
from nesting.layout import Layout
from nesting.lengths import Unit
from nesting.plan import (
    BuyLine,
    DriftDocument,
    MadePart,
    Plan,
    WorkDocument,
    layout_document,
    number,
    setups_document,
    step_document,
    warning_document,
)
from nesting.project.model import Project
from nesting.project.read import project_to_mapping
from nesting.steps import Caution, Step
from nesting.wall.naming import pieces_of

if TYPE_CHECKING:
    from nesting.savings import Fixed
    from nesting.sequence import Work
    from nesting.solve.cutting import Cutting
    from nesting.wall.fitting import Fitting
    from nesting.wall.load import Loads


def plan_document(
    project: Project,
    cuttings: Sequence[Cutting],
    work: Work,
    cautions: Sequence[Caution],
    seed: int,
    seconds: float,
    fitting: Fitting | None = None,
    saved: Fixed | None = None,
    carried: Loads | None = None,
) -> Plan:
    """Return the plan file's document of finished layouts and steps; money and proof of all thicknesses together."""
    from nesting.sequence.accuracy import measures

    cost = sum((cutting.cost for cutting in cuttings), Fraction(0))
    bound = sum((cutting.bound for cutting in cuttings), Fraction(0))
    kinds = dict.fromkeys(cutting.why.kind for cutting in cuttings if cutting.why.kind not in ("none", "nothing"))
    texts = dict.fromkeys(cutting.why.sentence for cutting in cuttings if cutting.why.sentence)
    return Plan(
        unit=project.unit,
        project=project.name,
        cost=number(cost),
        cost_bound=number(bound),
        proven=all(cutting.proven for cutting in cuttings),
        bound_kind=", ".join(kinds) or None,
        bound_text="; ".join(texts) or None,
        seed=seed,
        seconds=seconds,
        buy=tuple(buy_lines(project, work.layouts)),
        layouts=tuple(layout_document(layout) for layout in work.layouts),
        parts=tuple(_parts(project, fitting, work.layouts)),
        steps=tuple(
            step_document(step, told.sizes)
            for step, told in zip(work.sequence.steps, measures(work.layouts, work.sequence.steps), strict=True)
        ),
        setups=setups_document(work.sequence.setups),
        warnings=tuple(warning_document(caution) for caution in (*cautions, *work.sequence.cautions)),
        work=_work(project, fitting, work),
        wall=None if fitting is None else wall_document(project, fitting, work.layouts, saved),
        load=None if carried is None else load_document(project, carried),
        job=project_to_mapping(project),
    )


def _work(project: Project, fitting: Fitting | None, work: Work) -> WorkDocument:
    """Return what to know of the working order, drifts by the sizes asked for."""
    asked = {piece.name: (piece.length, piece.width) for piece in _asked(project, fitting, work.layouts)}
    return WorkDocument(
        rules=work.rules,
        group=work.group,
        sheet_by_sheet=work.sheet_by_sheet,
        among=work.among,
        recurring=work.recurring,
        drift=drift_documents(work.layouts, work.sequence.steps, asked, project.unit),
    )


def drift_documents(
    layouts: Sequence[Layout], steps: Sequence[Step], asked: Mapping[str, tuple[Fraction, Fraction]], unit: Unit
) -> tuple[DriftDocument, ...]:
    """Return how much kerf and thickness may drift on each layout, by the sizes asked for."""
    from nesting.sequence.drift import drift, drift_in_words

    return tuple(
        DriftDocument(
            layout=found.layout,
            kerf=number(found.kerf.most) if found.kerf else None,
            kerf_piece=found.kerf.piece if found.kerf else None,
            thickness=number(found.thickness.most) if found.thickness else None,
            thickness_piece=found.thickness.piece if found.thickness else None,
            text=drift_in_words(found, unit),
        )
        for found in drift(layouts, steps, asked)
    )


def buy_lines(project: Project, layouts: Sequence[Layout]) -> Iterator[BuyLine]:
    """Yield the lines of the buying list of some layouts, in the order of the project's stocks."""
    used = Counter(layout.stock for layout in layouts)
    for stock in project.stocks:
        if used[stock.name]:
            price = Fraction(stock.price)
            yield BuyLine(
                stock=stock.name,
                count=used[stock.name],
                unit_price=number(price),
                cost=number(price * used[stock.name]),
            )


class _Asked(NamedTuple):
    """What was asked of a part or cleat, by the project or for its wall."""

    name: str
    length: Fraction
    width: Fraction
    thickness: Fraction
    quantity: int


def _asked(project: Project, fitting: Fitting | None, layouts: Sequence[Layout]) -> Iterator[_Asked]:
    cleats = project.cleats
    for part in project.part:
        yield _Asked(part.name, part.length, part.width, part.thickness, part.quantity)
    for cleat in project.cleat:
        yield _Asked(cleat.name, cleat.length, cleats.height(cleat.kind), cleats.thickness, cleat.quantity)
    if fitting is None:
        return
    for piece in pieces_of(fitting.runs, layouts):
        yield _Asked(piece.part, piece.length, cleats.wall_height, cleats.thickness, 1)
    for built in fitting.built:
        own = built.cleat
        yield _Asked(own.name, own.length, cleats.holder_height, cleats.thickness, own.quantity)
    for made in fitting.parts:
        yield _Asked(made.name, made.length, made.width, made.thickness, made.quantity)


def _parts(project: Project, fitting: Fitting | None, layouts: Sequence[Layout]) -> Iterator[MadePart]:
    made = Counter(node.part for layout in layouts for node in layout.tree.walk() if node.role == "part")
    for asked in _asked(project, fitting, layouts):
        yield MadePart(
            name=asked.name,
            length=number(asked.length),
            width=number(asked.width),
            thickness=number(asked.thickness),
            asked=asked.quantity,
            made=made[asked.name],
        )
