"""Solve published instances (by default the 500 of two-dimensional bin packing); record values, bounds and proofs.

Run from the top of the repository: ``python -m benchmarks.bins --seconds 5`` (``--turns`` for quarter
turns). A run that was broken off goes on where it stopped: instances already in the results file under
the same protocol and commit are not solved again.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from benchmarks.record import commit, machine
from benchmarks.sets import (
    Instance,
    NoData,
    bin_packing,
    cutting_stock,
    data_folder,
    named_set,
    one_dimensional,
    read_json,
)
from benchmarks.verify import verify
from nesting.errors import Bug
from nesting.solve.bounds import quick_bound
from nesting.solve.columns import cost_of
from nesting.solve.compiled import fill_cache, load
from nesting.solve.construct import first_plans
from nesting.solve.improve import improve
from nesting.solve.pattern import Plan
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


def instances_of(options: argparse.Namespace) -> list[Instance]:
    """Read what the options ask for."""
    folder = data_folder(options.data)
    if options.set == "2bp":
        found = bin_packing(folder, options.turns, tuple(options.classes or range(1, 11)))
    elif options.set == "cutting-stock":
        found = cutting_stock(folder)
    elif options.set == "bars":
        found = one_dimensional(folder)
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
    RESULTS.parent.mkdir(exist_ok=True)
    for instance in instances_of(options):
        row = known.get(instance.name)
        if row is None:
            begun = time.perf_counter()
            plan, bound = WAYS[options.way](instance.problem, Stop.after(options.seconds), options.seed)
            spent = time.perf_counter() - begun
            value = verify(instance.problem, plan, bound)
            row = {
                **protocol,
                "name": instance.name,
                "class": instance.group,
                "parts": instance.number,
                "value": value,
                "bound": bound,
                "proven": value == bound,
                "known": instance.known,
                "spent": round(spent, 3),
                "date": datetime.now(UTC).strftime("%Y-%m-%d"),
                "machine": machine(),
            }
            if not options.dry:
                with RESULTS.open("a", encoding="utf-8") as file:
                    file.write(json.dumps(row) + "\n")
        yield row


def table(rows: list[dict[str, Any]], best: dict[tuple[int, int], int]) -> str:
    """Write the rows as a table, a line a class."""
    groups: dict[int | str, list[dict[str, Any]]] = defaultdict(list)
    for row in rows:
        groups[row["class"]].append(row)
    lines = ["                  class  instances   value   bound  best known  proven   seconds"]
    for group, some in [*sorted(groups.items()), ("all", rows)]:
        value, bound, proven = (sum(row[key] for row in some) for key in ("value", "bound", "proven"))
        spent = sum(row["spent"] for row in some)
        known = str(known_of(some, best) or "-")
        lines.append(f"{group!s:>23}  {len(some):9}  {value:6}  {bound:6}  {known:>10}  {proven:6}  {spent:8.1f}")
    return "\n".join(lines)


def known_of(rows: list[dict[str, Any]], best: dict[tuple[int, int], int]) -> int | None:
    """Add up the best published values of rows, None where some are not known.

    Those of the 500 are published for ten instances together.
    """
    if best:
        tens = Counter((row["class"], row["parts"]) for row in rows)
        return sum(best[ten] for ten in tens) if set(tens.values()) == {10} else None
    values = [row["known"] for row in rows]
    return None if None in values else sum(values)


def main() -> int:
    """Run from the command line."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks.bins", description=__doc__)
    parser.add_argument(
        "--set", default="2bp", help="2bp, cutting-stock, bars, or a file such as variable_size_bins/ht2001b"
    )
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
        load()  # compiled before the clock runs: what an installation meets once is no part of the protocol
        fill_cache()
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
