"""Walking through pages as a browser does: what stands in them, and sending their forms."""

from __future__ import annotations

from html.parser import HTMLParser
from typing import Any

HTML = {"accept": "text/html"}
_FIELDS = ("input", "select", "textarea", "button")


class Page(HTMLParser):
    """What a page holds: forms with their fields as they would be sent, ids, links, text."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.text = text
        self.ids: list[str] = []
        self.tags: list[tuple[str, dict[str, str]]] = []
        self.values: dict[str, str] = {}
        self.buttons: list[tuple[str, str]] = []
        self.words = ""
        self._select = self._area = ""
        self._first = False
        self.feed(text)

    def handle_starttag(self, tag: str, given: list[tuple[str, str | None]]) -> None:
        attributes = {name: value or "" for name, value in given}
        self.tags.append((tag, attributes))
        if "id" in attributes:
            self.ids.append(attributes["id"])
        name = attributes.get("name", "")
        if tag == "input" and name and (attributes.get("type") not in ("checkbox", "radio") or "checked" in attributes):
            self.values[name] = attributes.get("value", "")
        elif tag == "select":
            self._select = name
            self._first = True
        elif tag == "option" and (self._first or "selected" in attributes):
            self.values[self._select] = attributes["value"]
            self._first = False
        elif tag == "textarea":
            self._area, self.values[name] = name, ""
        elif tag == "button" and name:
            self.buttons.append((name, attributes.get("value", "")))

    def handle_endtag(self, tag: str) -> None:
        if tag == "textarea":
            self.values[self._area] = self.values[self._area].removeprefix("\n")
            self._area = ""

    def handle_data(self, data: str) -> None:
        if self._area:
            self.values[self._area] += data
        else:
            self.words += data

    def of(self, tag: str) -> list[dict[str, str]]:
        """Return the attributes of all elements of a kind."""
        return [attributes for kind, attributes in self.tags if kind == tag]


def seen(client: Any, path: str, status: int = 200, **more: Any) -> Page:
    """Open a page."""
    answer = client.get(path, headers=HTML, **more)
    assert answer.status_code == status, answer.text
    assert answer.headers["content-type"].startswith("text/html")
    return Page(answer.text)


def sent(client: Any, path: str, fields: dict[str, str], **more: Any) -> Any:
    """Send a form; the answer, redirections not followed."""
    return client.post(path, data=fields, headers=HTML | more.pop("headers", {}), follow_redirects=False, **more)
