"""Beginning: blank, from the demo, from a file; what is there already."""

import json

import pytest

from api.limits import Limits
from nesting.project.starter import starter_text
from tests.malformed import BASE
from tests.pages.walking import HTML, Page, seen, sent


@pytest.fixture
def token(service):
    return seen(service.client, "/").values["token"]


def _handed_in(service, token, content, name="job.toml"):
    if isinstance(content, str):
        content = content.encode()
    return service.client.post(
        "/start/file", data={"token": token}, files={"file": (name, content)}, headers=HTML, follow_redirects=False
    )


@pytest.mark.parametrize(("unit", "chosen", "kerf"), [("in", "in", "30"), ("mm", "mm", "760"), ("<b>", "in", "30")])
def test_a_blank_form_counts_in_the_unit_chosen(service, token, unit, chosen, kerf):
    answer = sent(service.client, "/start/blank", {"token": token, "unit": unit})
    page = seen(service.client, answer.headers["location"])
    assert page.values["project.unit"] == chosen
    assert page.values["sheet.0.name"] == ""
    assert next(one for one in page.of("input") if one.get("name") == "saw.rip_capacity")["placeholder"] == kerf
    assert "to mend" not in page.words
    assert "still to be filled in" in page.words


@pytest.mark.parametrize(("demo", "name", "value"), [("wall", "wall.width", "144"), ("parts", "part.1.quantity", "7")])
def test_the_demo_is_a_project_at_once(service, token, demo, name, value):
    answer = sent(service.client, "/start/demo", {"token": token, "demo": demo})
    page = seen(service.client, answer.headers["location"])
    assert page.values[name] == value
    assert "nothing is wrong with it" in page.words
    (kept,) = service.client.get("/v1/projects").json()["projects"]
    assert kept["name"] == "Bike co-op repair bay"
    assert answer.headers["location"] == f"/projects/{kept['id']}"


@pytest.mark.parametrize(
    ("content", "name"),
    [
        (starter_text(wall=True), "wall.toml"),
        (b"\xef\xbb\xbf" + starter_text().encode(), "BOM"),
        (json.dumps(BASE), "job.json"),
        (json.dumps(BASE), "no ending"),
    ],
    ids=str,
)
def test_a_file_opens_as_a_project(service, token, content, name):
    answer = _handed_in(service, token, content, name)
    assert answer.status_code == 303
    assert len(service.client.get("/v1/projects").json()["projects"]) == 1


def test_a_file_with_faulty_values_opens_with_its_faults(service, token):
    text = starter_text().replace('kerf = "1/8"', 'kerf = "thin"').replace("quantity = 7", 'quantity = "seven"', 1)
    answer = _handed_in(service, token, text)
    page = seen(service.client, answer.headers["location"])
    assert (page.values["saw.kerf"], page.values["part.1.quantity"]) == ("thin", "seven")
    assert "2 faults to mend" in page.words
    assert "'thin' is not a length" in page.words
    assert service.client.get("/v1/projects").json()["projects"] == []


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ("saw = 3", "saw"),
        ("[saw]\nkerff = 1", "saw.kerff: is not a known key; did you mean kerf?"),
        ("not toml", "line 1"),
        ("[1, 2]", "line 1"),
        ('{"saw": {"kerf": null}}', "saw.kerf"),
        ('{"a": 1, "a": 2}', "twice"),
        ("{" * 5_000, "JSON"),
        ("[[wall.keepout]]\nx = [1]", "wall.keepout[1].x"),
        ("[wall]\nrows = [[1]]", "wall.rows[1]"),
        (b"\xff\xfe", "UTF-8"),
        ("", "no file was chosen"),
        ("name = '<script>alert(1)</script>'", "name"),
    ],
    ids=lambda one: str(one)[:30],
)
def test_a_file_that_the_form_cannot_hold_is_refused_with_its_faults(service, token, content, words):
    answer = _handed_in(service, token, content, '<img src=x onerror="alert(1)">.toml')
    assert answer.status_code == 422
    page = Page(answer.text)
    assert words in page.words
    assert not page.of("img")
    assert "<script>alert" not in answer.text
    assert seen(service.client, "/").text.count("/projects/") == 0


def test_a_large_file_is_refused_as_any_body_is(serving):
    service = serving(limits=Limits(body_bytes=1_500))
    token = seen(service.client, "/").values["token"]
    assert _handed_in(service, token, "#" * 2_000).status_code == 413


def test_forms_with_many_parts_are_refused(service, token):
    many = {f"a{n}": "x" for n in range(200)}
    answer = service.client.post("/start/file", data={"token": token, **many}, files={"file": ("a", b"")}, headers=HTML)
    assert answer.status_code == 422
    assert "Too many fields" in answer.text


def test_projects_are_listed_with_those_begun(service, token):
    sent(service.client, "/start/demo", {"token": token, "demo": "parts"})
    begun = sent(service.client, "/start/blank", {"token": token}).headers["location"]
    page = seen(service.client, "/")
    links = [one["href"] for one in page.of("a")]
    assert begun in links
    assert len([link for link in links if link.startswith("/projects/")]) == 2
    assert "Begun, not complete" in page.words
    assert "(no name yet)" in page.words


def test_no_more_are_begun_than_are_kept(serving):
    service = serving(limits=Limits(projects_per_key=2))
    token = seen(service.client, "/").values["token"]
    statuses = [sent(service.client, "/start/blank", {"token": token}).status_code for _ in range(3)]
    assert statuses == [303, 303, 409]
