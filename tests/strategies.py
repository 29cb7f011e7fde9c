"""Whole projects drawn at random: mappings as a project file would give them, and tiny groups for exact comparison.

Sizes are drawn so that most jobs can be done, few need more than a handful of sheets, and the awkward cases come
often: no kerf, a trim thinner than the kerf, parts just as wide as a stock, stages limited, cleats of two heights.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations, pairwise
from typing import Any

from hypothesis import strategies as st

from nesting.demand import Cleat, Group, Panel, SplicedRun, Stock
from nesting.solve.grid import Rules

F = Fraction
INCH = {
    "kerf": [F(1, 8), F(0), F(3, 32), F(1, 16)],
    "trim": [F(0), F(1, 8), F(1, 16), F(1, 2)],
    "step": [F(1, 32), F(1, 16), F(1, 64)],
    "grid": [F(1), F(1, 2), F(1, 8), F(1, 32)],
    "thickness": [F(23, 32), F(1, 2), F(3, 4)],
    "height": [F(3), F(4), F(5, 2), F(49, 16)],
    "scale": [F(1)],
}
MILLIMETRE = {
    "kerf": [F(3), F(0), F(16, 5), F(11, 5)],
    "trim": [F(0), F(3), F(2), F(10)],
    "step": [F(1, 2), F(1), F(1, 10)],
    "grid": [F(10), F(5), F(1), F(1, 2)],
    "thickness": [F(18), F(12), F(19)],
    "height": [F(75), F(100), F(60), F(155, 2)],
    "scale": [F(25)],
}
MOST_OF_WALL = 5
"""Pieces of a tiny wall."""
BEVELS = [F(45), F(30), F(45, 2), F(60)]


def _on_grid(low: int, high: int, grid: Fraction, scale: Fraction) -> st.SearchStrategy[Fraction]:
    """Lengths between ``low`` and ``high`` inches (or as many times 25 mm), multiples of ``grid``."""
    return st.integers(int(low * scale / grid), int(high * scale / grid)).map(lambda n: n * grid)


@st.composite
def _stock(
    draw: st.DrawFn, kind: str, name: str, thickness: Fraction, unit: dict[str, list[Fraction]]
) -> dict[str, Any]:
    grid, scale = draw(st.sampled_from(unit["grid"])), unit["scale"][0]
    sides = {"sheet": ((40, 96), (20, 48)), "board": ((36, 96), (4, 12)), "offcut": ((8, 60), (4, 40))}[kind]
    stock: dict[str, Any] = {
        "name": name,
        "length": draw(_on_grid(*sides[0], grid, scale)),
        "width": draw(_on_grid(*sides[1], grid, scale)),
        "thickness": thickness,
        "grain": draw(st.booleans()),
    }
    if kind == "offcut":
        stock["quantity"] = draw(st.integers(1, 3))
    else:
        stock["price"] = draw(st.sampled_from([60, 86.5, 10, 0, 33.33, 45, 20]))
        if draw(st.integers(0, 3)) == 3:
            stock["available"] = draw(st.integers(1, 4))
        if draw(st.integers(0, 4)) == 4:
            stock["edge_trim"] = draw(st.sampled_from(unit["trim"]))
    return stock


@st.composite
def _part(draw: st.DrawFn, name: str, stocks: list[dict[str, Any]], unit: dict[str, list[Fraction]]) -> dict[str, Any]:
    """A part no larger than one of the stocks, now and then just as long or as wide."""
    stock = draw(st.sampled_from(stocks))
    grid, scale = draw(st.sampled_from(unit["grid"])), unit["scale"][0]
    margin = 2 * max(unit["trim"])

    def side(whole: Fraction) -> Fraction:
        least = min(2 * scale, whole / 2)
        if draw(st.integers(0, 11)) == 11:
            return draw(st.sampled_from([whole, whole - margin, whole / 2]))
        return draw(st.integers(int(least / grid) + 1, max(int(least / grid) + 1, int((whole - margin) / grid)))) * grid

    length, width = side(stock["length"]), side(stock["width"])
    grain = draw(st.sampled_from(["length", "any", "width"]))
    if grain == "width":
        length, width = width, length
    part = {
        "name": name,
        "length": length,
        "width": width,
        "thickness": stock["thickness"],
        "quantity": draw(st.integers(1, 4)),
        "grain": grain,
    }
    if draw(st.integers(0, 5)) == 5:
        part["filler"] = True
    return part


@st.composite
def projects(draw: st.DrawFn) -> dict[str, Any]:
    """Draw a whole project as a mapping."""
    name = draw(st.sampled_from(["in", "mm"]))
    unit = INCH if name == "in" else MILLIMETRE
    thicknesses = draw(st.lists(st.sampled_from(unit["thickness"]), min_size=1, max_size=2, unique=True))
    project: dict[str, Any] = {
        "project": {"name": "random", "unit": name, "fence_step": draw(st.sampled_from(unit["step"]))},
        "saw": {"kerf": draw(st.sampled_from(unit["kerf"])), "edge_trim": draw(st.sampled_from(unit["trim"]))},
    }
    saw = project["saw"]
    if draw(st.integers(0, 3)) == 3:
        saw["max_stages"] = draw(st.sampled_from([3, 2, 4, 3, 2, 5, 1]))
    if draw(st.integers(0, 4)) == 4:
        saw["first_cut"] = draw(st.sampled_from(["rip", "crosscut"]))
    saw["blade_leans"] = draw(st.sampled_from(["left", "right"]))
    saw["fence_side"] = draw(st.sampled_from(["right", "left"]))
    for key in ("breakdown_saw", "sled_shares_table", "fence_crosscuts"):
        saw[key] = draw(st.integers(0, 4)) < 4
    stocks: list[dict[str, Any]] = []
    for thickness in thicknesses:
        kinds = ["sheet", *draw(st.lists(st.sampled_from(["sheet", "board", "offcut", "offcut"]), max_size=3))]
        for kind in kinds:
            stock = draw(_stock(kind, f"{kind} {len(stocks) + 1}", thickness, unit))
            project.setdefault(kind, []).append(stock)
            stocks.append(stock)
    parts = draw(st.integers(0, 6))
    project["part"] = [draw(_part(f"part {n + 1}", stocks, unit)) for n in range(parts)]
    if draw(st.booleans()) or not any(not part.get("filler") for part in project["part"]):
        heights = st.sampled_from(unit["height"])
        thickness = draw(st.sampled_from(thicknesses))
        project["cleats"] = {
            "wall_height": draw(heights),
            "holder_height": draw(heights),
            "thickness": thickness,
            "bevel": draw(st.sampled_from(BEVELS)),
        }
        suiting = [stock for stock in stocks if stock["thickness"] == thickness]
        longest = max(stock["length"] for stock in suiting) - 2 * max(unit["trim"])
        grid, scale = draw(st.sampled_from(unit["grid"])), unit["scale"][0]
        project["cleat"] = [
            {
                "name": f"cleat {n + 1}",
                "kind": draw(st.sampled_from(["wall", "holder"])),
                "length": min(longest, draw(_on_grid(4, 48, grid, scale))),
                "quantity": draw(st.integers(1, 6)),
            }
            for n in range(draw(st.integers(1, 3)))
        ]
    return {key: value for key, value in project.items() if value}


@st.composite
def walls(draw: st.DrawFn) -> dict[str, Any]:
    """Draw a project of nothing but a wall, some of them impossible: studs too far apart, keep-outs everywhere."""
    name = draw(st.sampled_from(["in", "mm"]))
    unit = INCH if name == "in" else MILLIMETRE
    scale, height = unit["scale"][0], draw(st.sampled_from(unit["height"]))
    grid = draw(st.sampled_from(unit["grid"]))
    wide, high = draw(_on_grid(14, 180, grid, scale)), draw(_on_grid(8, 60, grid, scale))
    wall: dict[str, Any] = {"width": wide, "height": high, "start": draw(st.sampled_from(["top", "bottom"]))}
    if draw(st.booleans()):
        wall["gap"] = draw(_on_grid(1, 12, grid, scale))
    if draw(st.booleans()):
        wall["overhang"] = draw(_on_grid(0, 10, grid, scale))
    if draw(st.integers(0, 2)) == 2:
        steps = draw(st.lists(_on_grid(3, 40, grid, scale), min_size=1, max_size=8))
        centres = [sum(steps[: at + 1], F(0)) for at in range(len(steps))]
        wall["studs"] = {"positions": [centre for centre in centres if centre <= wide] or [wide / 2]}
    else:
        first, spacing = draw(_on_grid(0, 14, grid, scale)), draw(st.sampled_from([16, 24, 19])) * scale
        wall["studs"] = {"first": first, "spacing": spacing}
    wall["keepout"] = [
        {
            "name": f"keep-out {n + 1}",
            "x": draw(_on_grid(0, int(wide / scale) - 1, grid, scale)),
            "y": draw(_on_grid(0, int(high / scale) - 1, grid, scale)),
            "width": draw(_on_grid(1, 60, grid, scale)),
            "height": draw(_on_grid(1, 30, grid, scale)),
            "clearance": draw(_on_grid(0, 3, grid, scale)),
        }
        for n in range(draw(st.integers(0, 3)))
    ]
    sheet = {"name": "sheet", "length": draw(st.sampled_from([96, 60, 48])) * scale, "width": 48 * scale, "price": 60}
    return {
        "project": {"name": "random wall", "unit": name},
        "saw": {"kerf": draw(st.sampled_from(unit["kerf"]))},
        "sheet": [sheet | {"thickness": unit["thickness"][0]}],
        "cleats": {"wall_height": height, "holder_height": height, "thickness": unit["thickness"][0]},
        "wall": wall,
    }


@st.composite
def fitted_walls(draw: st.DrawFn) -> dict[str, Any]:
    """Draw a project with a wall and holders to hang on it, now and then too large or too many."""
    project = draw(walls())
    scale = INCH["scale"][0] if project["project"]["unit"] == "in" else MILLIMETRE["scale"][0]
    high, wall = project["cleats"]["holder_height"], project["wall"]
    wall["width"], wall["height"] = max(wall["width"], 60 * scale), max(wall["height"], 20 * scale)
    styles: dict[str, dict[str, Any]] = {
        "back": {},
        "shelf": {"depth": 7 * scale, "gussets": draw(st.booleans())},
        "box": {"depth": 6 * scale},
        "rack": {"depth": 4 * scale, "holes": {"diameter": scale / 2, "count": 4}},
        "bin": {"depth": 6 * scale, "cells": draw(st.integers(1, 3))},
        "bracket": {"depth": 9 * scale},
    }
    project["holder"] = []
    for n in range(draw(st.integers(0, 4))):
        style = draw(st.sampled_from(sorted(styles)))
        project["holder"].append(
            {
                "name": f"holder {n + 1}",
                "style": style,
                "width": draw(st.integers(7, 20)) * scale,
                "height": high + draw(st.integers(2, 9)) * scale,
                "load": draw(st.integers(0, 30)),
                "quantity": draw(st.integers(1, 3)),
                **styles[style],
            }
        )
        if draw(st.booleans()):
            project["holder"][-1]["zone"] = draw(st.sampled_from(["low", "reach", "high"]))
    return project


# -- tiny groups, small enough to try everything


@st.composite
def tiny_jobs(draw: st.DrawFn) -> tuple[Group, Rules]:
    """Draw a thickness group of at most five pieces and the rules of the saw."""
    kerf, step = draw(st.sampled_from([F(0), F(1), F(1, 2)])), F(1, 2)
    cleats_too = draw(st.integers(0, 2)) == 2
    count = draw(st.integers(1, 3))
    stocks = []
    for n in range(count):
        kind = draw(st.sampled_from(["sheet", "sheet", "board", "offcut"]))
        trim = F(0) if kind == "offcut" else draw(st.sampled_from([F(0), F(0), F(1, 2), F(1)]))
        price = F(0) if kind == "offcut" else F(draw(st.sampled_from([3, 5, 7, 11, 13])))
        limit = draw(st.sampled_from([None, 1, 2])) if kind != "offcut" else draw(st.integers(1, 2))
        length, width = F(draw(st.integers(8, 24))), F(draw(st.integers(6, 16)))
        thickness = draw(st.sampled_from([F(1), F(1), F(1, 2)]))
        stocks.append(Stock(f"s{n}", kind, length, width, thickness, trim, price, limit, grain=draw(st.booleans())))
    everywhere = frozenset(range(count))
    left = draw(st.integers(1, 5))
    cleats: list[Cleat] = []
    heights = {"wall": F(draw(st.integers(2, 4))), "holder": F(draw(st.integers(2, 4)))}
    while cleats_too and left and len(cleats) < 3:
        quantity = draw(st.integers(1, min(left, 3)))
        kind = draw(st.sampled_from(["wall", "holder"]))
        length = F(draw(st.integers(2, 14)))
        cleats.append(Cleat(f"c{len(cleats)}", kind, heights[kind], length, quantity, everywhere))
        left -= quantity
        if draw(st.booleans()):
            break
    panels: list[Panel] = []
    while left:
        quantity = draw(st.integers(1, left))
        length, width = F(draw(st.integers(2, 18))), F(draw(st.integers(2, 12)))
        grain = draw(st.sampled_from(["length", "width", "any"]))
        panels.append(Panel(f"p{len(panels)}", length, width, quantity, grain, filler=False, stocks=everywhere))
        left -= quantity
        if cleats and draw(st.booleans()):
            break
    first, stages = "any", None
    if not cleats and draw(st.integers(0, 2)) == 2:
        first = draw(st.sampled_from(["any", "rip", "crosscut"]))
        stages = draw(st.sampled_from([None, 1, 2, 3]))
    angle = draw(st.sampled_from(BEVELS)) if cleats else F(45)
    return Group(tuple(stocks), tuple(panels), tuple(cleats)), Rules(kerf, step, angle, first, stages)


@st.composite
def tiny_walls(draw: st.DrawFn) -> tuple[Group, Rules]:
    """Draw a thickness group of one or two runs, now and then beside a cleat or a panel, few enough to try everything.

    A run is joined on studs at equal distances, its ends anywhere; pieces rest on two studs.
    """
    kerf, step = draw(st.sampled_from([F(0), F(1), F(1, 2)])), F(1, 2)
    stocks = []
    for n in range(draw(st.integers(1, 2))):
        price, limit = F(draw(st.sampled_from([3, 5, 7, 11]))), draw(st.sampled_from([None, None, 3]))
        length, width = F(draw(st.integers(8, 18))), F(draw(st.integers(4, 12)))
        stocks.append(Stock(f"s{n}", "sheet", length, width, F(1), F(0), price, limit, grain=draw(st.booleans())))
    everywhere = frozenset(range(len(stocks)))
    longest = max(stock.length for stock in stocks)
    heights = {"wall": F(draw(st.integers(2, 4))), "holder": F(draw(st.integers(2, 4)))}
    runs: list[SplicedRun] = []
    for number in range(1, draw(st.integers(1, 2)) + 1):
        kind = draw(st.sampled_from(["wall", "wall", "holder"]))
        places = [0, *draw(st.sampled_from([(3, 6, 9, 12), (4, 8), (5, 10), (2, 6, 10)]))]
        places.append(places[-1] + draw(st.integers(2, 6)))
        ends = [(places[0], *inner, places[-1]) for n in range(3) for inner in combinations(places[1:-1], n)]
        lengths = [tuple(F(high - low) for low, high in pairwise(way)) for way in ends]
        ways = [way for way in lengths if max(way) <= longest]
        most = max(map(len, ways), default=0)
        if not ways or sum(max(map(len, run.alternatives)) for run in runs) + most > MOST_OF_WALL:
            continue
        alternatives = tuple(ways[: draw(st.integers(1, 4))])
        names = tuple(f"row {number} {letter}" for letter in "abc"[: max(map(len, alternatives))])
        runs.append(SplicedRun(f"row {number}", kind, heights[kind], alternatives, everywhere, names, number))
    left = MOST_OF_WALL - sum(max(map(len, run.alternatives)) for run in runs)
    cleats: tuple[Cleat, ...] = ()
    panels: tuple[Panel, ...] = ()
    if left and (not runs or draw(st.booleans())):
        cleats = (Cleat("c", "wall", heights["wall"], F(draw(st.integers(2, 8))), 1, everywhere),)
    elif left and draw(st.booleans()):
        length, width = F(draw(st.integers(2, 8))), F(draw(st.integers(2, 6)))
        panels = (Panel("p", length, width, 1, "any", filler=False, stocks=everywhere),)
    rules = Rules(kerf, step, draw(st.sampled_from(BEVELS)))
    return Group(tuple(stocks), panels, cleats, tuple(runs)), rules
