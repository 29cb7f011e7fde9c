"""An independent reading of patterns for the tests of the engine: sizes, ways, demands, limits."""

from __future__ import annotations

from collections import Counter

from nesting.solve.pattern import Pattern, Plan, Put, Split, Strip
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
        elif isinstance(node, Strip):
            faults += faults_of_strip(problem, kind, node, length, width)
        elif node is not None:
            faults.append(f"unexpected {node}")
    return faults


def faults_of_strip(problem: Problem, kind: int, strip: Strip, length: int, width: int) -> list[str]:
    """Say what is wrong with a blank's strip in a space: its width, the height of its cleats, their lengths."""
    blank = problem.blanks[kind][strip.blank]
    faults = [] if width == blank.width else [f"a blank {blank.width} wide in a space of {width}"]
    if (strip.high is None) != (blank.high is None):
        faults.append(f"{strip} of {blank}")
    for height, bar in ((blank.low, strip.low), (blank.high, strip.high or ())):
        if any(problem.bars[cleat].kind != height for cleat in bar):
            faults.append(f"cleats of another height in {strip}")
        if sum(problem.bars[cleat].length for cleat in bar) > length:
            faults.append(f"{strip} in {length}")
    return faults


def bars_of(pattern: Pattern) -> Counter[int]:
    """Count the cleats of a pattern."""
    if isinstance(pattern, Split):
        return bars_of(pattern.low) + bars_of(pattern.high)
    return Counter((*pattern.low, *(pattern.high or ()))) if isinstance(pattern, Strip) else Counter()


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
    cleats = sum((bars_of(sheet.pattern) for sheet in plan), Counter[int]())
    if cleats != Counter({i: bar.demand for i, bar in enumerate(problem.bars) if bar.demand}):
        faults.append(f"made cleats {dict(cleats)}")
    opened = Counter(sheet.bin for sheet in plan)
    for kind, some in enumerate(problem.bins):
        if some.limit is not None and opened[kind] > some.limit:
            faults.append(f"bin {kind}: {opened[kind]} of {some.limit}")
    return faults


def cost_of_plan(problem: Problem, plan: Plan) -> int:
    """Add up the prices."""
    return sum(problem.bins[sheet.bin].cost for sheet in plan)
