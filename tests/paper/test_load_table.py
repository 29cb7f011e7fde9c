"""The load table for a spreadsheet, in one sentence, and in the summary of a plan."""

from __future__ import annotations

import csv
import io
from typing import Any

from cli.summary import summary
from nesting.paper.contents import contents
from nesting.paper.load_table import LOAD_COLUMNS, load_csv, share, verdict, worst_first
from nesting.plan import plan_from_json, plan_to_json
from nesting.plan_load import LoadDocument
from tests.paper.sample_plan import sample_plan


def row(item: str, ratio: float, **keys: Any) -> dict[str, Any]:
    return {
        "item": item, "check": "bends", "demand": ratio * 100, "capacity": 100.0, "unit": "psi", "ratio": ratio,
        "governs": "bending", "source": "somewhere", **keys,
    }  # fmt: skip


TABLE = {"rows": [row("=SUM(A1)", 0.2), row("row 1 a", 1.5), row("shelf", 0.9)], "species": "unknown", "assumed": True}


def test_the_columns_are_those_of_the_format() -> None:
    plan = sample_plan(load=TABLE)
    assert LOAD_COLUMNS == ("item", "check", "demand", "capacity", "unit", "ratio", "governs", "source")
    rows = list(csv.DictReader(io.StringIO(load_csv(plan), newline="")))
    assert tuple(rows[0]) == LOAD_COLUMNS
    assert rows[0]["item"] == "'=SUM(A1)"
    assert [float(one["ratio"]) for one in rows] == [0.2, 1.5, 0.9]
    assert all(float(one["ratio"]) == float(one["demand"]) / float(one["capacity"]) for one in rows)
    assert load_csv(sample_plan()).strip() == ",".join(LOAD_COLUMNS)


def test_the_file_is_written_where_there_is_a_table() -> None:
    assert "load.csv" in contents(sample_plan(load=TABLE))
    assert "load.csv" not in contents(sample_plan())
    assert "load.csv" not in contents(sample_plan(load={"rows": []}))


def test_the_table_survives_being_written_down() -> None:
    plan = sample_plan(load=TABLE)
    assert plan_from_json(plan_to_json(plan)).load == plan.load


def test_the_verdict() -> None:
    def told(*ratios: float) -> str:
        return verdict(LoadDocument.model_validate({"rows": [row("it", ratio) for ratio in ratios]}))

    assert told(1.5, 0.9, 0.2).startswith(
        "Do not build this as it is: 1 check of 3 is above what may be carried, 1 more"
    )
    assert told(1.5, 2.0) == "Do not build this as it is: 2 checks of 2 are above what may be carried."
    assert told(0.9, 0.2) == "All 2 checks pass, 1 of them near the limit."
    assert told(0.3) == "All 1 checks pass, none above 80 %."


def test_the_summary_tells_the_worst_first() -> None:
    load = TABLE | {"rows": [*TABLE["rows"], row("wall", 0.1, check="total weight", sentence="240 lb hang there.")]}
    plan = sample_plan(load=load)
    assert plan.load is not None
    assert [one.item for one in worst_first(plan.load)][:2] == ["row 1 a", "shelf"]
    lines = "\n".join(summary(plan, (), None, stopped=False))
    assert "Do not build this as it is" in lines
    assert lines.index("DO NOT BUILD") < lines.index("near\n")
    assert "240 lb hang there." in lines
    assert "The wood of the studs is not known" in lines
    assert "Loads" not in "\n".join(summary(sample_plan(), (), None, stopped=False))


def test_what_holds_nothing() -> None:
    load = LoadDocument.model_validate({"rows": [row("it", 999.0, capacity=0.0)]})
    assert share(load.rows[0]) == "no hold at all"
