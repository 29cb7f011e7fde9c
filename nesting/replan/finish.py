"""From a way to a whole plan: new cuts grafted into the trees, their steps put in order, all of it written down."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from nesting import carry
from nesting.demand import stock_of
from nesting.document import buy_lines, drift_documents
from nesting.layout import Layout, Node
from nesting.make import saw_of
from nesting.plan import (
    LayoutDocument,
    MadePart,
    Plan,
    WorkDocument,
    layout_document,
    number,
    setups_document,
    step_document,
    warning_document,
)
from nesting.plan_replaces import LeftPiece, LostPiece, Recut, ReplacesDocument
from nesting.progress.record import fingerprint
from nesting.project.read import project_to_mapping
from nesting.replan.attempt import Attempt, Shop
from nesting.replan.choose import changed
from nesting.replan.graft import grafted, uncut
from nesting.replan.order import in_order, least_settings
from nesting.replan.remains import Remain, stock_called
from nesting.replan.words import sentence
from nesting.sequence import plan_choice
from nesting.sequence.accuracy import measures
from nesting.sequence.cautions import cautions
from nesting.sequence.count import count
from nesting.sequence.count import number as numbered_steps
from nesting.sequence.divide import Divider
from nesting.sequence.reasons import rules_in_force, settings_sheet_by_sheet, why_settings_recur
from nesting.solve.stop import Stop
from nesting.steps import Caution, Step
from nesting.trade.saw import Saw

SEQUENCE_SECONDS = 0.4
KEPT_ORDER = "What is done comes first; steps that the loss does not touch keep their order, new ones go in between."
UNPROVEN = Caution("unproven", "What has to be bought more is not proven to be the least.")
_OWN_CODES = ("unproven", carry.CODE)


@dataclass(frozen=True, slots=True)
class Finished:
    """A whole new plan, not checked yet, and what it says of the one before."""

    plan: Plan
    replaces: ReplacesDocument


@dataclass(frozen=True, slots=True)
class Loss:
    """What is left of lost pieces, why each is lost, and notes on it."""

    remains: tuple[Remain, ...]
    why: dict[str, str]
    notes: dict[str, str]


def finish(shop: Shop, way: Attempt, loss: Loss, stop: Stop, seconds: float) -> Finished:
    """Return the plan that a way leads to.

    Raises :class:`~nesting.errors.CannotBeDone` where no station can make one of its cuts.
    """
    bench, project = shop.bench, shop.project
    saw = saw_of(project)
    made, fresh = _worked(shop, way, saw, stop)
    layouts, documents = _layouts(shop, way, made)
    steps = numbered_steps(_ordered(shop, way, fresh, layouts, saw), saw)
    new = [layout for layout in made if layout.id not in bench.nodes]
    replaces = _replaces(shop, way, loss, made, len(fresh))
    more = sum((Fraction(stock_called(project, layout.stock).price) for layout in new), Fraction(0))
    before = bench.plan
    cost = before.cost + number(more)
    bound = before.cost + number(_bound(shop, way, more))
    proven = bound >= cost
    trims = {stock.name: project.trim(stock) for stock in project.stocks}
    told = cautions(layouts, steps, saw, lambda layout: trims[layout.stock])
    warnings = (
        *_kept_warnings(shop, saw),
        *([] if proven else [warning_document(UNPROVEN)]),
        *map(warning_document, carry.cautions(project, (layout.stock for layout in layouts))),
        *map(warning_document, told),
    )
    names = Counter(node.part for layout in layouts for node in layout.tree.walk() if node.part is not None)
    settings = count(steps, saw)
    least = least_settings(steps)
    plan = before.model_copy(
        update={
            "cost": cost,
            "cost_bound": bound,
            "proven": proven,
            "bound_kind": ("bought already" if not more else way.why.kind) if proven else None,
            "bound_text": (_why(way, more) or None) if proven else None,
            "seed": shop.seed,
            "seconds": seconds,
            "buy": tuple(buy_lines(project, layouts)),
            "layouts": documents,
            "parts": tuple(_counted(row, names) for row in before.parts),
            "steps": tuple(
                step_document(step, found.sizes) for step, found in zip(steps, measures(layouts, steps), strict=True)
            ),
            "setups": setups_document(replace(settings, bound=least, proven=settings.total <= least)),
            "warnings": warnings,
            "work": _work(shop, layouts, steps, saw),
            "replaces": replaces,
            "job": project_to_mapping(project),
        }
    )
    return Finished(plan, replaces)


def _worked(shop: Shop, way: Attempt, saw: Saw, stop: Stop) -> tuple[tuple[Layout, ...], tuple[Step, ...]]:
    """Return the pieces as they are cut now, and their steps in an order of their own."""
    choices = [candidates for candidates in way.choices if candidates and candidates[0]]
    if not choices:
        return (), ()
    stocks = {stock.name: stock_of(shop.project, stock) for stock in shop.project.stocks}
    free = shop.rules.max_stages is None and shop.rules.first_cut == "any"
    seconds = min(SEQUENCE_SECONDS, max(0.1, stop.left()))
    work = plan_choice(choices, saw, stocks=stocks, rearrange=free, seconds=seconds, seed=shop.seed, stop=stop)
    hosts = {piece: layout.id for piece, (layout, _) in shop.bench.nodes.items()}
    steps = tuple(replace(step, layout=hosts.get(step.layout, step.layout)) for step in work.sequence.steps)
    return work.layouts, steps


def _layouts(shop: Shop, way: Attempt, made: Sequence[Layout]) -> tuple[tuple[Layout, ...], tuple[LayoutDocument, ...]]:
    """Return all layouts of the new plan, and their documents: those of untouched sheets word for word."""
    bench = shop.bench
    instead: dict[str, Node] = {}
    for piece in bench.lost:
        instead[piece] = uncut(bench.nodes[piece][1], waste=True, unit=shop.project.unit)
    for piece in way.freed:
        instead[piece] = uncut(bench.nodes[piece][1], waste=False, unit=shop.project.unit)
    instead |= {layout.id: layout.tree for layout in made if layout.id in bench.nodes}
    touched = {bench.nodes[piece][0].id for piece in instead}
    layouts: list[Layout] = []
    documents: list[LayoutDocument] = []
    for document in bench.plan.layouts:
        layout = bench.layouts[document.id]
        if layout.id in touched:
            layout = replace(layout, tree=grafted(layout.tree, instead))
        layouts.append(layout)
        tree = layout_document(layout).tree if layout.id in touched else document.tree
        documents.append(document.model_copy(update={"tree": tree}))
    for layout in made:
        if layout.id not in bench.nodes:
            layouts.append(layout)
            documents.append(layout_document(layout))
    return tuple(layouts), tuple(documents)


def _ordered(shop: Shop, way: Attempt, fresh: Sequence[Step], layouts: Sequence[Layout], saw: Saw) -> list[Step]:
    bench = shop.bench
    freed = {node.id for piece in way.freed for node in bench.nodes[piece][1].walk()}
    done = [step for step in bench.steps if step.n in bench.done]
    kept = [step for step in bench.open_steps() if step.piece not in freed]
    return in_order(done, kept, fresh, {layout.id for layout in layouts}, saw)


def _bound(shop: Shop, way: Attempt, more: Fraction) -> Fraction:
    """Return what has to be bought at least, as far as it is known: nothing, or what the search of all pieces found.

    That holds for bevelled pieces and the splices of rows as they are, so nothing is claimed where there are any.
    """
    bench = shop.bench
    rows = {piece.part for row in (bench.plan.wall.rows if bench.plan.wall else ()) for piece in row.pieces}
    made = {bench.nodes[piece][1].part for piece in bench.there}
    open_rows = rows - made
    lying = bench.there | bench.lost.keys()
    bars = any(bench.bevelled(piece) and bench.nodes[piece][1].role != "part" for piece in lying)
    return min(more, way.bound) if not open_rows and not bars else Fraction(0)


def _why(way: Attempt, more: Fraction) -> str:
    return way.why.sentence if more else "what is bought already is enough"


def _counted(row: MadePart, names: Counter[str]) -> MadePart:
    return row if row.made == names[row.name] else row.model_copy(update={"made": names[row.name]})


def _kept_warnings(shop: Shop, saw: Saw) -> Iterator[object]:
    """Yield the warnings of the earlier plan that are not about its steps or its money."""
    bench = shop.bench
    trims = {stock.name: bench.project.trim(stock) for stock in bench.project.stocks}
    about_steps = cautions(tuple(bench.layouts.values()), bench.steps, saw, lambda layout: trims[layout.stock])
    codes = {caution.code for caution in about_steps} | set(_OWN_CODES)
    yield from (warning for warning in bench.plan.warnings if warning.code not in codes)


def _work(shop: Shop, layouts: Sequence[Layout], steps: Sequence[Step], saw: Saw) -> WorkDocument:
    project = shop.project
    stocks = {stock.name: stock_of(project, stock) for stock in project.stocks}
    drawn = Divider(saw, tuple(layouts), dict(stocks), rearrange=False)
    wholes = [drawn.divide(layout) for layout in layouts]
    asked = {row.name: (Fraction(repr(row.length)), Fraction(repr(row.width))) for row in shop.bench.plan.parts}
    return WorkDocument(
        rules=(*rules_in_force(saw, None, rearrange=False), KEPT_ORDER),
        group=None,
        sheet_by_sheet=None if drawn.reasons else settings_sheet_by_sheet(wholes, saw),
        recurring=why_settings_recur(steps, saw),
        drift=drift_documents(layouts, steps, asked, project.unit),
    )


# -- what became of the plan before


def _replaces(shop: Shop, way: Attempt, loss: Loss, made: Sequence[Layout], new_steps: int) -> ReplacesDocument:
    bench, project, before = shop.bench, shop.project, shop.bench.plan
    new = [layout for layout in made if layout.id not in bench.nodes]
    bought = Counter(layout.stock for layout in new if stock_called(project, layout.stock).price)
    more = sum((Fraction(stock_called(project, name).price) * n for name, n in bought.items()), Fraction(0))
    fillers = {part.name for part in project.part if part.filler}
    lost = Counter({name: n for name, n in bench.lost_parts().items() if name not in fillers})
    open_steps, gone = len(bench.open_steps()), changed(shop, way)
    text = sentence(
        project,
        list(loss.why.items()),
        lost,
        list(dict.fromkeys(_sources(shop, made, lost))),
        [(name, n) for name, n in bought.items()],
        more,
        (open_steps, gone, new_steps),
    )
    earlier = before.replaces
    return ReplacesDocument(
        number=1 if earlier is None else earlier.number + 1,
        plan=fingerprint(before),
        cost=before.cost,
        more=number(more),
        text=text,
        done=tuple(sorted(bench.done)),
        done_steps=len(bench.done),
        lost=tuple(_lost(shop, loss, piece) for piece in bench.lost),
        recut=tuple(_recut(shop, way, made)),
        layouts=tuple(layout.id for layout in new),
        open_steps=open_steps,
        changed_steps=gone,
        new_steps=new_steps,
        before=() if earlier is None else (*earlier.before, earlier.model_dump(mode="json", exclude={"before"})),
    )


def _sources(shop: Shop, made: Sequence[Layout], lost: Counter[str]) -> Iterator[str]:
    """Yield in words what the lost parts are cut from."""
    bench = shop.bench
    for layout in made:
        if not any(node.part in lost for node in layout.tree.walk()):
            continue
        if layout.id in bench.nodes:
            was = bench.nodes[layout.id][1].role
            yield f"{was if was in ('offcut', 'waste') else 'piece'} {layout.id}"
        elif stock_called(shop.project, layout.stock).price:
            yield f"a new {layout.stock} ({layout.id})"
        else:
            yield f"{layout.stock} ({layout.id})"


def _lost(shop: Shop, loss: Loss, piece: str) -> LostPiece:
    node = shop.bench.nodes[piece][1]
    return LostPiece(
        piece=piece,
        why=loss.why[piece],
        parts=tuple(sorted(one.part for one in node.walk() if one.part is not None)),
        length=number(node.length),
        width=number(node.width),
        left=tuple(
            LeftPiece(stock=one.stock, length=number(one.length), width=number(one.width))
            for one in loss.remains
            if one.piece == piece
        ),
        note=loss.notes.get(piece, ""),
    )


def _recut(shop: Shop, way: Attempt, made: Sequence[Layout]) -> Iterator[Recut]:
    now = {layout.id: layout for layout in made}
    for piece in dict.fromkeys([*way.freed, *(id_ for id_ in now if id_ in shop.bench.nodes)]):
        parts = [one.part for one in now[piece].tree.walk() if one.part is not None] if piece in now else []
        yield Recut(piece=piece, was=shop.bench.nodes[piece][1].role, parts=tuple(parts))
