"""Projects over HTTP: made, read, replaced only over the latest version, deleted with what belongs to them."""

import json

import pytest

from tests.malformed import BASE, LEGAL, MALFORMED, changed

BODIES = [row for row in MALFORMED if row.json_text is not None]


@pytest.fixture(scope="module")
def shared(tmp_path_factory):
    from starlette.testclient import TestClient

    from api.app import build
    from api.settings import Settings
    from api.store.database import open_store
    from tests.api.fakes import FakeEngine

    folder = tmp_path_factory.mktemp("shared")
    store = open_store(folder)
    with TestClient(build(Settings(data=folder), store, FakeEngine()), base_url="http://localhost") as client:
        yield client
    store.close()


def _posted(client, text):
    return client.post("/v1/projects", content=text.encode(), headers={"content-type": "application/json"})


@pytest.mark.parametrize("row", BODIES, ids=lambda row: row.id)
def test_every_fault_comes_with_its_pointer_and_the_words_of_the_command_line(shared, row):
    from nesting.errors import BadInput
    from nesting.project.read import project_from_text

    with pytest.raises(BadInput) as caught:
        project_from_text(row.json_text, "json")
    answer = _posted(shared, row.json_text)
    assert answer.status_code in (400, 422)
    assert answer.headers["content-type"] == "application/problem+json"
    problem = answer.json()
    assert problem["type"] in ("/problems/bad-input", "/problems/not-json")
    assert problem["instance"] == "/v1/projects"
    assert [
        (error["pointer"].replace("\ufffd", "?"), error["detail"].replace("\ufffd", "?")) for error in problem["errors"]
    ] == [(_plain(fault.pointer), _plain(str(fault))) for fault in caught.value.faults]
    assert len(problem["errors"]) == len(row.faults)


def _plain(text):
    return text.encode("utf-8", "replace").decode()


@pytest.mark.parametrize("row", LEGAL, ids=lambda row: row.id)
def test_what_is_odd_but_legal_is_kept_as_it_came(shared, row):
    answer = _posted(shared, row.json_text)
    assert answer.status_code == 201
    kept = shared.get(answer.headers["location"])
    assert kept.text == row.json_text
    assert kept.headers["content-type"] == "application/json"


def test_a_body_that_is_no_json_or_no_text(service):
    post = service.client.post
    assert _posted(service.client, "{").json()["errors"][0]["detail"].startswith("line 1, column 2: not JSON")
    answer = post("/v1/projects", content=b'{"a": "\xff"}', headers={"content-type": "application/json"})
    assert (answer.status_code, answer.json()["errors"][0]["detail"][:24]) == (400, "line 1 is not UTF-8 text")
    assert post("/v1/projects", content=b"a=1").status_code == 415
    assert post("/v1/projects", data={"a": "1"}).status_code == 415
    marked = b"\xef\xbb\xbf" + json.dumps(BASE).encode()
    assert post("/v1/projects", content=marked, headers={"content-type": "application/json"}).status_code == 201


def test_a_project_is_replaced_only_over_the_latest_version(service):
    project = service.project()
    first = service.client.get(project).headers["etag"]
    longer = changed(part__0__length="30")
    assert service.client.put(project, json=longer).status_code == 428
    done = service.client.put(project, json=longer, headers={"if-match": first})
    assert (done.status_code, done.json()["version"]) == (200, 2)
    assert done.headers["etag"] != first
    assert service.client.get(project).json() == longer
    late = service.client.put(project, json=BASE, headers={"if-match": first})
    assert (late.status_code, late.json()["type"]) == (412, "/problems/changed-meanwhile")
    assert service.client.get(project).json() == longer
    assert service.client.put(project, json={}, headers={"if-match": "*"}).status_code == 422
    unchanged = service.client.get(project, headers={"if-none-match": done.headers["etag"]})
    assert (unchanged.status_code, unchanged.content) == (304, b"")


def test_a_deleted_project_takes_its_plans_along(service):
    project = service.project()
    plan = service.plan(project)
    run = service.running(plan)
    assert service.client.delete(project, headers={"if-match": '"other"'}).status_code == 412
    assert service.client.delete(project).status_code == 204
    assert service.client.get(project).status_code == 404
    assert service.client.get(plan).status_code == 404
    from tests.api.fakes import until

    until(lambda: run in service.engine.killed)


def test_projects_are_listed_page_by_page(service):
    made = [service.project(changed(project__name=f"job {number}")) for number in range(5)]
    names, page = [], "/v1/projects?limit=2"
    while page:
        answer = service.client.get(page).json()
        names += [project["name"] for project in answer["projects"]]
        page = answer["next"]
    assert names == [f"job {number}" for number in range(len(made))]
    assert service.client.get("/v1/projects?limit=0").status_code == 422
    assert service.client.get("/v1/projects?after=../x").status_code == 422


@pytest.mark.parametrize("name", ["nothing", "..%2f..%2fetc%2fpasswd", "%00", "01ARZ3NDEKTSV4RRFFQ69G5FAV", "é"])
def test_an_address_that_names_nothing(service, name):
    for method in ("GET", "PUT", "DELETE"):
        answer = service.client.request(method, f"/v1/projects/{name}", json=BASE)
        assert (answer.status_code, answer.headers["content-type"]) == (404, "application/problem+json")
    assert service.client.get(f"/v1/plans/{name}").status_code == 404
    assert service.client.get(f"/v1/plans/{name}/plan.json").status_code == 404


def test_schemas_are_at_hand(service):
    assert service.client.get("/v1/schemas/project.json").json()["$id"] == "urn:cleatwright:schema:project:1"
    assert service.client.get("/v1/schemas/plan.json").json()["$id"] == "urn:cleatwright:schema:plan:1"
    assert service.client.get("/v1/schemas/secrets.json").status_code == 404
