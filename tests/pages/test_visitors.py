"""Sessions, forms' tokens, pages for faults, and the files that pages fetch."""

import re

import pytest

from api.keys import new_key
from api.limits import Limits
from api.sessions import COOKIE
from tests.pages.walking import HTML, Page, seen, sent


@pytest.fixture
def keyed(serving, store):
    key = new_key(store, "ada")
    return serving(host="0.0.0.0", base="https://bench.example"), key  # noqa: S104


def test_without_keys_a_session_begins_by_itself(service):
    answer = service.client.get("/", headers=HTML)
    assert answer.status_code == 200
    cookie = answer.headers["set-cookie"]
    assert cookie.startswith(f"{COOKIE}=local.")
    for part in ("HttpOnly", "Path=/", "SameSite=lax"):
        assert part in cookie
    assert "Secure" not in cookie
    assert "set-cookie" not in service.client.get("/", headers=HTML).headers


def test_a_key_is_asked_for_and_leads_on(keyed):
    service, key = keyed
    page = seen(service.client, "/?a=1", 401)
    assert page.values["to"] == "/?a=1"
    answer = sent(service.client, "/sign-in", {"key": key, "to": page.values["to"]})
    assert (answer.status_code, answer.headers["location"]) == (303, "/?a=1")
    assert "Secure" in answer.headers["set-cookie"]
    page = seen(service.client, "/")
    assert key not in page.text
    out = sent(service.client, "/sign-out", {"token": page.values["token"]})
    assert out.headers["location"] == "/sign-in"
    assert seen(service.client, "/", 401).values["to"] == "/"


def test_a_wrong_key_is_told_and_guessing_is_slowed(serving, store):
    new_key(store, "ada")
    service = serving(limits=Limits(wrong_keys_per_minute=2))
    answers = [sent(service.client, "/sign-in", {"key": "guess", "to": "/"}) for _ in range(3)]
    assert [answer.status_code for answer in answers] == [401, 401, 429]
    assert "This key is not known" in answers[0].text
    assert "Too many wrong keys" in answers[2].text


@pytest.mark.parametrize("to", ["//elsewhere.example", "https://elsewhere.example", "/\\elsewhere", "", "/a\nb"])
def test_signing_in_leads_nowhere_else(keyed, to):
    service, key = keyed
    assert sent(service.client, "/sign-in", {"key": key, "to": to}).headers["location"] == "/"


def test_what_was_typed_outlives_its_session(keyed):
    service, key = keyed
    typed = {"sheet.0.name": '"><script>alert(1)</script>', "note": "\r\n two\r\nlines", "token": "0"}
    held = Page(sent(service.client, "/sign-out", typed).text)
    assert held.values["held.sheet.0.name"] == typed["sheet.0.name"]
    assert "<script>alert" not in held.text
    answer = sent(service.client, "/sign-in", held.values | {"key": key})
    assert answer.status_code == 200
    page = Page(answer.text)
    assert page.values["sheet.0.name"] == typed["sheet.0.name"]
    assert page.values["note"].split() == ["two", "lines"]
    assert page.of("form")[-1]["action"] == "/sign-out"
    assert sent(service.client, "/sign-out", page.values).status_code == 303


def test_a_form_without_its_token_changes_nothing_and_can_be_sent_again(service):
    seen(service.client, "/")
    for token in ("", "0"):
        answer = sent(service.client, "/sign-out", {"token": token, "name": "kept"})
        assert answer.status_code == 403
        page = Page(answer.text)
        assert page.values["name"] == "kept"
    assert sent(service.client, "/sign-out", {"token": page.values["token"]}).status_code == 303


def test_the_token_may_come_in_a_header(service):
    token = Page(service.client.get("/", headers=HTML).text).of("body")[0]["hx-headers"]
    value = re.fullmatch(r'\{"x-csrf-token": "([\w-]+)"\}', token)[1]
    assert sent(service.client, "/sign-out", {}, headers={"x-csrf-token": value}).status_code == 303


def test_another_sites_form_is_refused_and_not_held(service):
    page = seen(service.client, "/")
    answer = sent(service.client, "/sign-out", page.values, headers={"origin": "http://elsewhere.example"})
    assert answer.status_code == 403
    assert "<form" not in answer.text.partition("<main")[2]


@pytest.mark.parametrize(
    ("path", "status", "words"), [("/nothing", 404, "There is nothing here"), ("/<script>", 404, "nothing here")]
)
def test_people_get_pages_and_programs_problems(service, path, status, words):
    page = seen(service.client, path, status)
    assert words in page.words
    assert "<script>" not in page.text
    answer = service.client.get(path)
    assert (answer.status_code, answer.headers["content-type"]) == (status, "application/problem+json")
    part = service.client.get(path, headers={"hx-request": "true"})  # a script asks for anything
    assert (part.status_code, part.headers["content-type"]) == (status, "text/html; charset=utf-8")
    assert service.client.get("/v1/nothing", headers=HTML).headers["content-type"] == "application/problem+json"


def test_a_form_too_large_is_told_on_a_page(serving):
    service = serving(limits=Limits(body_bytes=1_000))
    answer = sent(service.client, "/sign-out", {"name": "x" * 2_000})
    assert answer.status_code == 413
    assert "at most 1,000 bytes" in answer.text
    assert "too much at once" in answer.text
    assert answer.headers["x-content-type-options"] == "nosniff"


def test_what_pages_fetch_is_kept_by_its_mark(service):
    page = seen(service.client, "/")
    fetched = [one["href"] for one in page.of("link")] + [one["src"] for one in page.of("script")]
    assert len(fetched) == 4
    for address in fetched:
        answer = service.client.get(address)
        assert answer.headers["cache-control"].endswith("immutable")
        assert answer.headers["x-content-type-options"] == "nosniff"
        plain = address.partition("?")[0]
        assert service.client.get(plain).headers["cache-control"] == "no-cache"
        assert service.client.get(plain, headers={"if-none-match": answer.headers["etag"]}).status_code == 304
    assert service.client.get("/static/style.css").headers["content-type"] == "text/css; charset=utf-8"
    assert "Zero-Clause BSD" in service.client.get("/static/htmx.LICENSE.txt").text
    for other in ("/static/../app.py", "/static/%2e%2e%2fapp.py", "/static/base.html"):
        assert service.client.get(other).status_code == 404


def test_no_page_needs_an_inline_script_or_style(service):
    for path in ("/", "/sign-in", "/nothing"):
        page = Page(service.client.get(path, headers=HTML).text)
        assert not page.of("style")
        assert all("src" in one for one in page.of("script"))
        assert not [one for _, one in page.tags if "style" in one or any(name.startswith("on") for name in one)]


def test_what_is_too_large_is_taken_for_a_browser_up_to_a_bound():
    import asyncio

    from api.security import drained

    async def taken(chunks, most):
        left = list(chunks)

        async def receive():
            return {"type": "http.request", "body": left.pop(0), "more_body": bool(left)}

        await drained(receive, most)
        return len(chunks) - len(left)

    assert asyncio.run(taken([b"x" * 10] * 5, 1_000)) == 5
    assert asyncio.run(taken([b"x" * 10] * 50, 100)) == 10
