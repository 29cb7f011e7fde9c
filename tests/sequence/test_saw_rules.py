"""The rules of the saw. Widths: shop safety handbooks (6 in and 12 in push stick, 2 in push block), as read."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from nesting.trade.saw import (
    Saw,
    against_the_rules_at_fence,
    bevel_settings,
    blade_height,
    fits_fence,
    inches,
    is_full_sheet,
    lean,
    needs_support,
    pushing,
    stations,
    straight_reference,
)

SAW = Saw(Fraction(1, 8))
MM = Saw(
    Fraction(16, 5), "mm", Fraction(1, 2), rip_capacity=Fraction(762), crosscut_capacity=Fraction(610),
    narrowest_rip=Fraction(38), shortest_against_fence=Fraction(305), edge_trim=Fraction(3),
)  # fmt: skip


@pytest.mark.parametrize(
    ("leans", "side", "way"),
    [("left", "right", "away"), ("right", "left", "away"), ("left", "left", "toward"), ("right", "right", "toward")],
)
def test_a_blade_leaning_to_the_other_side_leans_away(leans, side, way):
    assert lean(replace(SAW, blade_leans=leans, fence_side=side)) == way


@pytest.mark.parametrize(
    ("width", "length", "what"),
    [("6", 96, ""), ("5.99", 96, "stick"), ("6", "11.9", "stick"), ("2", 96, "stick"), ("1.99", 96, "block")],
)
def test_push_stick_and_push_block(width, length, what):
    assert pushing(SAW, Fraction(length), Fraction(width)) == what
    assert pushing(MM, Fraction(length) * inches(1, "mm"), Fraction(width) * inches(1, "mm")) == what


@pytest.mark.parametrize(
    ("cut", "along", "setting", "fits"),
    [
        ("rip", 96, 30, True),
        ("rip", 96, Fraction(961, 32), False),
        ("crosscut", 12, 12, True),
        ("crosscut", Fraction(383, 32), 4, False),
        ("crosscut", 20, 21, False),
        ("crosscut", 40, 31, False),
        ("rip", 96, 0, False),
    ],
)
def test_what_the_fence_takes(cut, along, setting, fits):
    assert fits_fence(SAW, cut, Fraction(along), Fraction(setting)) is fits


def test_the_switch_turns_fence_crosscuts_off():
    assert not fits_fence(replace(SAW, fence_crosscuts=False), "crosscut", Fraction(20), Fraction(10))


def test_what_speaks_against_a_fence_cut():
    assert against_the_rules_at_fence(SAW, Fraction(96), Fraction(3, 2)) == ()
    assert against_the_rules_at_fence(SAW, Fraction(96), Fraction(1)) == ("narrow_rip",)
    assert against_the_rules_at_fence(SAW, Fraction(10), Fraction(11)) == ("short_piece", "longer_across")


@pytest.mark.parametrize(
    ("saw", "cut", "along", "across", "setting", "bevel", "where"),
    [
        (SAW, "rip", 96, 48, 12, 0, ("breakdown saw",)),
        (replace(SAW, breakdown_saw=False), "rip", 96, 48, 12, 0, ("table saw",)),
        (replace(SAW, breakdown_saw=False), "rip", 96, 48, 31, 0, ()),
        (SAW, "crosscut", 24, 96, 40, 0, ("crosscut sled",)),
        (SAW, "crosscut", 25, 96, 40, 0, ("breakdown saw",)),
        (SAW, "crosscut", 25, 96, 20, 0, ("table saw",)),
        (SAW, "rip", 10, 8, 4, 0, ("crosscut sled",)),
        (SAW, "rip", 96, 24, 1, 0, ("breakdown saw",)),
        (SAW, "rip", 96, 4, 1, 0, ("table saw",)),
        (SAW, "rip", 96, 48, 12, 45, ("table saw",)),
        (SAW, "rip", 96, 48, 31, 45, ()),
    ],
)
def test_stations(saw, cut, along, across, setting, bevel, where):
    assert stations(saw, cut, *map(Fraction, (along, across, setting, bevel))) == where


def test_full_sheets_and_long_pieces():
    assert is_full_sheet(Fraction(2440), Fraction(1220), "mm")
    assert not is_full_sheet(Fraction(60), Fraction(48), "in")
    assert needs_support(SAW, Fraction(37))
    assert not needs_support(SAW, Fraction(36))


def test_bevels():
    """23/32 ply at 45 degrees: faces differ by .719, the blade path is 1.0168 (plane trigonometry)."""
    assert bevel_settings(Fraction(73, 32), Fraction(23, 32)) == {"away": Fraction(73, 32), "toward": Fraction(3)}
    assert float(blade_height(Fraction(719, 1000), Fraction(45))) == pytest.approx(1.0168, abs=5e-5)


def test_a_factory_edge_is_straight_only_where_it_is_not_trimmed():
    assert straight_reference(True, Fraction(0))
    assert straight_reference(False, Fraction(1, 8))
    assert not straight_reference(True, Fraction(1, 8))
