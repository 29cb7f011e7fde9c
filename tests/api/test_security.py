"""Who may ask, from where, how much and how often; what every answer bears."""

import json

import pytest

from api.keys import drop_key, hashed, new_key
from api.limits import Limits
from api.sessions import COOKIE
from nesting.errors import BadInput
from tests.malformed import BASE


@pytest.fixture
def keyed(serving, store):
    """A service with two keys, listening on a public address."""
    ada, bo = new_key(store, "ada"), new_key(store, "bo")
    return serving(host="0.0.0.0", base="http://bench.example"), ada, bo  # noqa: S104


def _with(key):
    return {"authorization": f"Bearer {key}"}


def test_without_a_key_nothing_is_given(keyed):
    service, _ada, _bo = keyed
    for path in ("/v1/projects", "/v1/limits", "/metrics", "/v1/plans/x/plan.json"):
        answer = service.client.get(path)
        assert (answer.status_code, answer.headers["www-authenticate"]) == (401, "Bearer"), path
        assert answer.json()["type"] == "/problems/key-needed"
    assert service.client.get("/healthz").status_code == 200


@pytest.mark.parametrize("sent", ["Bearer", "Bearer cleat_wrong", "Basic YTpi", "Bearer \udcff", "bearer  "])
def test_a_wrong_key_is_refused(keyed, sent):
    service, _ada, _bo = keyed
    value = sent.encode("utf-8", "surrogateescape")
    assert service.client.get("/v1/projects", headers={"authorization": value}).status_code == 401


def test_what_belongs_to_one_key_is_not_there_for_another(keyed):
    service, ada, bo = keyed
    made = service.client.post("/v1/projects", json=BASE, headers=_with(ada)).headers["location"]
    plan = service.client.post(f"{made}/plans", headers=_with(ada)).headers["location"]
    for path in (made, plan, f"{plan}/events", f"{plan}/plan.json", f"{plan}/plan.zip", f"{made}/plans"):
        assert service.client.get(path, headers=_with(bo)).status_code == 404, path
    assert service.client.delete(plan, headers=_with(bo)).status_code == 404
    assert service.client.delete(made, headers=_with(bo)).status_code == 404
    assert service.client.get("/v1/projects", headers=_with(bo)).json()["projects"] == []
    assert service.client.get(made, headers=_with(ada)).status_code == 200


def test_keys_are_kept_by_their_hash_alone(store):
    from api.store import keys

    key = new_key(store, "ada")
    with store.reading() as connection:
        (row,) = keys.every(connection)
    assert row.hash == hashed(key)
    assert key not in repr(row)
    assert len(key) > 40


def test_a_key_that_is_dropped_opens_nothing(serving, store, monkeypatch):
    from api import keys

    monkeypatch.setattr(keys, "_REMEMBERED_SECONDS", 0.0)
    ada, _bo = new_key(store, "ada"), new_key(store, "bo")
    service = serving()
    assert service.client.get("/v1/projects", headers=_with(ada)).status_code == 200
    drop_key(store, "ada")
    assert service.client.get("/v1/projects", headers=_with(ada)).status_code == 401
    with pytest.raises(BadInput, match="no key named 'ada'"):
        drop_key(store, "ada")


@pytest.mark.parametrize(("name", "words"), [("ada", "already"), ("", "is empty"), ("a\nb", "line break")])
def test_a_key_needs_a_name_of_its_own(store, name, words):
    new_key(store, "ada")
    with pytest.raises(BadInput, match=words):
        new_key(store, name)


def test_without_keys_only_localhost_is_answered(serving):
    service = serving(base="http://attacker.example")
    answer = service.client.get("/v1/projects")
    assert (answer.status_code, answer.json()["type"]) == (421, "/problems/wrong-host")
    for host in ("localhost:8000", "127.0.0.1", "[::1]:8000"):
        assert service.client.get("/v1/projects", headers={"host": host}).status_code == 200


