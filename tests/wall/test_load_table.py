"""The load table of whole walls: inches and millimetres alike, remedies that do what they say, cautions told."""

from __future__ import annotations

from typing import Any

import pytest

from nesting.wall.holders import build
from nesting.wall.load import Loads
from nesting.wall.load_gather import own_weight
from nesting.wall.load_rows import WARN, Check, LoadRow, load_row
from tests.wall.loaded import hung_by_hand
from tests.wall.workshop import workshop

KG, MM, MPA = 0.45359237, 25.4, 6.894757293168361e-3
BIG: dict[str, Any] = {"name": "big box", "style": "box", "width": 24, "height": 8, "depth": 10, "load": 50}
PUMP: dict[str, Any] = {"name": "pump shelf", "style": "shelf", "width": 24, "height": 10, "depth": 8, "load": 30}
BARE = PUMP | {"name": "bare shelf", "gussets": False}
ARM: dict[str, Any] = {"name": "arms", "style": "bracket", "width": 16, "height": 12, "depth": 10, "load": 40}
AWLS: dict[str, Any] = {"name": "awls", "style": "rack", "width": 20, "height": 10, "depth": 5, "load": 8}
PLATE: dict[str, Any] = {"name": "plate", "style": "back", "width": 20, "height": 12, "load": 15, "thickness": "1/2"}
TRAY: dict[str, Any] = {"name": "tray", "style": "bin", "width": 24, "height": 6, "depth": 6, "load": 20, "cells": 3}


def row(table: Loads, item: str, check: str) -> LoadRow:
    (found,) = (one for one in table.rows if (one.item, one.check) == (item, check))
    return found


def test_inches_and_millimetres_agree() -> None:
    # the same wall told in both, with boards of 23/32 in; a spacer of 37.5 mm for one of 1 1/2 in and gussets on marks
    # of 0.5 mm make the own weights differ by two parts in ten thousand
    inch = hung_by_hand(PUMP | {"screws": {"length": 1.25}}, screws={"length": 2.5})
    told = {key: f"{value * MM:.6f}" if key in ("width", "height", "depth") else value for key, value in PUMP.items()}
    told |= {"load": round(30 * KG, 4), "screws": {"length": "31.75"}, "thickness": "18.25625"}
    sheet = {"name": "ply", "length": "2438.4", "width": "1219.2", "thickness": "18.25625"}
    cleats = {"wall_height": "76.2", "holder_height": "76.2", "thickness": "18.25625"}
    mm = hung_by_hand(told, unit="mm", screws={"length": "63.5"}, sheets=[sheet], cleats=cleats)
    factors = {"lb": ("kg", KG), "in": ("mm", MM), "psi": ("MPa", MPA)}
    assert len(inch.rows) == len(mm.rows) > 15
    for one, other in zip(inch.rows, mm.rows, strict=True):
        unit, factor = factors[one.unit]
        assert (other.item, other.check, other.unit, other.governs) == (one.item, one.check, unit, one.governs)
        # joint screws are sold in other lengths and counts there
        if one.check not in ("joint with the back", "hangs on its gussets"):
            assert other.demand == pytest.approx(one.demand * factor, rel=1e-3, abs=2e-6), one.check
            assert other.capacity == pytest.approx(one.capacity * factor, rel=1e-3), one.check


def test_rows_worked_by_hand_are_the_same_in_both_units() -> None:
    # 100 lb = 45.359237 kg, 1.28125 in = 32.54375 mm, 1,000 psi = 6.894757 MPa (units by definition)
    for kind, demand, told in (("force", 100.0, 45.359237), ("length", 1.28125, 32.54375), ("stress", 1e3, 6.894757)):
        check = Check("it", "it", demand, 2 * demand, kind, "", "", "")
        assert load_row(check, "in").demand == demand
        assert load_row(check, "mm").demand == pytest.approx(told, abs=1e-9)
        assert load_row(check, "in").ratio == load_row(check, "mm").ratio == 0.5


