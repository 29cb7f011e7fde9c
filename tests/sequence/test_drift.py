"""The drift told of a layout, against cutting it with a blade or a stock that is off by a little less or more.

The cutting here follows the rules of the plan file alone (setting from the reference edge, kerf k / cos b, rise
t tan b) and knows nothing of how drifts are found.
"""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction

import pytest
from random_layouts import KERF, THICKNESS, random_job

from nesting.sequence import plan_work
from nesting.sequence.drift import drift
from nesting.trade.saw import Saw

LITTLE = Fraction(1, 10**6)
NEAR = Fraction(1, 10**9)
ALLOWED = Fraction(1, 16)
"""How much smaller than drawn a part may come out here."""


def cut(work, name, *, kerf=Fraction(0), thinner=Fraction(0)):
    """Return the sides of every part of a layout as they come out with a wider kerf or a thinner stock."""
    layout = next(layout for layout in work.layouts if layout.id == name)
    there = {name: (layout.length, layout.width)}
    for step in work.sequence.steps:
        if step.layout != name:
            continue
        length, width = there.pop(step.piece, (Fraction(0), Fraction(0)))
        size = width if step.cut == "rip" else length
        turn = math.radians(step.bevel)
        rise = Fraction(math.tan(turn)) * (layout.thickness - thinner)
        gap = (KERF + kerf) / Fraction(math.cos(turn))
        near = min(step.setting + (rise if step.leans == "away" else 0), size)
        far = size + rise - gap - near
        sizes = [near, far] if step.against == "low" else [far, near]
        if len(step.makes) == 1:
            sizes = [near]
        for piece, side in zip(step.makes, sizes, strict=True):
            there[piece] = (length, side) if step.cut == "rip" else (side, width)
    return there


def short(work, name, **off):
    """Return the parts that come out smaller than drawn less an allowance of 1/16 in, each with its id."""
    layout = next(layout for layout in work.layouts if layout.id == name)
    sides = cut(work, name, **off)
    return {
        node.id
        for node in layout.tree.walk()
        if node.role == "part"
        and any(
            got < drawn - ALLOWED - NEAR for got, drawn in zip(sides[node.id], (node.length, node.width), strict=True)
        )
    }


@pytest.mark.parametrize("seed", range(25))
@pytest.mark.parametrize("side", ["right", "left"])
def test_up_to_the_drift_every_part_comes_out_and_beyond_it_one_is_short(seed, side):
    work = plan_work(random_job(seed, 2, 12), Saw(KERF, fence_side=side), seconds=0.02)
    named = {
        node.id: (node.length - ALLOWED, node.width - ALLOWED)
        for layout in work.layouts
        for node in layout.tree.walk()
        if node.role == "part"
    }
    layouts = [_own_names(layout) for layout in work.layouts]
    assert work.layouts[0].thickness == THICKNESS
    for found in drift(layouts, work.sequence.steps, named):
        for limit, kind in ((found.kerf, "kerf"), (found.thickness, "thinner")):
            if limit is None:
                assert not short(work, found.layout, **{kind: Fraction(1, 8)})
                continue
            assert not short(work, found.layout, **{kind: max(limit.most - LITTLE, Fraction(0))})
            assert limit.piece in short(work, found.layout, **{kind: limit.most + LITTLE})


def _own_names(layout):
    def node(old):
        part = old.id if old.role == "part" else None
        return replace(old, part=part, turned=False, pieces=tuple(node(piece) for piece in old.pieces))

    return replace(layout, tree=node(layout.tree))
