"""Solve the 500 published bin packing instances and record values, bounds and proofs.

Run from the top of the repository: ``python -m benchmarks.bins --seconds 5`` (``--turns`` for quarter
turns). A run that was broken off goes on where it stopped: instances already in the results file under
the same protocol and commit are not solved again.
"""

from __future__ import annotations

import argparse
import json
import platform
import subprocess
import sys
import time
from collections import defaultdict
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from benchmarks.sets import Instance, NoData, bin_packing, data_folder, named_set, read_json
from nesting.errors import Bug
from nesting.solve.bounds import quick_bound
from nesting.solve.compiled import load
from nesting.solve.construct import first_plans
from nesting.solve.improve import improve
from nesting.solve.pattern import Plan, Put, Split
from nesting.solve.problem import Problem
from nesting.solve.search import solve
from nesting.solve.stop import Stop

RESULTS = Path(__file__).parent / "results" / "bins.jsonl"
Answer = tuple[Plan, int]
"""A plan and a valid bound on its cost."""


def by_search(problem: Problem, stop: Stop, seed: int) -> Answer:
    """Solve with everything the solver has."""
    solution = solve(problem, stop, seed)
    if solution.plan is None:
        raise Bug("no plan")
    return solution.plan, solution.bound.cost


def by_engine(problem: Problem, stop: Stop, seed: int) -> Answer:
    """Solve with quick bounds, insertion and ruin and recreate alone: what the engine does by itself."""
    kernels, bound, best = load(), quick_bound(problem).cost, ()
    for plan in first_plans(problem, seed, 100, stop, kernels):
        best = plan
        if cost_of(problem, plan) <= bound:
            return plan, bound
    return improve(problem, best, seed, stop, target=bound, kernels=kernels), bound


WAYS: dict[str, Callable[[Problem, Stop, int], Answer]] = {"search": by_search, "engine": by_engine}


def cost_of(problem: Problem, plan: Plan) -> int:
    """Add up the prices of a plan."""
    return sum(problem.bins[sheet.bin].cost for sheet in plan)


def check(problem: Problem, plan: Plan) -> None:
    """Replay a plan by its cuts alone; raises :class:`Bug` where a size, a way, a demand or a limit is missed."""
    made, opened = [0] * len(problem.items), [0] * len(problem.bins)
    for sheet in plan:
        opened[sheet.bin] += 1
        todo: list[tuple[Any, int, int]] = [
            (sheet.pattern, problem.bins[sheet.bin].length, problem.bins[sheet.bin].width)
        ]
        while todo:
            node, length, width = todo.pop()
            if min(length, width) <= 0:
                raise Bug("a piece of no size")
            if isinstance(node, Split):
                rip = node.cut == "rip"
                todo.append((node.low, length if rip else node.at, node.at if rip else width))
                todo.append((node.high, length - (not rip) * node.at, width - rip * node.at))
            elif isinstance(node, Put):
                item = problem.items[node.item]
                made[node.item] += 1
                sides = (item.width, item.length) if node.turned else (item.length, item.width)
                if sides != (length, width) or not item.ways[sheet.bin][node.turned]:
                    raise Bug(f"item {node.item} does not fill its space")
    if made != [item.demand for item in problem.items]:
        raise Bug("demands are not met exactly")
    if any(b.limit is not None and count > b.limit for b, count in zip(problem.bins, opened, strict=True)):
        raise Bug("more bins used than there are")


def instances_of(options: argparse.Namespace) -> list[Instance]:
    """Read what the options ask for."""
    folder = data_folder(options.data)
    if options.set == "2bp":
        found = bin_packing(folder, options.turns, tuple(options.classes or range(1, 11)))
    else:
        found = named_set(folder, options.set, options.turns)
    return found[:: options.every]


def best_known(options: argparse.Namespace) -> dict[tuple[int, int], int]:
    """Return the best published values, free-form, of ten instances each by (class, parts)."""
    if options.set != "2bp":
        return {}
    rows = read_json(data_folder(options.data), "best_known/2bp_free_form_published.json")
    best: dict[tuple[int, int], int] = {}
    for table in rows["quarter_turns" if options.turns else "fixed_sides"].values():
        for key, value in table.items():
            group, _, number = key.partition("_")
            if number.isdigit():
                place = (int(group), int(number))
                best[place] = min(value, best.get(place, value))
    return best