def test_every_style_has_its_rows() -> None:
    table = hung_by_hand(PUMP, BARE, BIG, ARM, AWLS | {"holes": {"diameter": 1, "count": 6}}, PLATE, TRAY)
    by_item: dict[str, set[str]] = {}
    for one in table.rows:
        by_item.setdefault(one.item, set()).add(one.check)
    common = {"hook stays seated", "screws into its cleat", "back bends", "bevel bears its weight"}
    for holder in (PUMP, BARE, BIG, ARM, AWLS, PLATE, TRAY):
        assert common <= by_item[holder["name"]]
    assert "hangs on its gussets" in by_item["pump shelf"]
    assert "shelf sags in years" in by_item["awls"]
    assert "arm bends" in by_item["arms"]
    assert "bottom hangs in its sides" in by_item["tray"]
    assert by_item["plate"] == common
    assert by_item["row 1 a"] == {
        "screws at a stud", "screw heads pull through", "bends between studs", "bevel bears its load",
    }  # fmt: skip
    assert "row 8 a" not in by_item  # nothing hangs there; the row's total tells what it could carry
    assert row(table, "row 8", "total weight").demand == 0
    assert by_item["wall"] == {"screws reach into the stud", "total weight"}
    assert all(one.sentence and one.governs and one.source for one in table.rows)
    assert all(bool(one.remedy) <= (one.ratio > WARN) for one in table.rows)


def test_own_weight_by_hand() -> None:
    # back 24 x 10, shelf 24 x 7.28125, gussets 7 13/32 square at .71875; cleat 24 x 3, spacer 24 x 1 1/2 of the same
    project = workshop(PUMP)
    built = build(project, project.holder[0])
    (gusset,) = built.gussets
    area = 24 * 10 + 24 * 7.28125 + float(gusset.length * gusset.width) + 24 * 3 + 24 * 1.5
    assert own_weight(project, built) == pytest.approx(area / 144 * 23 / 32 * 3.5)


def test_the_copy_that_bears_least_deep_counts() -> None:
    deep = row(hung_by_hand(BIG), "big box", "hook stays seated")
    flat = row(hung_by_hand(BIG, feet="own cleat"), "big box", "hook stays seated")
    assert flat.capacity < deep.capacity
    assert flat.ratio > 1


@pytest.mark.parametrize("keys", [PUMP, BARE, BIG, ARM])
def test_remedies_do_what_they_say(keys: dict[str, Any]) -> None:
    table = hung_by_hand(keys)
    told = [one for one in table.rows if one.ratio > WARN]
    assert told
    for one in told:
        assert one.remedy, one.check
    text = " ".join(one.remedy for one in told)
    if "(gussets = true)" in text:
        mended = hung_by_hand(keys | {"gussets": True})
        assert row(mended, keys["name"], "joint with the back").ratio <= WARN
    if "Two No. 8 × 2 1/2 in screws" in text:
        mended = hung_by_hand(keys, screws={"per_stud": 2, "length": 2.5})
        heads = row(mended, "row 1 a", "screw heads pull through")
        percent = row(table, "row 1 a", "screw heads pull through").remedy.partition(
            "No. 8 × 2 1/2 in screws at every"
        )[2]
        if percent:
            assert f"would bring this to {100 * heads.ratio:.0f} %." in percent


def test_a_higher_back_or_a_shallower_box_seats_the_hook() -> None:
    one = row(hung_by_hand(BIG | {"depth": 12}), "big box", "hook stays seated")
    assert one.ratio > 1
    assert one.remedy.startswith("A back ")
    high = int(one.remedy.rpartition("A back ")[2].split()[0])
    mended = row(hung_by_hand(BIG | {"depth": 12, "height": high}), "big box", "hook stays seated")
    assert mended.ratio <= WARN


def test_thin_wide_shelves_get_a_third_gusset_or_thicker_stock() -> None:
    thin = row(hung_by_hand(PUMP | {"width": 30, "thickness": "1/2"}), "pump shelf", "shelf sags in years")
    assert thin.ratio > 1
    assert thin.remedy.startswith("A third gusset")


