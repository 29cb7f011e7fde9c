"""The OpenAPI description is the one kept beside the code, tells every answer, and holds under fuzzing."""

import contextlib
import json
from importlib.resources import files

import hypothesis
import pytest
import schemathesis
from hypothesis import HealthCheck, Phase
from schemathesis import checks

from api.openapi import description_text
from nesting.project.schema import shipped_schema

KEPT = files("api").joinpath("openapi.json")


def test_the_description_kept_is_that_of_the_code():
    assert KEPT.read_text("utf-8") == description_text(), "write it anew: python -m api.openapi > api/openapi.json"


def test_what_is_served_is_what_is_kept(service):
    assert service.client.get("/openapi.json").json() == json.loads(KEPT.read_text("utf-8"))


def test_every_reference_leads_somewhere_and_every_operation_has_a_name():
    description = json.loads(KEPT.read_text("utf-8"))
    text = json.dumps(description)
    for name in {part.split('"')[0] for part in text.split("#/components/schemas/")[1:]}:
        assert name in description["components"]["schemas"]
    operations = [one for path in description["paths"].values() for one in path.values()]
    assert len({one["operationId"] for one in operations}) == len(operations)
    assert all(one.get("description") for one in operations)
    assert "example" in description["components"]["schemas"]["Problem"]


def _promises():
    """The operations to be fuzzed, the project's whole schema put in for the short one."""
    description = json.loads(KEPT.read_text("utf-8"))
    project = shipped_schema()
    shapes = description["components"]["schemas"]
    inner = json.loads(json.dumps(project).replace("#/$defs/", "#/components/schemas/Project"))
    shapes |= {f"Project{name}": shape for name, shape in inner.pop("$defs").items()}
    for path, method in (("/v1/projects", "post"), ("/v1/projects/{project}", "put")):
        body = description["paths"][path][method]["requestBody"]["content"]["application/json"]
        body["schema"] = {key: value for key, value in inner.items() if not key.startswith("$")}
    return schemathesis.openapi.from_dict(description)


OPERATIONS = [found.ok() for found in _promises().get_all_operations()]
checks.load_all_checks()
KEPT_PROMISES = checks.CHECKS.get_by_names([
    "not_a_server_error", "status_code_conformance", "content_type_conformance", "response_headers_conformance",
    "response_schema_conformance", "allow_header_conformance",
])  # fmt: skip


@contextlib.asynccontextmanager
async def _lives_already(_app):
    yield


@pytest.fixture(scope="module")
def fuzzed(tmp_path_factory):
    from starlette.testclient import TestClient

    from api.app import build
    from api.settings import Settings
    from api.store.database import open_store
    from tests.api.fakes import FakeEngine, until
    from tests.malformed import BASE

    folder = tmp_path_factory.mktemp("fuzzed")
    store = open_store(folder)
    app = build(Settings(data=folder), store, FakeEngine(at_once=True))
    with TestClient(app, base_url="http://localhost") as client:
        project = client.post("/v1/projects", json=BASE).json()["id"]
        plan = client.post(f"/v1/projects/{project}/plans").json()["id"]
        until(lambda: client.get(f"/v1/plans/{plan}").json()["state"] == "done")
        client.post("/v1/rack", json={"label": "A1", "length": 31, "width": 9, "thickness": "1/2"})
        app.router.lifespan_context = _lives_already
        yield app, {"project": project, "plan": plan, "step": "1", "piece": "A1"}
    store.close()


@pytest.mark.parametrize("operation", OPERATIONS, ids=lambda operation: operation.label)
def test_no_request_whatever_makes_it_stumble(fuzzed, operation):
    """Half of the requests are for a project and a plan that exist; deleting is tried only on what does not."""
    app, known = fuzzed

    @hypothesis.settings(
        max_examples=8, deadline=None, database=None, phases=[Phase.generate], derandomize=True,
        suppress_health_check=list(HealthCheck),
    )  # fmt: skip
    @hypothesis.given(case=operation.as_strategy(), real=hypothesis.strategies.booleans())
    def ask(case, real):
        if real and operation.method != "delete":
            case.path_parameters = {**(case.path_parameters or {}), **{
                name: known[name] for name in known if name in (case.path_parameters or {})
            }}  # fmt: skip
        response = case.call(base_url="http://localhost", app=app)
        case.validate_response(response, checks=KEPT_PROMISES)

    ask()
