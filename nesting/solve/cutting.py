"""One thickness group from demand to layouts: the cheapest plan, fillers in its rests, the better of equals.

The order of what matters: cost; then few joints in runs of wall, and these apart; then filler area; then fewer
different settings and cuts; then the largest single leftover. The first is proven or bounded by the search, the others
are chosen among the plans of equal cost that the search met.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

from nesting.demand import Cleat, Group, Panel
from nesting.layout import Layout, Node
from nesting.solve.compiled import PLAIN, Kernels, load, ready
from nesting.solve.fillers import StagedTables, filled_in_stages, filler_area, with_more
from nesting.solve.grid import Gridded, Rules, fitting, put_on_grid, ways_on
from nesting.solve.pattern import Plan, Sheet, contents
from nesting.solve.problem import Bar, Bound, Item, Problem
from nesting.solve.progress import News
from nesting.solve.reachable import limited, reachable
from nesting.solve.rests import Tables, filled, largest_rest, opened
from nesting.solve.search import PATIENCE, Solution, solve
from nesting.solve.splices import settled
from nesting.solve.splicing import joints_apart, names_of, spliced
from nesting.solve.stop import Stop
from nesting.solve.trees import TreeBuilder

MoneyObserver = Callable[[Fraction | None, Fraction, str], None]
CANDIDATES = 6
"""Plans of equal cost handed on, for the sequence to choose among."""


@dataclass(frozen=True, slots=True)
class Cutting:
    """The layouts of one group, the best first, then others as cheap; money in the project's currency.

    ``splices`` tells for each candidate which alternative each run of the group gets; its pieces bear the run's names.
    """

    candidates: tuple[tuple[Layout, ...], ...]
    cost: Fraction
    bound: Fraction
    proven: bool
    why: Bound
    exact: bool
    missing: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    splices: tuple[tuple[int, ...], ...] = ()


def money_on_grid(gridded: Gridded) -> Problem:
    """Return the problem with areas for prices where nothing has a price, so that the least plywood is used."""
    problem = gridded.problem
    if any(stock.cost for stock in problem.bins):
        return problem
    bins = tuple(replace(stock, cost=stock.length * stock.width) for stock in problem.bins)
    return replace(problem, bins=bins)


def cut_group(
    group: Group,
    rules: Rules,
    unit: Literal["in", "mm"],
    letters: Mapping[str, str],
    stop: Stop,
    seed: int,
    observer: MoneyObserver | None = None,
    patience: float = PATIENCE,
) -> Cutting:
    """Solve one thickness group and return its layouts, named by each stock's letter and a number.

    ``missing`` is not empty where the stock runs out: one sentence for each part that could not be made.
    Raises nothing of its own; every panel and cleat must fit some stock (see :func:`homeless`).
    """
    gridded = put_on_grid(group, rules)
    if not gridded.panels and not gridded.cleats:
        nothing = Bound(0, "nothing")
        return Cutting(((),), Fraction(0), Fraction(0), proven=True, why=nothing, exact=True, splices=((),))
    problem = money_on_grid(gridded)

    def tell(news: News) -> None:
        if observer is not None:
            unit_price = Fraction(1, gridded.money) if problem is gridded.problem else Fraction(0)
            observer(None if news.cost is None else news.cost * unit_price, news.bound * unit_price, news.phase)

    found = solve(problem, stop, seed, tell, patience=patience)
    if found.plan is None:
        return Cutting((), Fraction(0), Fraction(0), proven=False, why=found.bound, exact=gridded.exact)
    unpriced = problem is not gridded.problem
    cost, bound = (Fraction(0), Fraction(0)) if unpriced else _money(gridded, found)
    why = found.bound if gridded.exact else Bound(0, "none")
    if found.short:
        missing = _missing(gridded, found)
        return Cutting((), cost, bound, proven=False, why=found.bound, exact=gridded.exact, missing=missing)
    fillers = tuple(panel for panel in group.panels if panel.filler)
    wide = _with_fillers(gridded, problem, fillers)
    panels = gridded.panels + fillers
    kernels = load() if ready() else PLAIN
    apart = joints_apart(gridded, problem, found.plan, stop, seed, kernels)
    ranked = _ranked(wide, apart or [found.plan, *found.ties], panels, gridded, stop, kernels)[:CANDIDATES]
    built: list[tuple[tuple[int, int, Fraction], tuple[Layout, ...], tuple[int, ...]]] = []
    for plan, chosen in zip(ranked, spliced(gridded, ranked), strict=True):
        builder = TreeBuilder(gridded, panels, unit, names_of(gridded, chosen))
        layouts = _layouts(builder, plan, gridded, letters)
        built.append((_effort(layouts), layouts, chosen))
    built.sort(key=lambda entry: entry[0])
    return Cutting(
        tuple(layouts for _, layouts, _ in built),
        cost,
        bound,
        proven=cost == 0 or (gridded.exact and found.proven),
        why=why,
        exact=gridded.exact,
        warnings=found.warnings,
        splices=tuple(chosen for _, _, chosen in built),
    )


def _money(gridded: Gridded, found: Solution) -> tuple[Fraction, Fraction]:
    bound = min(found.bound.cost, found.cost) if gridded.exact else 0  # what bounds the rounded job bounds no other
    return Fraction(found.cost, gridded.money), Fraction(bound, gridded.money)


def _with_fillers(gridded: Gridded, problem: Problem, fillers: Sequence[Panel]) -> Problem:
    """Add fillers as items of no demand behind the others."""
    if not fillers:
        return problem
    kerf = gridded.rules.kerf

    def up(side: Fraction) -> int:
        return -int(-(side + kerf) * gridded.scale // 1)

    items = list(problem.items)
    for panel in fillers:
        ways = tuple(
            ways_on(panel, stock) if index in panel.stocks else (False, False)
            for index, stock in enumerate(gridded.stocks)
        )
        items.append(fitting(Item(up(panel.length), up(panel.width), 0, ways), problem.bins))
    return replace(problem, items=tuple(items))


def _ranked(
    problem: Problem, plans: Sequence[Plan], panels: Sequence[Panel], gridded: Gridded, stop: Stop, kernels: Kernels
) -> list[Plan]:
    """Fill the plans and return those of the greatest filler area, the largest leftover first."""
    first = len(gridded.panels)
    wanted = [panel.quantity if index >= first else 0 for index, panel in enumerate(panels)]
    values = [int(panel.length * panel.width * gridded.scale**2) for panel in panels]
    full = list(dict.fromkeys(plans))
    if any(wanted):
        tables: Tables = {}
        if problem.max_stages is None:
            full = [filled(settled(problem, plan), plan, wanted, values, kernels, tables) for plan in full]
        else:
            every, full = full, []
            job, staged = problem, StagedTables()
            for plan in every:
                if full and stop.reached():
                    break
                if settled(problem, plan) != job:
                    job, staged = settled(problem, plan), StagedTables()
                full.append(filled_in_stages(job, plan, wanted, values, kernels, staged))
        fullest = max(full, key=lambda plan: filler_area(plan, values, first))
        if not limited(problem):
            job = settled(problem, fullest)
            full.append(with_more(job, fullest, first, wanted, values, stop, kernels))
    rated = [
        (filler_area(plan, values, first), max(_rest(problem, sheet) for sheet in plan), plan) for plan in full if plan
    ]
    most = max(area for area, _, _ in rated)
    rated.sort(key=lambda entry: -entry[1])
    return [plan for area, _, plan in rated if area == most]


def _rest(problem: Problem, sheet: Sheet) -> int:
    stock = problem.bins[sheet.bin]
    pattern = opened(problem, sheet.bin, sheet.pattern, stock.length, stock.width)
    return largest_rest(pattern, stock.length, stock.width)


def _layouts(builder: TreeBuilder, plan: Plan, gridded: Gridded, letters: Mapping[str, str]) -> tuple[Layout, ...]:
    counts: Counter[int] = Counter()
    layouts = []
    for sheet in sorted(plan, key=lambda sheet: sheet.bin):
        counts[sheet.bin] += 1
        name = f"{letters[gridded.stocks[sheet.bin].name]}{counts[sheet.bin]}"
        layouts.append(builder.layout(name, sheet.bin, sheet.pattern))
    return tuple(layouts)


def _effort(layouts: Sequence[Layout]) -> tuple[int, int, Fraction]:
    """Rate layouts: different settings, cuts, and (negative) the largest leftover; less is better.

    A setting is what a cut leaves on either side that is no waste, taken once for rips and once for crosscuts.
    """
    settings: set[tuple[str | None, Fraction, Fraction]] = set()
    cuts, largest = 0, Fraction(0)
    for layout in layouts:
        for node in layout.tree.walk():
            if node.role == "cut":
                cuts += 1
                settings.add((node.cut, node.bevel, _setting(node)))
            elif node.role == "offcut":
                largest = max(largest, node.length * node.width)
    return len(settings), cuts, -largest


def _setting(node: Node) -> Fraction:
    kept = [piece for piece in node.pieces if piece.role != "waste"] or list(node.pieces)
    return min(piece.width if node.cut == "rip" else piece.length for piece in kept)


def _missing(gridded: Gridded, found: Solution) -> tuple[str, ...]:
    """Say what the sheets beyond the stock would have held, of the pieces that fit no stock without limit."""
    used: Counter[int] = Counter()
    items: Counter[int] = Counter()
    bars: Counter[int] = Counter()

    def pieces_on(sheet: Sheet) -> int:
        return sum(count.total() for count in contents(sheet.pattern))

    for sheet in sorted(found.plan or (), key=pieces_on, reverse=True):  # the fullest are cut, the others missing
        used[sheet.bin] += 1
        limit = gridded.stocks[sheet.bin].available
        if limit is not None and used[sheet.bin] > limit:
            here = contents(sheet.pattern)
            items.update(here[0])
            bars.update(here[1])
    pieces: list[tuple[str, int, Item | Bar]] = []
    pieces += [(gridded.panels[i].name, n, gridded.problem.items[i]) for i, n in sorted(items.items())]
    pieces += [(gridded.cleats[i].name, n, gridded.problem.bars[i]) for i, n in sorted(bars.items())]
    names = [(name, n) for name, n, piece in pieces if not reachable(gridded.problem, piece, unlimited=True)]
    why = "cannot be cut" if found.proven and gridded.exact else "could not be placed in the time given"
    return tuple(f"{n} of {name!r} {why}: the stock of its thickness runs out" for name, n in names)


def homeless(group: Group, rules: Rules) -> list[Panel | Cleat]:
    """Return the pieces of a group that fit no stock by size and grain, or not within the saw's limits on cuts.

    A run of which every alternative has such a piece is told by a cleat of its name.
    """
    gridded = put_on_grid(group, rules)
    asked = len(group.cleats)
    pieces: tuple[Panel | Cleat, ...] = (*gridded.panels, *gridded.cleats[:asked])
    shapes: tuple[Item | Bar, ...] = (*gridded.problem.items, *gridded.problem.bars[:asked])
    found = [piece for piece, shape in zip(pieces, shapes, strict=True) if not reachable(gridded.problem, shape)]
    able = {
        (cleat.height, cleat.length)
        for cleat, bar in zip(gridded.cleats[asked:], gridded.problem.bars[asked:], strict=True)
        if reachable(gridded.problem, bar)
    }
    for run in group.runs:
        hopeless = [[x for x in lengths if (run.height, x) not in able] for lengths in run.alternatives]
        if hopeless and all(hopeless):  # no way to splice it: the longest piece of its best alternative is told
            length = min(max(lengths) for lengths in hopeless)
            found.append(Cleat(run.name, run.kind, run.height, length, 1, run.stocks))
    return found
