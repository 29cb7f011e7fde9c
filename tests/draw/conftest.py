"""Plans built by hand: guillotine trees from a few calls, and random ones, without any solver."""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Sequence
from types import SimpleNamespace
from typing import Any

import pytest

from nesting.plan import Plan

Tree = dict[str, Any]
Fill = Callable[[float, float, float, float], Tree]


def leaf(role: str, part: str | None = None, *, turned: bool = False) -> Fill:
    def fill(x: float, y: float, length: float, width: float) -> Tree:
        node: Tree = {"x": x, "y": y, "length": length, "width": width, "role": role}
        return node | ({"part": part, "turned": turned} if part is not None else {})

    return fill


waste, offcut = leaf("waste"), leaf("offcut")


def part(name: str, *, turned: bool = False) -> Fill:
    return leaf("part", name, turned=turned)


def split(kind: str, at: float, low: Fill, high: Fill, kerf: float = 0.125) -> Fill:
    def fill(x: float, y: float, length: float, width: float) -> Tree:
        rip = kind == "rip"
        rest = (width if rip else length) - at - kerf
        pieces = [low(x, y, length, at) if rip else low(x, y, at, width)]
        if rest > 1e-9:
            pieces.append(high(x, y + at + kerf, length, rest) if rip else high(x + at + kerf, y, rest, width))
        return {"x": x, "y": y, "length": length, "width": width, "role": "cut", "cut": kind, "pieces": pieces}

    return fill


def row(kind: str, pieces: Sequence[tuple[float, Fill]], rest: Fill, kerf: float = 0.125) -> Fill:
    """Pieces of the given sizes one after another, and what is left."""
    filled = rest
    for at, piece in reversed(pieces):
        filled = split(kind, at, piece, filled, kerf)
    return filled


def trimmed(trim: float, inner: Fill, kerf: float = 0.125) -> Fill:
    """An edge trim on all four sides, ``trim`` with its kerf; nothing but dust where it is the kerf alone."""

    def low(kind: str, filled: Fill) -> Fill:
        def fill(x: float, y: float, length: float, width: float) -> Tree:
            if trim - kerf > 1e-9:
                return split(kind, trim - kerf, waste, filled, kerf)(x, y, length, width)
            rip = kind == "rip"
            piece = filled(x, y + trim, length, width - trim) if rip else filled(x + trim, y, length - trim, width)
            return {"x": x, "y": y, "length": length, "width": width, "role": "cut", "cut": kind, "pieces": [piece]}

        return fill

    def high(kind: str, filled: Fill) -> Fill:
        def fill(x: float, y: float, length: float, width: float) -> Tree:
            return split(kind, (width if kind == "rip" else length) - trim, filled, waste, kerf)(x, y, length, width)

        return fill

    return low("rip", high("rip", low("crosscut", high("crosscut", inner))))


def blank(low: Fill, high: Fill | None, setting: float, rise: float, gap: float, bevel: float = 45.0) -> Fill:
    """A strip bevel-ripped in two bars, or in a lone one whose blade eats the rest."""

    def fill(x: float, y: float, length: float, width: float) -> Tree:
        pieces = [low(x, y, length, setting + rise)]
        if high is not None:
            tall = width - setting - gap
            pieces.append(high(x, y + width - tall, length, tall))
        return {
            "x": x, "y": y, "length": length, "width": width,
            "role": "cut", "cut": "rip", "bevel": bevel, "pieces": pieces,
        }  # fmt: skip

    return fill


def _named(tree: Tree, name: str) -> Tree:
    tree["id"] = name
    for count, piece in enumerate(tree.get("pieces", ()), 1):
        _named(piece, f"{name}.{count}" if "." not in name else f"{name}{chr(96 + count)}")
    return tree


def layout(name: str, length: float, width: float, fill: Fill, stock: str = "18 mm birch, 4x8", thick: float = 0.71875):
    tree = _named(fill(0.0, 0.0, length, width), name)
    return {"id": name, "stock": stock, "length": length, "width": width, "thickness": thick, "tree": tree}


