"""Fillers: once the cost is settled, as much filler area as fits into the stock that is cut anyway.

First every rest of the plan is filled by the exact knapsack; then, one filler at a time, the whole job is packed
anew together with one more of them, as long as that succeeds within the same stock.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from nesting.solve.bars import Content, as_items, decomposed
from nesting.solve.columns import keeps_limits, thinned_to_demand
from nesting.solve.compiled import Kernels
from nesting.solve.construct import first_plans
from nesting.solve.pattern import Plan, Sheet, Strip, contents, leaves
from nesting.solve.pricing import places_of, table_of
from nesting.solve.problem import Problem
from nesting.solve.rests import filled
from nesting.solve.staged import StagedTable
from nesting.solve.stop import Stop

TRIES, ROUNDS = 40, 12
MOST_TABLES = 8
"""Tables kept; each may take some 50 MB."""


def filler_area(plan: Plan, values: Sequence[int], first: int) -> int:
    """Return what the fillers of a plan (items from ``first`` on) are worth."""
    return sum(values[i] * n for sheet in plan for i, n in contents(sheet.pattern)[0].items() if i >= first)


StagedTables = dict[tuple[int, tuple[int, ...]], StagedTable]
"""What the rests of a bin are worth at most, for what each item is worth."""


def filled_in_stages(
    problem: Problem,
    plan: Plan,
    wanted: Sequence[int],
    values: Sequence[int],
    kernels: Kernels,
    tables: StagedTables | None = None,
) -> Plan:
    """Fill the rests of a plan as :func:`nesting.solve.rests.filled` does, within the limits on stages.

    ``tables`` keeps what was worked out for another plan of the same problem.
    """
    tables = {} if tables is None else tables
    asked = replace(
        problem,
        items=tuple(replace(item, demand=item.demand + more) for item, more in zip(problem.items, wanted, strict=True)),
    )
    places = {place.index: place for place in places_of(asked)}
    left = Counter({i: n for i, n in enumerate(wanted) if n})
    sheets = []
    for sheet in plan:
        pattern = sheet.pattern
        for _ in range(sum(1 for n in wanted if n)):
            worth = [value if left[i] > 0 else 0 for i, value in enumerate(values)] + [0] * len(problem.bars)
            here = contents(pattern)[0]
            bounded = replace(
                asked,
                items=tuple(replace(item, demand=here[i] + max(0, left[i])) for i, item in enumerate(asked.items)),
            )
            key = sheet.bin, tuple(worth)
            if key not in tables:
                if len(tables) == MOST_TABLES:
                    tables.clear()
                tables[key] = table_of(asked, places[sheet.bin], worth, kernels)
            fuller = thinned_to_demand(bounded, tables[key].refilled(pattern))
            gained = contents(fuller)[0] - here
            if not gained:
                break
            left.subtract(gained)
            pattern = fuller
        sheets.append(Sheet(sheet.bin, pattern))
    return tuple(sheets)


def with_more(
    problem: Problem, plan: Plan, first: int, wanted: Sequence[int], values: Sequence[int], stop: Stop, kernels: Kernels
) -> Plan:
    """Return a plan of the same stock with as many fillers as could be packed in ``ROUNDS`` attempts until ``stop``.

    Items from ``first`` on are fillers, at most ``wanted[i]`` of item i, worth ``values[i]`` each.
    """
    used = Counter(sheet.bin for sheet in plan)
    bins = tuple(replace(stock, limit=used[b]) for b, stock in enumerate(problem.bins))
    order = sorted(range(first, len(problem.items)), key=lambda i: -values[i])
    seed = 0
    hopeless: set[int] = set()
    while seed < ROUNDS and not stop.reached():
        made = Counter({i: n for sheet in plan for i, n in contents(sheet.pattern)[0].items() if i >= first})
        more = next((i for i in order if i not in hopeless and made[i] < wanted[i]), None)
        if more is None:
            break
        made[more] += 1
        seed += 1
        asked = replace(
            problem,
            bins=bins,
            items=tuple(replace(item, demand=made[i]) if i >= first else item for i, item in enumerate(problem.items)),
        )
        packed = _packed(asked, plan, seed, stop, kernels)
        if packed is None:
            hopeless.add(more)
            continue
        spare = [wanted[i] - made[i] if i >= first else 0 for i in range(len(problem.items))]
        plan = filled(problem, packed, spare, values, kernels)
        hopeless.clear()
    return plan


def _packed(asked: Problem, plan: Plan, seed: int, stop: Stop, kernels: Kernels) -> Plan | None:
    """Pack all that is asked, cleats in the blanks they are in now, into no more than the bins' limits."""
    blanks: list[Content] = []
    for sheet in plan:
        for leaf in leaves(sheet.pattern):
            if isinstance(leaf, Strip):
                row = asked.blanks[sheet.bin][leaf.blank]
                blanks.append(Content(row.low, row.high if leaf.high is not None else None, leaf.low, leaf.high))
    composition = as_items(asked, blanks)
    for packed in first_plans(composition.problem, seed, TRIES, stop, kernels):
        whole = decomposed(asked, composition, packed)
        if keeps_limits(asked, whole):
            return whole
    return None
