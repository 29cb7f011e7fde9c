"""Templates, and the files that pages fetch: style and script. No template writes a name unescaped."""

from __future__ import annotations

import functools
import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources import files
from typing import Any, Final

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

_TYPES: Final[Mapping[str, str]] = {
    "style.css": "text/css; charset=utf-8",
    "bench.css": "text/css; charset=utf-8",
    "bench.js": "text/javascript; charset=utf-8",
    "htmx.min.js": "text/javascript; charset=utf-8",
    "pages.js": "text/javascript; charset=utf-8",
    "htmx.LICENSE.txt": "text/plain; charset=utf-8",
    "mark.svg": "image/svg+xml",
}


@dataclass(frozen=True, slots=True)
class StaticFile:
    """A file that pages fetch; ``mark`` is a part of its SHA-256, so a changed file has a new address."""

    content: bytes
    media_type: str
    mark: str


@functools.cache
def static_file(name: str) -> StaticFile | None:
    """Return one of the files that pages fetch; None for any other name.

    >>> static_file("style.css").media_type, static_file("../app.py")
    ('text/css; charset=utf-8', None)
    """
    if name not in _TYPES:
        return None
    content = files("api.pages").joinpath("static", name).read_bytes()
    return StaticFile(content, _TYPES[name], hashlib.sha256(content).hexdigest()[:16])


def address(name: str) -> str:
    """Return the address of a file that pages fetch, with its mark; raises ``KeyError`` where there is none."""
    file = static_file(name)
    if file is None:
        raise KeyError(name)
    return f"/static/{name}?{file.mark}"


def written(template: str, **shown: Any) -> str:
    """Return a template filled in; a name that it needs and is not given is a bug, not an empty place."""
    return _templates().get_template(template).render(shown)


def drawn(svg: str) -> Markup:
    """Let a drawing of our own stand in a page as it is; its ink has escaped every name in it.

    Raises ``ValueError`` for a text that is no drawing.
    """
    if not svg.startswith("<svg "):
        raise ValueError("no drawing")
    return Markup(svg)  # noqa: S704  (made by nesting.draw.ink, which escapes)


@functools.cache
def _templates() -> Environment:
    made = Environment(
        loader=PackageLoader("api.pages"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )
    made.globals["address"] = address
    made.filters["drawn"] = drawn
    return made
