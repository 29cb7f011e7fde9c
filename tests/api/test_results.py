"""The papers of a finished plan, one by one and as a zip that is the same each time."""

import io
import zipfile

import pytest

from nesting.paper.contents import contents
from nesting.plan import plan_from_json
from tests.paper.sample_plan import sample_plan


@pytest.fixture
def plan(serving):
    service = serving(at_once=True)
    plan = service.plan()
    service.state(plan, "done")
    return service, plan


def test_papers_are_those_of_the_command_line(plan):
    service, address = plan
    for name, content in contents(sample_plan()).items():
        answer = service.client.get(f"{address}/{name}")
        assert (answer.status_code, answer.content) == (200, content), name
    assert service.client.get(f"{address}/plan.json").headers["content-type"] == "application/json"
    assert plan_from_json(service.client.get(f"{address}/plan.json").text).project == "repair bay"


def test_a_drawing_can_do_nothing(plan):
    service, address = plan
    answer = service.client.get(f"{address}/layouts/A1.svg")
    assert answer.headers["content-type"] == "image/svg+xml"
    assert "sandbox" in answer.headers["content-security-policy"]
    assert "script-src" not in answer.headers["content-security-policy"]


def test_tables_are_saved_and_named_by_us(plan):
    service, address = plan
    answer = service.client.get(f"{address}/steps.csv")
    assert answer.headers["content-type"] == "text/csv; charset=utf-8"
    assert answer.headers["content-disposition"] == 'attachment; filename="steps.csv"'


def test_a_paper_that_did_not_change_is_not_sent_again(plan):
    service, address = plan
    tag = service.client.get(f"{address}/plan.json").headers["etag"]
    again = service.client.get(f"{address}/plan.json", headers={"if-none-match": f'"other", W/{tag}'})
    assert (again.status_code, again.content, again.headers["etag"]) == (304, b"", tag)


def test_the_zip_holds_everything_and_is_the_same_each_time(plan):
    service, address = plan
    answer = service.client.get(f"{address}/plan.zip")
    assert answer.headers["content-type"] == "application/zip"
    assert service.client.get(f"{address}/plan.zip").content == answer.content
    with zipfile.ZipFile(io.BytesIO(answer.content)) as archive:
        assert archive.testzip() is None
        assert archive.namelist() == sorted(f"plan/{name}" for name in contents(sample_plan()))
        assert {entry.date_time for entry in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        assert archive.read("plan/steps.csv") == contents(sample_plan())["steps.csv"]


@pytest.mark.parametrize(
    "name",
    [
        "nothing.pdf",
        "layouts/B9.svg",
        "layouts/..%2fplan.json.svg",
        "..%2f..%2fcleatwright.sqlite3",
        "%00",
        "plan.json%0a",
    ],
)
def test_no_other_paper(plan, name):
    service, address = plan
    answer = service.client.get(f"{address}/{name}")
    assert (answer.status_code, answer.headers["content-type"]) == (404, "application/problem+json")