def test_a_screw_that_hardly_reaches_is_to_be_longer() -> None:
    layer = [{"name": "drywall", "thickness": 0.625}]
    near = row(hung_by_hand(PUMP, screws={"length": 2.5}, sheathing=layer), "wall", "screws reach into the stud")
    assert near.sentence == "One No. 8 × 2 1/2 in screw reaches only 1 5/32 in into the stud; use 3 in."
    assert near.ratio == pytest.approx(6 * 0.164 / 1.15625, abs=1e-6)
    assert near.remedy == "No. 8 × 3 in screws at the studs would bring this to 59 %."
    mended = hung_by_hand(PUMP, screws={"length": 3}, sheathing=layer)
    assert row(mended, "wall", "screws reach into the stud").ratio == pytest.approx(6 * 0.164 / 1.65625, abs=1e-6)


def test_a_holder_may_be_called_wall() -> None:
    table = hung_by_hand(BIG | {"name": "wall", "load": 90}, screws={"length": 2.5})
    total = row(table, "row 1", "total weight")
    assert total.ratio > 1
    assert total.remedy.startswith("Two No. 8")
    assert [one.check for one in table.rows if one.item == "wall"].count("total weight") == 1


def test_a_heavy_shelf_needs_more_screws_up_into_its_gussets() -> None:
    heavy = row(hung_by_hand(PUMP | {"load": 250}), "pump shelf", "hangs on its gussets")
    assert heavy.ratio > 1
    assert heavy.remedy.startswith("Twice as many screws there would bring this to ")


def test_boards_without_a_face_grain_count_as_lying_across() -> None:
    sheet = {"name": "ply", "length": "96", "width": "48", "thickness": "23/32", "nominal": "3/4"}
    sags = [
        row(hung_by_hand(PUMP, sheets=[sheet | {"grain": grain}]), "pump shelf", "shelf sags at first").demand
        for grain in (True, False)
    ]
    assert sags[1] > 10 * sags[0]


def test_what_must_not_be_built_is_said() -> None:
    table = hung_by_hand(BARE, BIG)
    for one in table.rows:
        code = "overloaded" if one.ratio > 1 else "high_load"
        told = [
            caution
            for caution in table.cautions
            if caution.code == code and one.check in caution.text and one.item in (caution.where + caution.text)
        ]
        assert bool(told) == (one.ratio > WARN), one
        if one.ratio > 1:
            assert "Do not build this" in told[0].text
    sags = [caution.text for caution in table.cautions if "sags in years" in caution.text]
    assert all("it would not break" in text for text in sags if text.startswith("Do not build"))


def test_estimates_say_what_they_are_not() -> None:
    texts = " ".join(caution.text for caution in hung_by_hand(PUMP).cautions)
    for words in (
        "not an engineered rating", "Local codes and licensed practice prevail", "earthquakes", "fatigue",
        "over people", "masonry", "steel studs",
    ):  # fmt: skip
        assert words in texts


def test_unknown_studs_count_as_the_weakest_and_that_is_said() -> None:
    known = hung_by_hand(PUMP)
    unknown = hung_by_hand(PUMP, studs={"first": 8, "spacing": 16})
    codes = {caution.code for caution in unknown.cautions}
    assert "assumed_species" in codes - {caution.code for caution in known.cautions}
    assert row(unknown, "row 1 a", "screws at a stud").ratio > row(known, "row 1 a", "screws at a stud").ratio


@pytest.mark.parametrize(("kind", "words"), [("deck screw", "report of their own"), ("drywall screw", "brittle")])
def test_other_screws_are_cautioned(kind: str, words: str) -> None:
    table = hung_by_hand(PUMP, screws={"kind": kind})
    (caution,) = (one for one in table.cautions if one.code == "screw_kind")
    assert words in caution.text
    assert "ASME B18.6.1" in caution.text


def test_holders_without_a_wall_are_checked_by_themselves() -> None:
    from nesting.wall.holders import build_all
    from nesting.wall.load import loads

    project = workshop(PUMP, BIG)
    table = loads(project, build_all(project)[0], (), ())
    assert {one.item for one in table.rows} == {"pump shelf", "big box"}
