"""What a plan's folder holds: names from layout ids only."""

from datetime import date

import pytest

from nesting.draw.layouts import draw_layout
from nesting.errors import Bug
from nesting.paper import contents as subject
from nesting.paper.contents import contents, usual_files
from nesting.paper.dxf import layouts_dxf
from nesting.paper.packet import packet_pdf
from nesting.plan import plan_from_json
from tests.paper.sample_plan import sample_plan

DAY = date(2026, 11, 25)


def test_every_file_of_a_plan():
    plan = sample_plan(("A1", "B2"))
    files = contents(plan, paper="a4", on=DAY)
    tops = {"plan.json", "packet.pdf", "steps.csv", "buy.csv", "labels.csv", "layouts.dxf"}
    assert set(files) == tops | {"layouts/A1.svg", "layouts/B2.svg"}
    assert set(usual_files()) == tops
    assert files["packet.pdf"] == packet_pdf(plan, paper="a4", on=DAY)
    assert files["layouts.dxf"] == layouts_dxf(plan)
    assert plan_from_json(files["plan.json"].decode()) == plan
    assert files["layouts/A1.svg"].decode() == draw_layout(plan, "A1")


def test_without_its_library_there_is_no_dxf_file(monkeypatch):
    monkeypatch.setattr(subject, "available", lambda: False)
    assert "layouts.dxf" not in contents(sample_plan(), on=DAY)
    assert "layouts.dxf" not in usual_files()


@pytest.mark.parametrize("id_", ["../A1", "/etc/x", "A1/B", "", ".hidden", "a\\b", "A" * 65, "A1\n", "é"])
def test_ids_that_cannot_name_a_file_are_a_bug(id_):
    with pytest.raises(Bug, match="cannot name a file"):
        contents(sample_plan((id_,)))


def test_ids_that_differ_in_case_alone_are_a_bug():
    with pytest.raises(Bug, match="same id"):
        contents(sample_plan(("A1", "a1")))