def commit() -> str:
    """Name the commit of the code that runs, with a plus where it was changed since."""
    said = subprocess.run(["git", "describe", "--always", "--dirty=+"], capture_output=True, text=True, check=False)
    return said.stdout.strip()


def earlier(protocol: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """Return the rows already recorded under the same protocol."""
    if not RESULTS.is_file():
        return {}
    rows = (json.loads(line) for line in RESULTS.read_text(encoding="utf-8").splitlines())
    return {row["name"]: row for row in rows if all(row.get(key) == value for key, value in protocol.items())}


def run(options: argparse.Namespace) -> Iterator[dict[str, Any]]:
    """Solve instance by instance and append each result to the file."""
    protocol = {
        "set": options.set,
        "turns": options.turns,
        "seconds": options.seconds,
        "seed": options.seed,
        "way": options.way,
        "commit": commit(),
    }
    known = {} if options.again else earlier(protocol)
    machine = f"{platform.machine()}, Python {platform.python_version()}"
    RESULTS.parent.mkdir(exist_ok=True)
    for instance in instances_of(options):
        row = known.get(instance.name)
        if row is None:
            begun = time.perf_counter()
            plan, bound = WAYS[options.way](instance.problem, Stop.after(options.seconds), options.seed)
            spent = time.perf_counter() - begun
            check(instance.problem, plan)
            value = cost_of(instance.problem, plan)
            row = {
                **protocol,
                "name": instance.name,
                "class": instance.group,
                "parts": instance.number,
                "value": value,
                "bound": bound,
                "proven": value == bound,
                "spent": round(spent, 3),
                "date": datetime.now(UTC).strftime("%Y-%m-%d"),
                "machine": machine,
            }
            if not options.dry:
                with RESULTS.open("a", encoding="utf-8") as file:
                    file.write(json.dumps(row) + "\n")
        yield row


def table(rows: list[dict[str, Any]], best: dict[tuple[int, int], int]) -> str:
    """Write the rows as a table, a line a class."""
    groups: dict[int, list[dict[str, Any]]] = defaultdict(list)
    for row in rows:
        groups[row["class"]].append(row)
    lines = ["class  instances   value   bound  best known  proven   seconds"]
    whole = len(rows) == 500
    for group, some in [*sorted(groups.items()), ("all", rows)]:
        numbers = [value for (g, _), value in best.items() if group in (g, "all")]
        known = str(sum(numbers)) if numbers and (whole or (len(some) == 50 and group != "all")) else "-"
        value, bound, proven = (sum(row[key] for row in some) for key in ("value", "bound", "proven"))
        spent = sum(row["spent"] for row in some)
        lines.append(f"{group!s:>5}  {len(some):9}  {value:6}  {bound:6}  {known:>10}  {proven:6}  {spent:8.1f}")
    return "\n".join(lines)


def main() -> int:
    """Run from the command line."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks.bins", description=__doc__)
    parser.add_argument("--set", default="2bp", help="2bp, or a file of the data folder such as cutting_stock_2d/c")
    parser.add_argument("--data", help="folder of the published sets (default: CLEATWRIGHT_DATA, benchmarks/data)")
    parser.add_argument("--turns", action="store_true", help="parts may be turned")
    parser.add_argument("--seconds", type=float, default=5.0, help="for an instance")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--classes", type=int, nargs="*")
    parser.add_argument("--every", type=int, default=1, metavar="N", help="only each Nth instance")
    parser.add_argument(
        "--way", choices=sorted(WAYS), default="search", help="the whole solver, or the engine by itself"
    )
    parser.add_argument("--again", action="store_true", help="solve again what is in the results file")
    parser.add_argument("--dry", action="store_true", help="record nothing")
    options = parser.parse_args()
    try:
        best = best_known(options)
        rows = []
        for row in run(options):
            rows.append(row)
            if row["value"] > row["bound"]:
                print(f"{row['name']}: {row['value']}, bound {row['bound']}, {row['spent']:.1f} s", flush=True)
    except NoData as absent:
        print(absent, file=sys.stderr)
        return 2
    print(table(rows, best))
    return 0


if __name__ == "__main__":
    sys.exit(main())
