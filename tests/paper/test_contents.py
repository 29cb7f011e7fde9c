"""What a plan's folder holds: names from layout ids only."""

import pytest

from nesting.errors import Bug
from nesting.paper.contents import contents
from nesting.plan import plan_from_json
from tests.paper.sample_plan import sample_plan


def test_every_file_of_a_plan():
    plan = sample_plan(("A1", "B2"))
    files = contents(plan)
    assert set(files) == {"plan.json", "steps.csv", "buy.csv", "layouts/A1.svg", "layouts/B2.svg"}
    assert plan_from_json(files["plan.json"].decode()) == plan
    assert b"<svg" in files["layouts/A1.svg"]


@pytest.mark.parametrize("id_", ["../A1", "/etc/x", "A1/B", "", ".hidden", "a\\b", "A" * 65, "A1\n", "é"])
def test_ids_that_cannot_name_a_file_are_a_bug(id_):
    with pytest.raises(Bug, match="cannot name a file"):
        contents(sample_plan((id_,)))


def test_ids_that_differ_in_case_alone_are_a_bug():
    with pytest.raises(Bug, match="same id"):
        contents(sample_plan(("A1", "a1")))
