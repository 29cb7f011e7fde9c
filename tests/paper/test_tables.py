"""CSV tables: what stands in them, and that no spreadsheet takes a name for a formula."""

import csv
import io
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.paper.labels import COLUMNS as LABEL_COLUMNS
from nesting.paper.labels import labels_csv
from nesting.paper.tables import BUY_COLUMNS, STEP_COLUMNS, buy_csv, currency_of, steps_csv
from tests.paper.rich_plan import rich_plan
from tests.paper.sample_plan import sample_plan


def _rows(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_steps_say_settings_twice():
    plan = sample_plan()
    step = plan.steps[0].model_copy(update={"setting": 5.46875, "bevel": 45.0, "leans": "away"})
    text = steps_csv(plan.model_copy(update={"steps": (step,)}))
    assert tuple(text.splitlines()[0].split(",")) == STEP_COLUMNS
    (row,) = _rows(text)
    assert row["setting"] == "5 15/32"
    assert Fraction(row["setting_decimal"]) == Fraction(175, 32)
    assert (row["bevel"], row["leans"], row["makes"], row["unit"]) == ("45", "away", "A1.1 A1.2", "in")


def test_square_cut_has_no_lean():
    assert _rows(steps_csv(sample_plan()))[0]["leans"] == ""


def test_buying_list_says_sizes_prices_and_currency():
    text = buy_csv(sample_plan(("A1", "A2")))
    assert tuple(text.splitlines()[0].split(",")) == BUY_COLUMNS
    (row,) = _rows(text)
    assert (row["stock"], row["count"], row["unit_price"], row["cost"]) == ("half sheet", "2", "12.5", "25")
    assert (row["width"], row["width_decimal"]) == ("10 1/8", "10.125")
    assert (row["thickness"], row["thickness_decimal"]) == ("23/32", "0.71875")
    assert (row["unit"], row["currency"]) == ("in", "EUR")


def test_stock_without_a_layout_has_no_size():
    plan = sample_plan()
    line = plan.buy[0].model_copy(update={"stock": "other"})
    (row,) = _rows(buy_csv(plan.model_copy(update={"buy": (line,)})))
    assert (row["length"], row["thickness_decimal"]) == ("", "")


@pytest.mark.parametrize("job", [None, {}, {"project": 3}, {"project": {"currency": 5}}])
def test_currency_is_dollars_where_the_plan_says_none(job):
    assert currency_of(sample_plan().model_copy(update={"job": job})) == "USD"


@pytest.mark.parametrize("name", ["=1+1", "+cmd", "-2", "@SUM(A1)", "\ttab", "\r=1", "\n=1", "＝1", "＠x"])
def test_formulas_are_harmless(name):
    plan = sample_plan()
    line = plan.buy[0].model_copy(update={"stock": name})
    (row,) = _rows(buy_csv(plan.model_copy(update={"buy": (line,)})))
    assert row["stock"] == f"'{name}"


@given(st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=30))
def test_any_name_comes_back_and_starts_no_formula(name):
    plan = sample_plan()
    line = plan.buy[0].model_copy(update={"stock": name})
    (row,) = _rows(buy_csv(plan.model_copy(update={"buy": (line,)})))
    assert row["stock"].removeprefix("'") == name.removeprefix("'")
    assert row["stock"][0] not in "=+-@\t\r\n"


def test_labels_tell_part_size_layout_and_step():
    plan = rich_plan(names=("=shelf", "row", "hook"))
    text = labels_csv(plan)
    assert tuple(text.splitlines()[0].split(",")) == LABEL_COLUMNS
    rows = _rows(text)
    assert [int(row["label"]) for row in rows] == list(range(1, 8))
    assert [int(row["step"]) for row in rows] == sorted(int(row["step"]) for row in rows)
    nodes = {node.id: node for node in plan.layouts[0].tree.walk()}
    for row in rows:
        step = plan.steps[int(row["step"]) - 1]
        assert row["piece"] in step.makes
        node = nodes[row["piece"]]
        sides = (float(row["length_decimal"]), float(row["width_decimal"]))
        assert sides == ((node.width, node.length) if node.turned else (node.length, node.width))
    assert {row["part"] for row in rows} == {"'=shelf", "row", "hook"}
    assert {(row["layout"], row["stock"], row["thickness"]) for row in rows} == {("A1", "18 mm birch, 4x8", "23/32")}


def test_a_part_that_is_the_whole_piece_needs_no_step():
    whole = rich_plan().layouts[0]
    tree = whole.tree.model_copy(update={"role": "part", "part": "board", "cut": None, "pieces": ()})
    (row,) = _rows(labels_csv(sample_plan(layouts=(whole.model_copy(update={"tree": tree}).model_dump(),), steps=())))
    assert (row["part"], row["step"]) == ("board", "")
