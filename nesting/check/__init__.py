"""The independent checker: replays a plan and takes nobody's word; shares no code with the solver."""

from __future__ import annotations

from nesting.check.report import CheckFault, CheckReport, Findings, terms_of
from nesting.plan import Plan
from nesting.progress.record import Progress
from nesting.project.model import Project

__all__ = ["RULES", "CheckFault", "CheckReport", "check_plan", "check_replan"]

RULES = (
    "unit",
    "project",
    "root",
    "ids",
    "roles",
    "cuts",
    "kerf",
    "bevel",
    "overlap",
    "edge-trim",
    "first-cut",
    "stages",
    "sizes",
    "grain",
    "thickness",
    "demand",
    "stock",
    "money",
    "bound",
    "steps",
    "setups",
    "saw",
    "carry",
    "wall",
    "load",
)
"""The names of all rules, as faults bear them."""


def check_plan(plan: Plan, project: Project | None = None) -> CheckReport:
    """Replay a plan against every rule: geometry, trims, parts, money, stages, steps, settings, saw, wall and loads.

    The project is the one given, else the one the plan holds as ``job``; without either the plan is checked against
    itself, and the notes say what could not be. Raises :class:`~nesting.errors.BadInput` where the plan's own
    job cannot be read.
    """
    from nesting.project.read import project_from_mapping

    findings = Findings()
    if project is None and plan.job is None:
        from nesting.check.alone import RULES as RULES_ALONE
        from nesting.check.alone import check_alone

        notes = check_alone(plan, findings)
        return CheckReport(tuple(findings.faults), notes, RULES_ALONE)
    from nesting.check.carry import check_carry
    from nesting.check.derived import with_derived
    from nesting.check.geometry import check_tree, check_trim
    from nesting.check.loads import check_loads
    from nesting.check.money import check_money
    from nesting.check.parts import check_parts
    from nesting.check.replay import check_setups, check_steps
    from nesting.check.saw_rules import check_saw_rules
    from nesting.check.saw_warnings import unsaid
    from nesting.check.stages import check_stages, recut_pieces
    from nesting.check.wall import check_wall

    terms = terms_of(project_from_mapping(dict(plan.job or {})) if project is None else project)
    if plan.unit != terms.project.unit:
        findings.add("unit", "plan", f"the plan is in {plan.unit}, the project in {terms.project.unit}")
    if plan.project != terms.project.name:
        findings.add("project", "plan", f"the plan is for {plan.project!r}, the project is {terms.project.name!r}")
    check_money(plan, terms, findings)
    fresh = recut_pieces(plan)
    for layout in plan.layouts:
        check_tree(layout, terms, findings)
        if layout.stock in terms.stocks:
            check_trim(layout, terms, findings)
            check_stages(layout, terms, findings, fresh)
    check_parts(plan, with_derived(plan, terms, findings), findings)
    check_wall(plan, terms, findings)
    check_loads(plan, terms, findings)
    check_steps(plan, terms, findings)
    check_setups(plan, terms.project.saw.sled_shares_table, findings)
    check_saw_rules(plan, terms, findings)
    check_carry(plan, terms, findings)
    return CheckReport(tuple(findings.faults), (), RULES, unsaid(plan, terms))


def check_replan(plan: Plan, earlier: Plan, progress: Progress) -> CheckReport:
    """Check a plan made anew against the one before and the record; see :mod:`nesting.check.replanned`."""
    from nesting.check.replanned import check_replan as check

    return check(plan, earlier, progress)
