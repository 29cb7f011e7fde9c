"""The comparison: the same plans as planned alone, rows in figures and words, documents and drawings."""

import csv
import io
import json
import threading
import xml.etree.ElementTree as ET
from dataclasses import replace
from fractions import Fraction

import pytest

from nesting.compare.alternatives import Asked, alternatives
from nesting.compare.comparison import compare
from nesting.compare.contents import ALWAYS, comparison_json, contents
from nesting.compare.drawings import MOST_DRAWN, compare_svg, yield_svg
from nesting.compare.table import block, columns, row_of, telling
from nesting.compare.words import differences
from nesting.compare.work import Answer, answer_of, carry_out, confirm_task, confirmed_of, plan_task
from nesting.errors import Bug
from nesting.make import plan_project
from nesting.paper.contents import COMPARISON
from nesting.plan import plan_to_json
from tests.compare.small import small_job
from tests.paper.sample_plan import sample_plan

ASKED = Asked(cleat_height=("3", "3 1/2", "6", "1/2"))


@pytest.fixture(scope="module")
def found():
    """3 and 3 1/2 in can be planned; at 6 in nothing is left for the shelf; 1/2 in is lower than its bevel."""
    news = []
    job = small_job(sheet=[{"name": "strip", "width": "12", "length": "48", "thickness": "23/32", "nominal": "3/4",
                            "price": 20, "available": 1}])  # fmt: skip
    made = compare(job, ASKED, seconds=20, observer=news.append)
    assert [one.done for one in news] == list(range(len(news)))
    assert news[-1].done == news[-1].total == 4
    return made


def test_plans_are_those_planned_alone(found):
    for row in found.rows[:2]:
        alone = plan_project(row.alternative.project, seconds=20, seed=0)
        assert plan_to_json(row.plan) == plan_to_json(alone.plan)


def test_what_cannot_be_done_is_a_row_with_its_reason(found):
    assert [row.plan is not None for row in found.rows] == [True, True, False, False]
    assert "the stock of its thickness runs out" in found.rows[2].reasons[0]
    assert "bevel is deep" in found.rows[3].reasons[0]
    assert found.rows[2].cleats_per_sheet == 2
    assert found.rows[3].cleats_per_sheet is None


def test_figures_by_hand(found):
    three, four = found.rows[:2]
    # 12 in wide, kerf 1/8: two pairs of 5 15/32 and a kerf are 11 1/16; at 3 1/2 a pair of 6 15/32 leaves a lone one
    assert (three.cleats_per_sheet, four.cleats_per_sheet) == (4, 3)
    assert three.running_per_sheet == 4 * 48
    assert (three.sheets, three.rail, three.rows, three.holders) == (1, 80, None, None)
    # 48 × 12: two cleats of 40 in from a blank of 5 15/32, of which the slot of k / cos 45° is lost, and a shelf
    assert 0 < three.waste < 1
    told = {column.key for column in telling(columns("in", "USD"), found.rows)}
    assert {"cost", "cleats_per_sheet", "rail"} <= told
    assert not {"rows", "holders_fit", "screws"} & told


def test_document_keeps_the_contract(found):
    data = json.loads(comparison_json(found))
    three = data["alternatives"][0]
    assert {key: three[key] for key in ("cleat_height", "cost", "cost_bound", "proven", "cleats_per_sheet")} == {
        "cleat_height": 3, "cost": 20, "cost_bound": 20, "proven": True, "cleats_per_sheet": 4,
    }  # fmt: skip
    assert three["fence_settings"] == found.rows[0].plan.setups.fence
    assert [3, 4] in data["yield_curve"]
    (four,) = [spot for spot in data["sweet_spots"] if spot["count"] == 4]
    assert Fraction(four["tallest"]) == found.curves[0].sheet.tallest(4)
    assert all(spot["confirmed"] is True for spot in data["sweet_spots"])
    assert data["alternatives"][2]["cost"] is None
    assert data["alternatives"][2]["reasons"]
    assert data["rule_of_thumb"][0] == [3, 4]


def test_files(found):
    files = contents(found)
    assert set(files) == {*ALWAYS, "yield.svg"}
    rows = list(csv.DictReader(io.StringIO(files["compare.csv"].decode())))
    assert [row["label"] for row in rows] == ["3 in", "3 1/2 in", "6 in", "1/2 in"]
    assert rows[0]["cost"] == "20"
    assert rows[3]["cost"] == ""
    spots = list(csv.DictReader(io.StringIO(files["yield.csv"].decode())))
    assert {"count", "tallest", "thin_kerf"} <= set(spots[0])
    for name in ("compare.svg", "yield.svg"):
        assert ET.fromstring(files[name]).get("role") == "img"  # noqa: S314
    assert json.loads(files[COMPARISON])["schema"] == "cleatwright/compare/1"


def test_stopped_before_it_began():
    cancel = threading.Event()
    cancel.set()
    made = compare(small_job(), Asked(cleat_height=("3", "4")), cancel=cancel)
    assert all(row.early and row.plan is None for row in made.rows)
    assert made.rows[0].reasons == ("not begun before it was stopped",)
    assert made.curves[0].confirmed == ()
    assert differences(made.rows, "in", "USD") == ()
    assert "no plan" in compare_svg(made)


