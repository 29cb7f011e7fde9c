"""A finished plan and a comparison as their pages show them."""

from __future__ import annotations

import pytest

from api.pages.compare_view import MOST_SPOTS, compared
from api.pages.result_view import at_steps, result
from nesting.plan_load import LoadDocument, LoadRowDocument
from tests.pages.bench import rack_plan


def test_what_to_buy_and_how_sure_come_in_the_words_of_the_packet():
    shown = result(rack_plan(), ["packet.pdf", "plan.json"])
    assert shown.heading == "repair bay"
    assert shown.total == "12.50 EUR"
    assert shown.buy[0]["stock"] == "half sheet"
    assert shown.sure[0].startswith("Cheapest: no choice of stocks below 12.50 EUR")
    assert shown.warnings == ("Measure the kerf first.",)
    assert [layout.id for layout in shown.layouts] == ["A1"]
    assert "Keep offcut A1.2.2" in shown.layouts[0].alt


def test_only_papers_that_are_there_are_offered():
    shown = result(rack_plan(), ["packet.pdf", "plan.json"])
    assert [name for name, _ in shown.files] == ["packet.pdf", "plan.zip", "plan.json"]
    assert shown.wall is None


@pytest.mark.parametrize(("ratio", "mark"), [(0.5, "passes"), (0.9, "near the limit"), (1.2, "too much")])
def test_loads_are_marked_in_words_the_worst_first(ratio, mark):
    line = {"check": "sag", "demand": 1.0, "capacity": 1.0, "unit": "in", "governs": "", "source": ""}
    rows = (
        LoadRowDocument(item="light", ratio=0.1, **line),
        LoadRowDocument(item="heavy", ratio=ratio, remedy="Use two.", **line),
    )
    shown = result(rack_plan().model_copy(update={"load": LoadDocument(rows=rows)}), [])
    assert (shown.loads[0].item, shown.loads[0].mark) == ("heavy", mark)
    assert ("Do not build this" in shown.verdict) == (ratio > 1)


def test_warnings_at_single_steps_stand_apart():
    assert [where for where, _ in at_steps(rack_plan())] == ["steps 2-3", "step 3"]


def comparison(**more):
    usual = {
        "project": "bay", "unit": "in", "currency": "USD", "differences": ["Both cost 3.00 USD."],
        "alternatives": [
            {"label": "3 in", "cost": 3.0, "proven": True, "cleats_per_sheet": 17, "waste": 0.1, "reasons": []},
            {"label": "4 in", "cost": 3.0, "proven": False, "cleats_per_sheet": 12, "waste": 0.2, "reasons": []},
        ],
        "yields": [{"sheet": "birch"}],
        "sweet_spots": [{"count": n, "tallest": 48 / n, "pairs": n // 2, "lone": n % 2} for n in range(30, 4, -1)],
    }  # fmt: skip
    return usual | more


def test_only_what_tells_alternatives_apart_is_marked_best():
    shown = compared(comparison())
    marked = {row.name: row.best for row in shown.measures}
    assert marked["Cost"] == (False, False)
    assert marked["Cleats from one sheet"] == (True, False)
    assert marked["Waste"] == (True, False)
    assert "Screws" not in marked


def test_sweet_spots_around_what_was_asked_for():
    shown = compared(comparison())
    assert len(shown.spots) == MOST_SPOTS
    assert [spot.count for spot in shown.spots if spot.asked] == [17, 12]
    assert [spot.pairs for spot in shown.spots if spot.asked] == ["8 pairs, 1 alone", "6 pairs"]


def test_an_alternative_without_a_plan_says_why_and_leaves_its_figures_open():
    rows = comparison()["alternatives"]
    rows[1] |= {"cost": None, "reasons": ["row 1 fits no stock"]}
    shown = compared(comparison(alternatives=rows, yields=[], sweet_spots=[]))
    assert shown.reasons == (("4 in", ("row 1 fits no stock",)),)
    assert next(row for row in shown.measures if row.name == "Cost").values == ("3.00 USD", "–")
    assert shown.spots == ()