def test_a_key_once_made_is_needed_on_localhost_too(serving, store):
    key = new_key(store, "ada")
    service = serving()
    assert service.client.get("/v1/projects").status_code == 401
    assert service.client.get("/v1/projects", headers=_with(key)).status_code == 200


@pytest.mark.parametrize(
    "headers",
    [{"origin": "http://attacker.example"}, {"origin": "null"}, {"sec-fetch-site": "cross-site"}],
    ids=str,
)
def test_another_sites_page_changes_nothing(service, headers):
    answer = service.client.post("/v1/projects", json=BASE, headers=headers)
    assert (answer.status_code, answer.json()["type"]) == (403, "/problems/not-from-here")
    assert service.client.get("/v1/projects").json()["projects"] == []
    own = {"origin": "http://localhost", "sec-fetch-site": "same-origin"}
    assert service.client.post("/v1/projects", json=BASE, headers=own).status_code == 201


def test_a_session_stands_for_its_key_and_changes_need_its_token(keyed):
    service, ada, _bo = keyed
    sessions = service.parts.sessions
    cookie = sessions.cookie(service.parts.keyring.owner(ada))
    service.client.cookies.set(COOKIE, cookie)
    assert service.client.get("/v1/projects").status_code == 200
    assert service.client.post("/v1/projects", json=BASE).status_code == 403
    token = {"x-csrf-token": sessions.token(cookie)}
    assert service.client.post("/v1/projects", json=BASE, headers=token).status_code == 201
    assert service.client.post("/v1/projects", json=BASE, headers={"x-csrf-token": "0"}).status_code == 403
    for forged in (sessions.cookie("local"), cookie.replace(cookie[0], "9", 1), "a.b.c", "", sessions.cookie("x", 0.0)):
        service.client.cookies.set(COOKIE, forged)
        assert service.client.get("/v1/projects").status_code == 401, forged


def test_a_key_may_ask_so_often(serving, store):
    key = new_key(store, "ada")
    service = serving(limits=Limits(requests_per_second=1))
    statuses = [service.client.get("/v1/projects", headers=_with(key)).status_code for _ in range(8)]
    assert statuses[:5] == [200] * 5
    assert 429 in statuses
    answer = service.client.get("/v1/projects", headers=_with(key))
    assert (answer.status_code, answer.headers["retry-after"]) == (429, "1")


def test_guessing_keys_is_slowed(serving, store):
    key = new_key(store, "ada")
    service = serving(limits=Limits(wrong_keys_per_minute=3))
    statuses = [service.client.get("/v1/projects", headers=_with("guess")).status_code for _ in range(5)]
    assert statuses == [401, 401, 401, 429, 429]
    assert service.client.get("/v1/projects", headers=_with(key)).status_code == 429


@pytest.mark.parametrize("admitted", [True, False])
def test_a_body_too_large_is_not_read(serving, admitted):
    service = serving(limits=Limits(body_bytes=1_000))
    read = []

    def body():
        for _ in range(100):
            read.append(1)
            yield b"x" * 100

    content = b"x" * 1_001 if admitted else body()
    answer = service.client.post("/v1/projects", content=content, headers={"content-type": "application/json"})
    assert (answer.status_code, answer.json()["type"]) == (413, "/problems/too-large")
    assert answer.json()["detail"] == "at most 1,000 bytes"


