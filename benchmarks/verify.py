"""Let the independent checker judge a benchmark's solution: cut trees in exact lengths, money, demands, bound."""

from __future__ import annotations

from typing import Any

from nesting.check.geometry import check_tree
from nesting.check.money import check_money
from nesting.check.parts import check_parts
from nesting.check.report import Findings, terms_of
from nesting.demand import groups
from nesting.errors import Bug
from nesting.plan import BuyLine, MadePart, Plan, SetupsDocument, layout_document, number
from nesting.project.model import Project
from nesting.project.read import project_from_mapping
from nesting.solve.grid import Rules, put_on_grid
from nesting.solve.pattern import Plan as Patterns
from nesting.solve.problem import Problem
from nesting.solve.trees import TreeBuilder


def as_project(problem: Problem) -> Project:
    """Write a published instance (no kerf, no cleats) down as a project of sheets and parts, a millimetre thick."""
    sheets: list[dict[str, Any]] = []
    for place, stock in enumerate(problem.bins):
        sheet = {"name": f"S{place}", "length": stock.length, "width": stock.width, "thickness": 1, "price": stock.cost}
        sheets.append(sheet if stock.limit is None else sheet | {"available": stock.limit})
    parts = [
        {
            "name": f"p{place}",
            "length": item.length,
            "width": item.width,
            "thickness": 1,
            "quantity": item.demand,
            "grain": "any" if any(turned for _, turned in item.ways) else "length",
        }
        for place, item in enumerate(problem.items)
    ]
    head = {"name": "published instance", "unit": "mm"}
    return project_from_mapping({"project": head, "saw": {"kerf": 0, "edge_trim": 0}, "sheet": sheets, "part": parts})


def verify(problem: Problem, patterns: Patterns | None, bound: int) -> int:
    """Return what a solution costs; raises :class:`Bug` where the checker finds a fault or the bound is above it."""
    if patterns is None:
        raise Bug("no plan")
    project = as_project(problem)
    (group,) = groups(project)
    gridded = put_on_grid(group, Rules(project.saw.kerf, project.project.fence_step, project.cleats.bevel))
    builder = TreeBuilder(gridded, gridded.panels, "mm")
    layouts = [builder.layout(f"L{n}", sheet.bin, sheet.pattern) for n, sheet in enumerate(patterns)]
    used = [sum(sheet.bin == place for sheet in patterns) for place in range(len(problem.bins))]
    cost = sum(count * stock.cost for count, stock in zip(used, problem.bins, strict=True))
    made = [node.part for layout in layouts for node in layout.tree.walk() if node.role == "part"]
    buy = [
        BuyLine(stock=f"S{place}", count=count, unit_price=stock.cost, cost=count * stock.cost)
        for place, (count, stock) in enumerate(zip(used, problem.bins, strict=True))
        if count
    ]
    parts = [
        MadePart(
            name=part.name,
            length=number(part.length),
            width=number(part.width),
            thickness=1.0,
            asked=part.quantity,
            made=made.count(part.name),
        )
        for part in project.part
    ]
    plan = Plan(
        unit="mm",
        project=project.name,
        cost=cost,
        cost_bound=bound,
        proven=bound == cost,
        buy=tuple(buy),
        layouts=tuple(layout_document(layout) for layout in layouts),
        parts=tuple(parts),
        steps=(),
        setups=SetupsDocument(fence=0, stop=0, guide=0, tilt=0, total=0, bound=0, proven=True),
    )
    findings, terms = Findings(), terms_of(project)
    check_money(plan, terms, findings)
    for layout in plan.layouts:
        check_tree(layout, terms, findings)
    check_parts(plan, terms, findings)
    if findings.faults:
        raise Bug("\n".join(str(fault) for fault in findings.faults))
    return cost
