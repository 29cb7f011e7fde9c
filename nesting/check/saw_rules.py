"""The saw's limits: which station can make a cut, and what it may do only with a warning."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction

from nesting.check.replay import along
from nesting.check.report import TOLERANCE, Findings, Terms
from nesting.plan import NodeDocument, Plan, StepDocument


def check_saw_rules(plan: Plan, terms: Terms, findings: Findings) -> None:
    """Check every step against the limits of its station."""
    nodes = {node.id: node for layout in plan.layouts for node in layout.tree.walk()}
    warned = _warned(plan)
    for step in plan.steps:
        node = nodes.get(step.piece)
        if node is not None:
            _check_step(step, node, terms, warned, findings)


def _check_step(
    step: StepDocument, node: NodeDocument, terms: Terms, warned: set[tuple[int, str]], findings: Findings
) -> None:
    saw, where = terms.project.saw, f"step {step.n}"
    edge = along(node, step.cut)
    if step.setting < -TOLERANCE:
        findings.add("saw", where, "a setting cannot be negative")
    if step.bevel and step.station != "table saw":
        findings.add("saw", where, f"a bevel rip is not made at the {step.station}")
    if step.station == "breakdown saw" and not saw.breakdown_saw:
        findings.add("saw", where, "there is no guided saw")
    if step.station == "crosscut sled" and edge > float(saw.crosscut_capacity) + TOLERANCE:
        findings.add("saw", where, f"the cut is {edge:g} long, the sled carries {float(saw.crosscut_capacity):g}")
    if step.station != "table saw":
        return
    lean = "away" if saw.blade_leans != saw.fence_side else "toward"
    if step.leans not in (None, lean):
        findings.add("saw", where, f"with this blade and fence it leans {lean}, not {step.leans}")
    if step.setting > float(saw.rip_capacity) + TOLERANCE:
        findings.add("saw", where, f"the fence opens to {float(saw.rip_capacity):g}, not {step.setting:g}")
    foot = Fraction(12) if terms.project.unit == "in" else Fraction(3048, 10)
    if step.cut == "crosscut" and (
        not saw.fence_crosscuts or edge < float(foot) - TOLERANCE or edge < step.setting - TOLERANCE
    ):
        findings.add("saw", where, "only wide pieces are crosscut against the fence, with the long edge on it")
    if edge < float(saw.shortest_against_fence) - TOLERANCE and (step.n, "short") not in warned:
        findings.add("saw", where, f"a piece {edge:g} long runs along the fence without a warning")
    if step.setting < float(saw.narrowest_rip) - TOLERANCE and (step.n, "narrow") not in warned:
        findings.add("saw", where, f"{step.setting:g} is ripped against the fence without a warning")


def _warned(plan: Plan) -> set[tuple[int, str]]:
    """Return the numbers of steps that a warning about short or narrow pieces names, itself or by its layout."""
    found: set[tuple[int, str]] = set()
    for warning in plan.warnings:
        kinds = [kind for kind in ("short", "narrow") if kind in warning.code.lower()]
        if kinds:
            found |= {(n, kind) for n in steps_at(plan, warning.where) for kind in kinds}
    return found


def steps_at(plan: Plan, where: str) -> Iterator[int]:
    """Yield the numbers of the steps of a warning's place, such as ``A1``, ``3`` or ``steps 3, 7-9``."""
    yield from (step.n for step in plan.steps if step.layout == where)
    if re.fullmatch(r"(?:steps?)?[\d\s,–-]+", where, re.IGNORECASE):
        for first, last in re.findall(r"(\d+)(?:\s*[-–]\s*(\d+))?", where):
            yield from range(int(first), min(int(last or first), len(plan.steps)) + 1)