def test_a_body_that_trickles_is_not_waited_for(store, tmp_path):
    """A client that sends half a body and then nothing, as an ASGI server would hand it over."""
    import asyncio

    from api.app import build
    from api.settings import Settings
    from tests.api.fakes import FakeEngine

    app = build(Settings(data=tmp_path, limits=Limits(body_seconds=1)), store, FakeEngine())
    scope = {
        "type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "method": "POST", "path": "/v1/projects",
        "raw_path": b"/v1/projects", "root_path": "", "scheme": "http", "query_string": b"", "client": ("::1", 1),
        "server": ("localhost", 80), "headers": [(b"host", b"localhost"), (b"content-type", b"application/json")],
    }  # fmt: skip
    sent, parts = [], [{"type": "http.request", "body": b"{", "more_body": True}]

    async def receive():
        if parts:
            return parts.pop()
        return await asyncio.sleep(60)

    async def send(message):
        sent.append(message)

    asyncio.run(app(scope, receive, send))
    assert sent[0]["status"] == 408
    assert json.loads(sent[1]["body"])["type"] == "/problems/too-slow"


def test_every_answer_bears_the_headers(service):
    for path in ("/v1/projects", "/nothing", "/healthz", "/v1/projects/x"):
        headers = service.client.get(path).headers
        assert headers["x-content-type-options"] == "nosniff"
        assert "default-src 'none'" in headers["content-security-policy"]
        assert "unsafe" not in headers["content-security-policy"]
        assert headers["x-frame-options"] == "DENY"
        assert len(headers["x-request-id"]) == 16
    assert service.client.get("/healthz", headers={"x-request-id": "my-own-id"}).headers["x-request-id"] == "my-own-id"
    assert service.client.get("/healthz", headers={"x-request-id": "a\tb c"}).headers["x-request-id"] != "a\tb c"


def test_a_bug_is_told_as_one_and_hides_its_insides(service, monkeypatch, capfd):
    from api.routes import projects

    def broken(*_):
        raise RuntimeError("secret of the house")

    monkeypatch.setattr(projects.projects, "page", broken)
    answer = service.client.get("/v1/projects")
    assert (answer.status_code, answer.json()["type"]) == (500, "/problems/bug")
    assert answer.headers["x-request-id"] in answer.json()["detail"]
    assert "secret" not in answer.text
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert "secret of the house" in capfd.readouterr().out


def test_storage_trouble_asks_to_come_again(service, monkeypatch):
    from sqlalchemy.exc import OperationalError

    from api.routes import projects

    def locked(*_):
        raise OperationalError("SELECT", {}, Exception("database is locked"))

    monkeypatch.setattr(projects.projects, "page", locked)
    answer = service.client.get("/v1/projects")
    assert (answer.status_code, answer.headers["retry-after"]) == (503, "2")
    assert answer.json()["type"] == "/problems/storage"


def test_wrong_methods_and_problems_pages(service):
    answer = service.client.patch("/v1/projects")
    assert (answer.status_code, answer.json()["type"]) == (405, "/problems/wrong-method")
    assert set(answer.headers["allow"].replace(" ", "").split(",")) & {"GET", "POST"}
    page = service.client.get(answer.json()["type"])
    assert (page.status_code, page.text.splitlines()[0]) == (200, "This cannot be done here (status 405)")
    assert service.client.get("/problems/none").status_code == 404


def test_a_head_is_that_of_the_whole(service):
    project = service.project()
    whole, head = service.client.get(project), service.client.head(project)
    for name in ("etag", "content-length", "content-type"):
        assert head.headers[name] == whole.headers[name]
    assert service.client.head(f"{service.plan(project)}/events").status_code == 405


def test_figures_name_patterns_and_never_addresses(service):
    service.project()
    service.client.get("/v1/projects/'; DROP TABLE projects; --")
    text = service.client.get("/metrics").text
    assert 'route="/v1/projects/{project}",status="404"' in text
    assert "DROP" not in text
    assert 'cleatwright_plans{state="queued"} 0.0' in text
    for name in ("steps_ticked", "pieces_spoiled", "rack_pieces"):
        assert f"cleatwright_{name} 0.0" in text


def test_health_says_what_is_wrong(service):
    assert service.client.get("/healthz").json()["status"] == "ok"
    service.parts.foreman.stop()
    answer = service.client.get("/healthz")
    assert (answer.status_code, answer.json()["foreman"]) == (503, False)
