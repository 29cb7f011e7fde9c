"""Read the published sets from a data folder; they are never part of this repository."""

from __future__ import annotations

import json
import os
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from nesting.solve.problem import Bin, Item, Problem

DEFAULT = Path(__file__).parent / "data"


class NoData(Exception):
    """The data folder or a set in it is absent; says so in one line."""


BARS = (
    "falkenauer", "hard28", "scholl1", "scholl2", "scholl3", "schwerin1", "schwerin2", "waescher_gau1", "waescher_gau2",
)  # fmt: skip
"""Files of one-dimensional instances."""


@dataclass(frozen=True, slots=True)
class Instance:
    """A published instance: name, class or set, number of parts, and the best published value where one is known."""

    name: str
    group: int | str
    number: int
    problem: Problem
    known: int | None = None


def data_folder(given: str | None = None) -> Path:
    """Return the folder of the sets: the one given, else ``CLEATWRIGHT_DATA``, else ``benchmarks/data``."""
    folder = Path(given or os.environ.get("CLEATWRIGHT_DATA") or DEFAULT)
    if not folder.is_dir():
        raise NoData(f"No published sets in {folder}: give --data or set CLEATWRIGHT_DATA; see benchmarks/README.md.")
    return folder


def read_json(folder: Path, name: str) -> Any:
    """Read one file of the data folder."""
    file = folder / name
    if not file.is_file():
        raise NoData(f"{file} is absent (benchmarks/README.md says where the sets are published).")
    return json.loads(file.read_text(encoding="utf-8"))


def problem_of(entry: dict[str, Any], turns: bool) -> Problem:
    """Make the problem of one entry ``{bin or bins, items}``; each bin costs 1 where no cost is given.

    >>> problem_of({"bin": [10, 5], "items": [[5, 10, 1]]}, turns=True).items[0].ways
    ((False, True),)
    """
    rows = entry.get("bins") or [[*entry["bin"], 1, None]]
    bins = tuple(Bin(length, width, cost, limit) for length, width, cost, limit in rows)
    items = tuple(
        Item(
            w,
            h,
            quantity,
            tuple((w <= b.length and h <= b.width, turns and h <= b.length and w <= b.width) for b in bins),
        )
        for w, h, quantity, *_ in entry["items"]
    )
    return Problem(bins, items)


def bin_packing(folder: Path, turns: bool, groups: tuple[int, ...] = tuple(range(1, 11))) -> list[Instance]:
    """Read the 500 instances of Berkey & Wang 1987 (classes 1–6) and Martello & Vigo 1998 (7–10)."""
    return [
        Instance(entry["name"], group, entry["n"], problem_of(entry, turns))
        for group in groups
        for entry in read_json(folder, f"2bp/class_{group:02}.json")
    ]


def named_set(folder: Path, name: str, turns: bool) -> list[Instance]:
    """Read another set by its file, such as ``variable_size_bins/ht2001b``."""
    entries = read_json(folder, f"{name}.json")
    return [
        Instance(entry["name"], name, sum(row[2] for row in entry["items"]), problem_of(entry, turns))
        for entry in entries
    ]


def cutting_stock(folder: Path) -> list[Instance]:
    """Read the 50 cutting-stock instances tabulated by Silva, Alvelos & Valério de Carvalho 2010, sides fixed.

    Their best listed values are of two and three stages, some of them time-limited incumbents.
    """
    listed = {
        row["name"]: row["best_ub_any_listed"]
        for row in read_json(folder, "best_known/csp_2_3_stage_silva2010.json")["rows"]
    }
    found = named_set(folder, "cutting_stock_2d/c", False) + named_set(folder, "guillotine_classic/atp", False)
    chosen = [replace(instance, known=listed[instance.name]) for instance in found if instance.name in listed]
    if len(chosen) != len(listed):
        raise NoData(f"{len(listed)} cutting-stock instances are tabulated, {len(chosen)} were found in {folder}.")
    return chosen


def one_dimensional(folder: Path) -> list[Instance]:
    """Read the one-dimensional sets as bars one unit wide; ``known`` is the published optimum where it is settled."""
    found = []
    for name in BARS:
        for entry in read_json(folder, f"1d/{name}.json"):
            rows = [[length, 1, quantity] for length, quantity in entry["items"]]
            problem = problem_of({"bin": [entry["capacity"], 1], "items": rows}, turns=False)
            lower, upper = entry.get("lb"), entry.get("ub")
            known = upper if lower == upper else None
            found.append(Instance(f"{name} {entry['name']}", name, sum(row[2] for row in rows), problem, known))
    return found