def _cuts(tree: Tree) -> list[Tree]:
    return [tree, *(cut for piece in tree["pieces"] for cut in _cuts(piece))] if tree["role"] == "cut" else []


def steps_of(layouts: Sequence[Tree], against: str = "low", leans: str = "away") -> list[Tree]:
    steps: list[Tree] = []
    setups: dict[object, int] = {}
    for one in layouts:
        for cut in _cuts(one["tree"]):
            rip, bevel = cut["cut"] == "rip", cut.get("bevel", 0.0)
            first = cut["pieces"][0]
            setting = first["width"] if rip else first["length"]
            if bevel:
                setting -= one["thickness"] * math.tan(math.radians(bevel))
            station = "breakdown saw" if cut is one["tree"] else "table saw" if rip else "crosscut sled"
            setup = setups.setdefault((station, bevel, round(setting, 6)), len(setups) + 1)
            steps.append({
                "n": len(steps) + 1, "layout": one["id"], "piece": cut["id"], "station": station,
                "cut": cut["cut"], "bevel": bevel, "setting": max(setting, 0.0),
                "against": against if bevel else "low", "leans": leans if bevel else None,
                "makes": [piece["id"] for piece in cut["pieces"]], "setup": setup,
            })  # fmt: skip
    return steps


def plan(layouts: Sequence[Tree], unit: str = "in", *, steps: bool = True, job: Any = "usual", **how: str) -> Plan:
    made = steps_of(layouts, **how) if steps else []
    total = len({step["setup"] for step in made})
    if job == "usual":
        stocks = {one["stock"]: one for one in layouts}
        job = {
            "project": {"name": "Bike co-op repair bay", "unit": unit},
            "saw": {"kerf": "1/8", "blade_leans": "left", "fence_side": "right"},
            "sheet": [{"name": name, "length": 1, "width": 1, "thickness": 1} for name in stocks],
        }
    return Plan.model_validate({
        "schema": "cleatwright/plan/1", "unit": unit, "project": "Bike co-op repair bay",
        "cost": 0.0, "cost_bound": 0.0, "proven": True, "buy": [], "layouts": list(layouts), "parts": [],
        "steps": made, "warnings": [], "job": job,
        "setups": {"fence": total, "stop": 0, "guide": 0, "tilt": 0, "total": total, "bound": total, "proven": True},
    })  # fmt: skip


def random_fill(dice: random.Random, kerf: float, names: Sequence[str], least: float, depth: int = 0) -> Fill:
    """Any guillotine tree, with bevelled strips among its leaves."""

    def fill(x: float, y: float, length: float, width: float) -> Tree:
        kinds = []
        if width > 2 * least + kerf:
            kinds.append("rip")
        if length > 2 * least + kerf:
            kinds.append("crosscut")
        if kinds and dice.random() > 0.1 + 0.09 * depth:
            kind = dice.choice(kinds)
            across = width if kind == "rip" else length
            at = round(dice.uniform(least, across - kerf - least) * 32) / 32
            inner = random_fill(dice, kerf, names, least, depth + 1)
            if 0 < at < across - kerf:
                return split(kind, at, inner, inner, kerf)(x, y, length, width)
        name = dice.choice(names)
        roll = dice.random()
        rise, gap = 0.5, kerf * math.sqrt(2)
        if roll < 0.15 and width > 3 * rise + gap + 1 and length > 2 * least:
            bars = row("crosscut", [(length / 3, part(name))], part(dice.choice(names)), kerf)
            setting = round(width / 3 * 32) / 32
            return blank(bars, part(name), setting, rise, gap)(x, y, length, width)
        if roll < 0.25:
            return waste(x, y, length, width)
        if roll < 0.33:
            return offcut(x, y, length, width)
        return part(name, turned=dice.random() < 0.3)(x, y, length, width)

    return fill


@pytest.fixture(scope="session")
def bench() -> SimpleNamespace:
    """Everything above under one name."""
    return SimpleNamespace(
        leaf=leaf, waste=waste, offcut=offcut, part=part, split=split, row=row, trimmed=trimmed, blank=blank,
        layout=layout, plan=plan, random_fill=random_fill, steps_of=steps_of,
    )  # fmt: skip
