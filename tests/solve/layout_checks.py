"""An independent reading of patterns for the tests of the engine: sizes, ways, demands, limits."""

from __future__ import annotations

from collections import Counter

from nesting.solve.pattern import Pattern, Plan, Put, Split
from nesting.solve.problem import Problem


def faults_of_pattern(problem: Problem, kind: int, pattern: Pattern) -> list[str]:
    """Say what is wrong with one pattern in a bin of this kind."""
    faults: list[str] = []
    todo = [(pattern, problem.bins[kind].length, problem.bins[kind].width)]
    while todo:
        node, length, width = todo.pop()
        if length <= 0 or width <= 0:
            faults.append(f"a piece of {length} × {width}")
        if isinstance(node, Split):
            if node.cut == "rip":
                todo += [(node.low, length, node.at), (node.high, length, width - node.at)]
            else:
                assert node.cut == "crosscut"
                todo += [(node.low, node.at, width), (node.high, length - node.at, width)]
        elif isinstance(node, Put):
            item = problem.items[node.item]
            sides = (item.width, item.length) if node.turned else (item.length, item.width)
            if sides != (length, width):
                faults.append(f"item {node.item} of {sides} in a space of {(length, width)}")
            if not item.ways[kind][node.turned]:
                faults.append(f"item {node.item} may not lie so")
        elif node is not None:
            faults.append(f"unexpected {node}")
    return faults


def items_of(pattern: Pattern) -> Counter[int]:
    """Count the items of a pattern."""
    count: Counter[int] = Counter()
    todo = [pattern]
    while todo:
        node = todo.pop()
        if isinstance(node, Split):
            todo += [node.low, node.high]
        elif isinstance(node, Put):
            count[node.item] += 1
    return count


def faults_of_plan(problem: Problem, plan: Plan) -> list[str]:
    """Say what is wrong with a plan."""
    faults = [fault for sheet in plan for fault in faults_of_pattern(problem, sheet.bin, sheet.pattern)]
    made: Counter[int] = Counter()
    for sheet in plan:
        made += items_of(sheet.pattern)
    asked = {i: item.demand for i, item in enumerate(problem.items) if item.demand}
    if dict(made) != asked:
        faults.append(f"made {dict(made)}, asked {asked}")
    opened = Counter(sheet.bin for sheet in plan)
    for kind, some in enumerate(problem.bins):
        if some.limit is not None and opened[kind] > some.limit:
            faults.append(f"bin {kind}: {opened[kind]} of {some.limit}")
    return faults


def cost_of_plan(problem: Problem, plan: Plan) -> int:
    """Add up the prices."""
    return sum(problem.bins[sheet.bin].cost for sheet in plan)
