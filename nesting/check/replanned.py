"""A plan made anew against the plan before it and the record of what happened: nothing lost, nothing invented.

Works on the two documents and the record alone and takes nothing from the planning code: which pieces exist is played
here once more, step by step.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final

from nesting.check.report import CENT, TOLERANCE, CheckReport, Findings, terms_of
from nesting.plan import LayoutDocument, NodeDocument, Plan, StepDocument
from nesting.progress.record import Progress, fingerprint
from nesting.project.model import AnyStock, Project, trim_of
from nesting.project.read import project_from_mapping, project_to_mapping

REPLAN_RULES: Final = ("replaces", "done", "kept", "finished", "lost", "rests", "job", "spent")
"""The names of the rules here, as faults bear them."""


@dataclass(frozen=True, slots=True)
class _Before:
    """The earlier plan as it stood: pieces with their layouts, what lies on the bench, what of it is lost."""

    plan: Plan
    nodes: Mapping[str, tuple[NodeDocument, LayoutDocument]]
    slanting: frozenset[str]
    done: tuple[StepDocument, ...]
    there: frozenset[str]
    lost: Mapping[str, tuple[tuple[float, float], ...]]
    measured: frozenset[str]
    scrapped: frozenset[str]


def check_replan(plan: Plan, earlier: Plan, progress: Progress) -> CheckReport:
    """Check that a plan made anew keeps what was done and uses what there is, each piece once and as large as it is.

    The earlier plan is taken to be sound, and so is the record (:func:`nesting.progress.marks.agreed`).
    """
    findings = Findings()
    before = _before(earlier, progress)
    told = plan.replaces
    if told is None:
        findings.add("replaces", "plan", "does not say which plan it replaces")
        return CheckReport(tuple(findings.faults), (), REPLAN_RULES)
    for what, found, wanted in (
        ("number", told.number, 1 if earlier.replaces is None else earlier.replaces.number + 1),
        ("number of steps done", told.done_steps, len(before.done)),
        ("earlier cost", told.cost, earlier.cost),
        ("number of earlier plans told of", len(told.before), told.number - 1),
    ):
        findings.equal("replaces", "plan", f"the {what}", found, wanted)
    if told.plan != fingerprint(earlier):
        findings.add("replaces", "plan", "names another plan as the one before")
    if {one.piece for one in told.lost} != before.lost.keys():
        findings.add("replaces", "plan", "the pieces said to be lost are not those of the record")
    recut = {one.piece for one in told.recut}
    _check_done(plan, before, recut, findings)
    _check_trees(plan, before, recut, findings)
    _check_job(plan, before, findings)
    _check_spent(plan, before, findings)
    return CheckReport(tuple(findings.faults), (), REPLAN_RULES)


def _before(earlier: Plan, progress: Progress) -> _Before:
    nodes: dict[str, tuple[NodeDocument, LayoutDocument]] = {}
    slanting: set[str] = set()
    for layout in earlier.layouts:
        for node in layout.tree.walk():
            nodes[node.id] = (node, layout)
            if node.bevel or node.id in slanting:
                slanting |= {piece.id for piece in node.pieces}
    lying = {layout.id for layout in earlier.layouts}
    done = tuple(step for step in earlier.steps if step.n in set(progress.done))
    for step in done:
        lying.discard(step.piece)
        lying |= set(step.makes)
    lost: dict[str, tuple[tuple[float, float], ...]] = {one.piece: one.left for one in progress.spoiled}
    mark = _mark(earlier)
    small = set()
    for one in progress.measured:
        node = nodes[one.piece][0]
        if one.piece not in lost and max(node.length - one.length, node.width - one.width) > mark + TOLERANCE:
            lost[one.piece] = ((min(one.length, node.length), min(one.width, node.width)),)
            small.add(one.piece)
    scrapped = frozenset(_scrapped(earlier, nodes))
    return _Before(earlier, nodes, frozenset(slanting), done, frozenset(lying), lost, frozenset(small), scrapped)


def _scrapped(earlier: Plan, nodes: Mapping[str, tuple[NodeDocument, LayoutDocument]]) -> Iterator[str]:
    """Yield the waste of pieces that were lost before the earlier plan was made."""
    if earlier.replaces is None:
        return
    blocks = [earlier.replaces.model_dump(), *earlier.replaces.before]
    for lost in (str(one["piece"]) for block in blocks for one in block.get("lost", ())):
        if lost in nodes:
            yield from (node.id for node in nodes[lost][0].walk() if node.role in ("waste", "offcut"))


def _mark(plan: Plan) -> float:
    return float(project_from_mapping(dict(plan.job or {})).project.fence_step)


# -- steps


def _check_done(plan: Plan, before: _Before, recut: set[str], findings: Findings) -> None:
    """Check that the new plan begins with the steps done, and goes on with the untouched ones in their order."""
    for place, step in enumerate(before.done):
        if place >= len(plan.steps) or not _same_step(plan.steps[place], step):
            findings.add("done", f"step {step.n}", f"was done, but is not step {place + 1} of the new plan")
    touched = recut | before.lost.keys()
    under = {node.id for piece in touched if piece in before.nodes for node in before.nodes[piece][0].walk()}
    numbers = {step.n for step in before.done}
    still = [step for step in before.plan.steps if step.n not in numbers and step.piece not in under]
    kept = {step.piece for step in still}
    again = [step for step in plan.steps[len(before.done) :] if step.piece in kept]
    if len(again) != len(still) or not all(_same_step(one, other) for one, other in zip(again, still, strict=True)):
        findings.add("kept", "plan", "steps that the loss does not touch are not there as they were, in their order")


def _same_step(one: StepDocument, other: StepDocument) -> bool:
    def facts(step: StepDocument) -> tuple[object, ...]:
        return (step.layout, step.piece, step.station, step.cut, step.against, step.leans, tuple(step.makes))

    same = facts(one) == facts(other) and abs(one.setting - other.setting) <= TOLERANCE
    return same and abs(one.bevel - other.bevel) <= TOLERANCE


# -- pieces


def _check_trees(plan: Plan, before: _Before, recut: set[str], findings: Findings) -> None:
    """Check that sheets are cut as before down to pieces that are lost or cut anew, and that these may be."""
    now = {layout.id: layout for layout in plan.layouts}
    for piece in sorted(recut):
        _check_recut(piece, before, findings)
    for layout in before.plan.layouts:
        new = now.get(layout.id)
        if new is None:
            findings.add("kept", layout.id, "was a layout of the earlier plan and is gone")
            continue
        if new.stock != layout.stock:
            findings.add("kept", layout.id, f"was cut from {layout.stock!r}, now from {new.stock!r}")
        for old, node in _pairs(layout.tree, new.tree, recut | before.lost.keys()):
            place = (node.x - old.x, node.y - old.y, node.length - old.length, node.width - old.width)
            if node.id != old.id or any(abs(one) > TOLERANCE for one in place):
                findings.add("kept", old.id, "is not there any more, or not where it was")
            elif old.id in before.lost:
                _check_lost(node, before, findings)
            elif old.id not in recut and not _alike(old, node):
                finished = old.role == "part" and old.id in before.there
                findings.add("finished" if finished else "kept", old.id, f"was {_said(old)}, now {_said(node)}")


def _pairs(old: NodeDocument, new: NodeDocument, ends: set[str]) -> Iterator[tuple[NodeDocument, NodeDocument]]:
    """Yield the pieces of two trees side by side, down to those of ``ends``."""
    todo = [(old, new)]
    while todo:
        one, other = todo.pop()
        yield one, other
        if one.id not in ends:
            todo += zip(one.pieces, other.pieces, strict=False)


def _alike(old: NodeDocument, new: NodeDocument) -> bool:
    def facts(node: NodeDocument) -> tuple[object, ...]:
        return (node.role, node.cut, node.bevel, node.part, node.turned, len(node.pieces))

    return facts(old) == facts(new)


def _said(node: NodeDocument) -> str:
    return repr(node.part) if node.part is not None else f"{node.cut}, bevel {node.bevel:g}" if node.cut else node.role


def _check_recut(piece: str, before: _Before, findings: Findings) -> None:
    """Check that a piece cut anew is there or to come, and not finished, lost or cut already."""
    if piece not in before.nodes:
        findings.add("rests", piece, "is said to be cut anew, but the earlier plan has no such piece")
        return
    node = before.nodes[piece][0]
    if piece in before.lost:
        return  # what may be made of it is asked elsewhere
    if piece in before.scrapped:
        findings.add("lost", piece, "is said to be cut anew, but was lost before the earlier plan was made")
    if node.role == "part":
        findings.add("finished", piece, f"is {node.part!r} and cannot be cut anew")
    if any(piece == step.piece for step in before.done):
        findings.add("rests", piece, "is said to be cut anew, but was cut already")
    for lost in before.lost:
        if piece != lost and any(inner.id == piece for inner in before.nodes[lost][0].walk()):
            findings.add("lost", piece, f"is said to be cut anew, but was to come from {lost}, which is lost")


def _check_lost(node: NodeDocument, before: _Before, findings: Findings) -> None:
    """Check that nothing is made of a lost piece but cleats of what keeps its bevel, no longer than that is."""
    if node.role == "waste":
        return
    old = before.nodes[node.id][0]
    sound = [length for length, width in before.lost[node.id] if width >= old.width - TOLERANCE]
    if node.id not in before.slanting or not sound:
        findings.add("lost", node.id, "is lost, but the new plan still uses it")
        return
    lengths = sorted((one.length for one in node.walk() if one.role in ("part", "offcut")), reverse=True)
    if not _go_into(lengths, sorted(sound, reverse=True)):
        findings.add("lost", node.id, "more is cut from it than what is left of it")


def _go_into(lengths: list[float], sound: list[float]) -> bool:
    """Whether lengths go into stretches, tried in every way: there are a few of each."""
    if not lengths:
        return True
    for place, room in enumerate(sound):
        if lengths[0] <= room + TOLERANCE:
            rest = [*sound[:place], room - lengths[0], *sound[place + 1 :]]
            if _go_into(lengths[1:], rest):
                return True
    return False


# -- the job and its stock


def _check_job(plan: Plan, before: _Before, findings: Findings) -> None:
    """Check that the job is the same but for stock that is left of lost pieces."""
    old, new = _project(before.plan), _project(plan)
    known = {stock.name for stock in old.stocks}
    added = [stock for stock in new.stocks if stock.name not in known]
    bare = new.model_copy(
        update={
            "sheet": tuple(one for one in new.sheet if one.name in known),
            "board": tuple(one for one in new.board if one.name in known),
            "offcut": tuple(one for one in new.offcut if one.name in known),
        }
    )
    if project_to_mapping(bare) != project_to_mapping(old):
        findings.add("job", "plan", "the job is not the one of the earlier plan")
    of = {left.stock: lost.piece for lost in (plan.replaces.lost if plan.replaces else ()) for left in lost.left}
    unused = {piece: list(left) for piece, left in before.lost.items()}
    for stock in added:
        piece = of.get(stock.name)
        if piece is None or piece not in before.lost:
            findings.add("rests", stock.name, "is new stock, but left of no lost piece")
            continue
        _check_rest(stock, piece, unused[piece], before, old, findings)


def _project(plan: Plan) -> Project:
    return project_from_mapping(dict(plan.job or {}))


def _check_rest(
    stock: AnyStock,
    piece: str,
    unused: list[tuple[float, float]],
    before: _Before,
    job: Project,
    findings: Findings,
) -> None:
    """Check one stock that is left of a lost piece; what was left of it can be used once."""
    node, layout = before.nodes[piece]
    terms = terms_of(job)
    of = terms.stocks[layout.stock]
    square = float("inf")
    if piece in before.slanting:
        square = node.width - terms.rise(layout.thickness)
    length, width = float(stock.length), float(stock.width)
    fits = [one for one in unused if length <= one[0] + TOLERANCE and width <= min(one[1], square) + TOLERANCE]
    if not fits:
        findings.add("rests", stock.name, f"{length:g} × {width:g} is not left of {piece}")
    else:
        unused.remove(min(fits))
    facts: dict[str, tuple[Any, Any]] = {
        "price": (float(stock.price), 0.0),
        "number": (stock.limit, 1),
        "thickness": (stock.thickness, of.thickness),
        "nominal thickness": (stock.nominal, of.nominal),
        "grain": (stock.grain, of.grain),
    }
    for what, (found, wanted) in facts.items():
        if found != wanted:
            findings.add("rests", stock.name, f"the {what} is not that of {piece}")
    trim = terms.trim(layout.stock)
    edges = (node.x, node.y, layout.length - node.x - node.length, layout.width - node.y - node.width)
    if piece in before.measured and trim and min(edges) <= TOLERANCE:
        own = float(trim_of(stock, job.saw.edge_trim))
        if own < trim - TOLERANCE:
            findings.add("rests", stock.name, f"has a factory edge of {piece}, which is not trimmed")


def _check_spent(plan: Plan, before: _Before, findings: Findings) -> None:
    """Check that what was bought stays paid, and that only new layouts cost more."""
    old = {layout.id for layout in before.plan.layouts}
    prices = {stock.name: float(stock.price) for stock in _project(plan).stocks}
    more = sum(prices.get(layout.stock, 0.0) for layout in plan.layouts if layout.id not in old)
    findings.equal("spent", "plan", "the cost", plan.cost, before.plan.cost + more, CENT)
    if plan.replaces is not None:
        findings.equal("spent", "plan", "what has to be bought more", plan.replaces.more, more, CENT)