def test_no_sheet_for_cleats_has_no_curve():
    thin = [{"name": "thin", "length": "48", "width": "12", "thickness": "1/2"}]
    shelf = [{"name": "shelf", "length": "20", "width": "5", "thickness": "1/2"}]
    made = compare(small_job(sheet=thin, part=shelf, cleat=[]), Asked(kerf=("1/8",)), seconds=2)
    assert made.curves == ()
    assert yield_svg(made) is None
    assert set(contents(made)) == set(ALWAYS)
    assert json.loads(comparison_json(made))["yield_curve"] == []


# -- rows and words, from plans made by hand


def rows_of(*costs, bound=None, **more):
    job = small_job()
    heights = tuple(str(3 + n) for n in range(len(costs)))
    chosen = alternatives(job, Asked(cleat_height=heights))
    made = []
    for one, cost in zip(chosen, costs, strict=True):
        plan = sample_plan(cost=cost, cost_bound=cost if bound is None else bound, proven=bound is None, **more)
        made.append(row_of(one, Answer(plan)))
    return made


def test_words_of_money():
    assert differences(rows_of(20.0, 20.0), "in", "USD")[0] == "Both cost 20.00 USD."
    assert differences(rows_of(20.0, 20.0, 20.0), "in", "USD")[0] == "All 3 cost 20.00 USD."
    assert differences(rows_of(20.0, 35.5), "in", "USD")[0] == (
        "3 in costs least, 20.00 USD; 4 in costs 15.50 USD more."
    )
    assert differences(rows_of(40.0, 20.0, 20.0, 20.0, bound=10.0), "in", "USD")[0] == (
        "4 in and 5 in and 1 others cost least, 20.00 USD; 3 in costs 20.00 USD more, as far as was found."
    )
    assert differences(rows_of(20.0), "in", "USD") == ()


def test_words_of_the_rest():
    rows = rows_of(20.0, 30.0)
    one = replace(rows[0], rows=12, holders=(9, 10), rail=1200.0, worst_load=0.5, waste=0.10)
    other = replace(rows[1], rows=9, holders=(9, 10), rail=1180.0, worst_load=0.52, waste=0.30)
    said = differences([one, other], "in", "USD")[1]
    assert (
        said
        == "3 in against 4 in: 10 % against 30 % waste, 4 against 3 cleats a sheet and 12 against 9 rows on the wall."
    )
    same = replace(rows[1], cleats_per_sheet=rows[0].cleats_per_sheet)
    assert len(differences([rows[0], same], "in", "USD")) == 1


def test_figures_of_a_wall_are_read_from_its_plan():
    pieces = [{"x": 0, "length": 40, "part": "row 1 a"}, {"x": 40, "length": 20, "part": "row 1 b"}]
    wall = {"rows": [{"y": 9, "pieces": pieces}], "holders": [{"holder": "box", "x": 1, "row": 1}]}
    line = {"item": "box", "check": "hold", "demand": 1, "capacity": 4, "unit": "lb", "governs": "pull", "source": "s"}
    load = {"rows": [line | {"ratio": ratio} for ratio in (0.25, 0.75)]}
    plan = sample_plan(wall=wall, load=load)
    box = {"name": "box", "style": "back", "width": "12", "height": "6", "thickness": "3/4", "quantity": 2}
    job = small_job(wall={"width": "60", "height": "30"}, holder=[box])
    (only,) = alternatives(job, Asked())
    row = row_of(only, Answer(plan))
    assert (row.rows, row.rail, row.holders, row.worst_load) == (1, 60, (1, 2), 0.75)
    assert block(sample_plan(), "wall") == {}
    values = {column.key: column.value(row) for column in columns("mm", "EUR")}
    assert values["rail"] == 0.06
    assert (values["holders_fit"], values["holders_asked"]) == (1, 2)


def test_very_many_alternatives_are_drawn_in_part(found):
    job = small_job()
    chosen = alternatives(job, Asked(cleat_height=tuple(f"{3 + n / 8}" for n in range(MOST_DRAWN + 3))))
    rows = tuple(row_of(one, Answer(sample_plan(cost=float(n)))) for n, one in enumerate(chosen))
    text = compare_svg(replace(found, rows=rows))
    assert f"Shown are the {MOST_DRAWN} cheapest of {MOST_DRAWN + 3}" in text


# -- tasks in this process


def test_tasks_in_this_process():
    cancel = threading.Event()
    answer = answer_of(carry_out(plan_task(small_job(), 2.0, 0), cancel))
    assert answer.plan is not None
    assert not answer.early
    long = [{"name": "rail", "length": "60"}]
    refused = answer_of(carry_out(plan_task(small_job(cleat=long), 2.0, 0), cancel))
    assert refused.plan is None
    assert "'rail'" in refused.reasons[0]
    sheet = compare(small_job(), Asked(), cancel=_set(), seconds=1).curves[0].sheet
    spots = sheet.sweet_spots(Fraction(3), Fraction(3), "in")
    assert confirmed_of(carry_out(confirm_task(sheet, spots), cancel)) == (True,)
    assert confirmed_of(carry_out(confirm_task(sheet, spots), _set())) == ()
    with pytest.raises(Bug):
        answer_of('{"bug": "x"}')


def _set() -> threading.Event:
    event = threading.Event()
    event.set()
    return event
